"""Programs as sequences of blocks: any bytes go in, and the same bytes come out.

A text is cut into lines at LF, CR LF and CR and nowhere else. The words of a block are read when first asked for.
Columns are 0-based and half-open; as every byte is one character, they hold for the bytes too.
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from gemel.findings import Span
from gemel.reading.words import parts_of

if TYPE_CHECKING:
    from gemel.reading.parts import Parts, Word

__all__ = ["Block"]


class Block:
    """One line of a program.

    Attributes:
        source: the file, as the user would name it.
        line: 1-based.
        text: the line for its meaning: parity stripped, no line end. Same length as `raw` without its line end.
        raw: the bytes of the line as they are in the file, line end included.
    """

    __slots__ = ("__dict__", "line", "raw", "source", "text")

    def __init__(self, source: str, line: int, text: str, raw: bytes) -> None:
        self.source = source
        self.line = line
        self.text = text
        self.raw = raw

    def __repr__(self) -> str:
        return f"Block({self.source!r}, {self.line}, {self.text!r})"

    @cached_property
    def parts(self) -> Parts:
        """What the block is made of, read at the first call."""
        return parts_of(self.text)

    @property
    def words(self) -> tuple[Word, ...]:
        """The words in the order of the text."""
        return self.parts.words

    @property
    def skippable(self) -> bool:
        """Whether the block is left out when the block-skip switch is on."""
        return self.parts.skip > 0

    def span(self, start: int = 0, end: int = -1) -> Span:
        """Columns `start` to `end` of the block; all of it by default."""
        return Span(self.source, self.line, start, len(self.text) if end < 0 else end)
