"""Where each word of a program came from: pieces of text with their value, template line and step.

The marked text is kept as it was rendered; a line is taken apart only when somebody asks.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NamedTuple

from gemel.documents import place_of
from gemel.numbers import Number
from gemel.writing.marks import PIECE, Address, Site, site_index, value_index
from gemel.writing.recall import Recalled

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from gemel.numbers import Source

__all__ = ["Piece", "TextMap", "Word"]

_NO_SITE = Site("", 0)
_NOWHERE = Address(0, "", -1, "")


class Piece(NamedTuple):
    """A stretch of one line with one origin.

    Attributes:
        text: as it stands. start, end: columns, 0-based, half-open.
        site: the template line that printed it.
        value: what was printed, None for literal text of the template.
        address: stage, operation and step that it belongs to.
    """

    text: str
    start: int
    end: int
    site: Site
    value: object
    address: Address


class Word(NamedTuple):
    """A word of a block, a comment, or another stretch without blanks, with the pieces it is made of."""

    text: str
    start: int
    end: int
    pieces: tuple[Piece, ...]

    @property
    def address(self) -> Address:
        """Stage, operation and step of the word."""
        return self.pieces[0].address

    @property
    def number(self) -> Number | None:
        """The number with an origin that the word spells, the first one of a comment."""
        return next((piece.value for piece in self.pieces if isinstance(piece.value, Number)), None)

    @property
    def place(self) -> Source | None:
        """The scalar of the machine file or family that the word was copied from."""
        return next((place for place in (place_of(piece.value) for piece in self.pieces) if place), None)

    @property
    def site(self) -> Site:
        """The template line that printed the word's value, or its literal text."""
        told = next((piece for piece in self.pieces if piece.value is not None), self.pieces[0])
        return told.site


class TextMap:
    """The origins of one channel's program. Lines are counted from 1, columns from 0.

    Attributes:
        channel: whose program it is.
        comment: start and end of a comment, by which a comment is one word.
    """

    def __init__(
        self,
        channel: str,
        marked: str,
        trace: tuple[Sequence[object], Sequence[int]],
        sites: Sequence[Site],
        comment: tuple[str, str],
    ) -> None:
        self.channel = channel
        self.comment = comment
        self._marked = marked.split("\n")
        self._values, self._site_of_value = trace
        self._sites = sites
        self._prefixes: dict[int, tuple[str, object]] = {}
        self._addresses: list[Address] | None = None

    def with_prefixes(self, prefixes: dict[int, tuple[str, object]]) -> TextMap:
        """This map with words set before lines (sequence numbers), by line number: text and value."""
        self._prefixes = prefixes
        return self

    def line(self, number: int) -> tuple[Word, ...]:
        """The words of a line; none for a line that the program does not have."""
        if not 0 < number <= len(self._marked):
            return ()
        return tuple(_words(self.pieces(number), self.comment))

    def at(self, number: int, column: int) -> Word | None:
        """The word that covers a column, None for a blank."""
        return next((word for word in self.line(number) if word.start <= column < word.end), None)

    def pieces(self, number: int) -> tuple[Piece, ...]:
        """The pieces that tile a line, in order."""
        address = self._address_before(number)
        prefix = self._prefixes.get(number)
        found: list[Piece] = []
        column = 0
        if prefix is not None:
            column = len(prefix[0])
            found.append(Piece(prefix[0], 0, column, Site("", 0), prefix[1], address))
        for text, site, value in self._cut(self._marked[number - 1]):
            if isinstance(value, Address):
                address = value
                continue
            if text:
                found.append(Piece(text, column, column + len(text), site, value, address))
            column += len(text)
        # The number that opens a block belongs to the step that the block writes.
        if prefix is not None and len(found) > 1:
            found[0] = found[0]._replace(address=found[1].address)
        return tuple(found)

    def _cut(self, marked: str) -> Iterator[tuple[str, Site, object]]:
        for match in PIECE.finditer(marked):
            literal, low, high, text = match.groups()
            if literal:
                yield text, self._sites[site_index(literal)], None
                continue
            index = value_index(low, high)
            value = self._values[index]
            if isinstance(value, Recalled):
                yield "", _NO_SITE, value.address
                for part, site, inner in value.pieces():
                    yield part, self._sites[site], inner
                continue
            site = self._site_of_value[index]
            yield text, self._sites[site] if site >= 0 else _NO_SITE, value

    def _address_before(self, number: int) -> Address:
        if self._addresses is None:
            self._addresses = [_NOWHERE]
            address = _NOWHERE
            for line in self._marked:
                for _, _, value in self._cut(line):
                    address = value if isinstance(value, Address) else address
                self._addresses.append(address)
        return self._addresses[number - 1]


def _words(pieces: tuple[Piece, ...], comment: tuple[str, str]) -> Iterator[Word]:
    """Stretches without blanks; a comment is one."""
    text = "".join(piece.text for piece in pieces)
    opening, closing = (re.escape(part) for part in comment)
    shape = (
        rf"{opening}.*?(?:{closing}|$)|\S+?(?=\s|$|{opening})" if closing else rf"{opening}.*$|\S+?(?=\s|$|{opening})"
    )
    for match in re.finditer(shape, text):
        start, end = match.span()
        covered = tuple(piece for piece in pieces if piece.start < end and piece.end > start)
        yield Word(match.group(), start, end, covered)
