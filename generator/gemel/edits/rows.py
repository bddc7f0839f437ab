"""The lines of a program while kept edits are set in: each knows its stage and operation, whatever comes before it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from gemel.edits.normal import normalise
from gemel.edits.sections import mapped_outline, outline_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from gemel.edits.normal import Normal
    from gemel.edits.sections import Outline
    from gemel.edits.spelling import Said, Speller, Spoken
    from gemel.writing import TextMap

__all__ = ["Row", "Rows"]

_LINE_END = re.compile(rb"\r\n|\r|\n")
_SEQUENCE = re.compile(rb"(/?)(N\d+ ?)(?=[^\d]|$)")


class Row(NamedTuple):
    """One line without its end.

    Attributes:
        text: its bytes.
        stage, operation: where it belongs.
        line: its 1-based line in the text that the rows were made of; None for one that was put in.
        edits: ids of the edits that touched it or put it in.
    """

    text: bytes
    stage: int
    operation: str
    line: int | None = None
    edits: tuple[str, ...] = ()


@dataclass(slots=True)
class Rows:
    """A program as lines that know their place; block indices are those of `normal`.

    Attributes:
        titles: ids of operations by their titles in this text.
        edit: id of the edit that is being set in.
    """

    rows: list[Row]
    end: bytes
    speller: Speller
    normal: Normal
    titles: Mapping[str, str]
    edit: str = ""

    @classmethod
    def of(cls, data: bytes, speller: Speller, places: TextMap | Mapping[str, str] | None = None) -> Rows:
        """The lines of a program; their places by its map of origins, without one by its titles."""
        normal = normalise(data)
        if places is None or isinstance(places, Mapping):
            outline = outline_of(normal, speller, places)
        else:
            outline = mapped_outline(normal, speller, places)
        found = _LINE_END.search(data)
        texts = _LINE_END.split(data)
        stages = _places(outline, normal, len(texts))
        return cls(
            [Row(t, *p, i) for i, (t, p) in enumerate(zip(texts, stages, strict=True), 1)],
            found[0] if found else b"\n",
            speller,
            normal,
            outline.titles(),
        )

    def data(self) -> bytes:
        """The program."""
        return self.end.join(row.text for row in self.rows)

    def spoken(self, block: int) -> Spoken:
        """A block by its meaning."""
        return self.speller.block(self.normal.text(block), self.normal.parts(block), self.normal.labels)

    def row_of(self, block: int) -> int:
        """0-based line of a block."""
        return self.normal.index[block]

    def blocks_of(self, stage: int, operation: str) -> list[int]:
        """Blocks of an operation: in its stage where it is found there, else wherever it is."""
        places = [(self.rows[line].stage, self.rows[line].operation) for line in self.normal.index]
        here = [block for block, place in enumerate(places) if place == (stage, operation)]
        return here or [block for block, place in enumerate(places) if place[1] == operation]

    def replace_word(self, block: int, word: Said | None, new: str) -> None:
        """One word of a block replaced; put in behind the last word without `word`, cut out without `new`."""
        line = self.row_of(block)
        text = self.rows[line].text
        if word is None:
            at = max((w.end for w in self.spoken(block).words), default=0)
            changed = text[:at] + b" " + new.encode("latin-1") + text[at:]
        elif new:
            changed = text[: word.start] + new.encode("latin-1") + text[word.end :]
        else:
            changed = (text[: word.start].rstrip(b" ") + b" " + text[word.end :].lstrip(b" ")).strip(b" ")
        self._put(line, changed)

    def set_skip(self, block: int, mark: str) -> None:
        """The block skip of a block: `/`, `/2`, or empty for none."""
        line = self.row_of(block)
        text = re.sub(rb"^((?:N\d+ ?)?)/[1-9]? ?", rb"\1", self.rows[line].text)
        self._put(line, mark.encode() + text)

    def rewrite(self, line: int, text: bytes) -> None:
        """Another text in a line that stays where it is."""
        self._put(line, text)

    def insert(self, line: int, texts: Iterable[bytes], model: Row) -> None:
        """Lines put in before `line`; they belong where `model` belongs."""
        self.rows[line:line] = [model._replace(text=text, line=None, edits=(self.edit,)) for text in texts]
        self._renew()

    def remove(self, lines: Iterable[int]) -> list[bytes]:
        """Lines taken out; a sequence number goes on to the next line, since restarts are found by it."""
        taken = []
        for line in sorted(lines, reverse=True):
            text = self.rows[line].text
            taken.append(text)
            del self.rows[line]
            match = _SEQUENCE.match(text)
            if match and line < len(self.rows) and not _SEQUENCE.match(self.rows[line].text):
                row = self.rows[line]
                self.rows[line] = row._replace(text=match[2].rstrip() + b" " + row.text)
        self._renew()
        return taken[::-1]

    def _put(self, line: int, text: bytes) -> None:
        row = self.rows[line]
        self.rows[line] = row._replace(text=text, edits=(*row.edits, self.edit))
        self._renew()

    def _renew(self) -> None:
        self.normal = normalise(self.data())


def _places(outline: Outline, normal: Normal, lines: int) -> list[tuple[int, str]]:
    """Stage and operation of every line; comment lines belong to what follows them."""
    places: list[tuple[int, str]] = []
    for block, line in enumerate(normal.index):
        section = outline.at(block)
        places += [(section.stage, section.operation)] * (line + 1 - len(places))
    last = places[-1] if places else (0, "")
    return places + [last] * (lines - len(places))
