"""A text with everything stripped that has no meaning, in a few passes over the whole of it.

What falls away: the wrapper, leaders, line ends of any kind, blanks, letter case, sequence numbers, comments (kept
aside). A block is then one `bytes` object, and two blocks that are typed alike are equal. Numbers are still as typed;
`spelling` looks at those, for the few blocks that differ.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from gemel.reading.blocks import plain_of
from gemel.reading.words import BLANKS, parts_of

if TYPE_CHECKING:
    from gemel.reading.parts import Parts

__all__ = ["Normal", "Note", "normalise"]

_UPPER = bytes(b - 32 if 97 <= b <= 122 else b for b in range(256))
_BLANKS = BLANKS.encode("latin-1")
_COMMENT = re.compile(rb"\((?:[^()\n]|\([^()\n]*\))*\)?|;[^\n]*")
_ROW = re.compile(rb"\n(?:N\d+)?")
_SKIP_FIRST = re.compile(rb"\n(/[1-9]?)N(\d+)")
_SKIP_ONE = re.compile(rb"\n(N\d+)?/1(?![0-9])")
_SEQUENCE = re.compile(rb"\nN(\d+)")
_REFERENCE = re.compile(rb"GOTO(\d+)|\n(?:N\d+)?(?:M99P(\d+)|G0*7[0-3][^\n]*?P(\d+)Q(\d+))")
_GAPS = re.compile(r"\s+")


class Note(NamedTuple):
    """A comment.

    Attributes:
        text: upper case, single blanks, without the marks around it.
        line: 0-based line of the text.
        block: index of the block that it stands in, or before.
        alone: whether its line holds nothing else.
    """

    text: str
    line: int
    block: int
    alone: bool


@dataclass(slots=True)
class Normal:
    """A text stripped to its meaning.

    Attributes:
        rows: the lines as they stand, without line ends.
        blocks: of each block what is left of it; equal ones are typed alike.
        index: of each block its 0-based line.
        notes: the comments, in order.
        numbered: how many lines carry a sequence number.
        labels: sequence numbers that the program refers to, each with the index of its block.
        joined: of each block that stands on several lines, its text put together and its last 0-based line.
    """

    rows: list[bytes]
    blocks: list[bytes]
    index: list[int]
    notes: list[Note]
    numbered: int = 0
    labels: dict[int, int] = field(default_factory=dict)
    joined: dict[int, tuple[str, int]] = field(default_factory=dict)
    _parts: dict[int, Parts] = field(default_factory=dict, repr=False)
    _width: int = field(default=-1, repr=False)
    _distinct: frozenset[bytes] | None = field(default=None, repr=False)

    def text(self, block: int) -> str:
        """A block as it stands; one on several lines put together."""
        if self.joined and block in self.joined:
            return self.joined[block][0]
        return self.rows[self.index[block]].decode("latin-1")

    def parts(self, block: int) -> Parts:
        """What a block is made of, read at the first call."""
        known = self._parts.get(block)
        if known is None:
            known = self._parts[block] = parts_of(self.text(block))
        return known

    def line(self, block: int) -> int:
        """The 1-based line of a block."""
        return self.index[block] + 1

    def last_line(self, block: int) -> int:
        """The 1-based line that a block ends on."""
        return (self.joined[block][1] if block in self.joined else self.index[block]) + 1

    @property
    def distinct(self) -> frozenset[bytes]:
        """The blocks, each once."""
        if self._distinct is None:
            self._distinct = frozenset(self.blocks)
        return self._distinct

    @property
    def width(self) -> int:
        """Characters of the longest line without a comment."""
        if self._width < 0:
            self._width = max(
                (len(row.strip(_BLANKS)) for row in self.rows if b"(" not in row and b";" not in row), default=0
            )
        return self._width

    def notes_before(self, block: int) -> list[Note]:
        """The comment lines directly before a block, in order."""
        return [note for note in self.notes if note.block == block and note.alone]


def normalise(data: bytes) -> Normal:
    """The text stripped to its meaning. Never fails."""
    text = plain_of(data)
    if b"\r" in text:
        text = text.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    rows = text.split(b"\n")
    found: list[tuple[int, bytes]] = []
    if b"(" in text or b";" in text:
        text, found = _without_comments(text)
    # Every line begins with a line feed from here on, the first one too.
    text = b"\n" + text.translate(_UPPER, _BLANKS)
    if b"/" in text:
        text = _SKIP_ONE.sub(rb"\n\1/", _SKIP_FIRST.sub(rb"\nN\2\1", text))
    numbered = text.count(b"\nN")
    named = _named(text) if numbered and (b"GOTO" in text or b"G7" in text or b"M99P" in text) else {}
    if named:
        text = _REFERENCE.sub(lambda match: _referring(match, named), text)
    blocks = _ROW.split(text)[1:]
    index = [i for i, row in enumerate(blocks) if row and row != b"%"]
    if len(index) != len(blocks):
        blocks = [blocks[i] for i in index]
    labels = {number: bisect_left(index, line) for number, line in named.items()}
    return Normal(rows, blocks, index, _notes(found, index), numbered, labels)


def _without_comments(text: bytes) -> tuple[bytes, list[tuple[int, bytes]]]:
    """The text without comments, and each comment with its 0-based line."""
    found: list[tuple[int, bytes]] = []
    pieces: list[bytes] = []
    at = line = 0
    for match in _COMMENT.finditer(text):
        start, end = match.span()
        piece = text[at:start]
        line += piece.count(b"\n")
        pieces.append(piece)
        found.append((line, match.group()))
        at = end
    pieces.append(text[at:])
    return b"".join(pieces), found


def _notes(found: list[tuple[int, bytes]], index: list[int]) -> list[Note]:
    notes = []
    for line, raw in found:
        block = bisect_left(index, line)
        alone = block >= len(index) or index[block] != line
        inner = raw[1:-1] if raw[:1] == b"(" and raw[-1:] == b")" else raw[1:]
        text = _GAPS.sub(" ", inner.translate(_UPPER, b"\0\x7f").decode("latin-1")).strip()
        notes.append(Note(text, line, block, alone))
    return notes


def _named(text: bytes) -> dict[int, int]:
    """Sequence numbers that something refers to, and that stand before a block; each with the first line of it."""
    wanted = {int(number) for groups in _REFERENCE.findall(text) for number in groups if number}
    found: dict[int, int] = {}
    for match in _SEQUENCE.finditer(text):
        number = int(match.group(1))
        if number in wanted and number not in found:
            found[number] = text.count(b"\n", 1, match.end())
    return found


def _referring(match: re.Match[bytes], named: dict[int, int]) -> bytes:
    """A reference without its number, where a block bears that number."""
    piece = match.group()
    for number in match.groups():
        if number and int(number) in named:
            piece = re.sub(rb"(?<=[OPQ])%s(?!\d)" % number, b"@", piece)
    return piece
