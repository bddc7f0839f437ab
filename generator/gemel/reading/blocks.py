"""Programs as sequences of blocks: any bytes go in, and the same bytes come out.

A text is cut into lines at LF, CR LF and CR and nowhere else. The words of a block are read when first asked for.
Columns are 0-based and half-open; as every byte is one character, they hold for the bytes too.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from itertools import accumulate
from typing import TYPE_CHECKING, overload

from gemel.findings import Span
from gemel.reading.words import parts_of

if TYPE_CHECKING:
    import re
    from collections.abc import Iterator

    from gemel.reading.parts import Parts, Word

__all__ = ["Block", "Program", "plain_of", "read", "write"]

_EVEN = bytes(b for b in range(256) if b.bit_count() % 2 == 0)
_STRIPPED = bytes(b & 0x7F for b in range(256))
_BOM = b"\xef\xbb\xbf"


class Block:
    """One line of a program.

    Attributes:
        source: the file, as the user would name it.
        line: 1-based.
        text: the line for its meaning: parity stripped, no line end. As long as `raw` without its line end.
        raw: the bytes of the line as they are in the file, line end included.
    """

    __slots__ = ("_parts", "line", "raw", "source", "text")

    def __init__(self, source: str, line: int, text: str, raw: bytes) -> None:
        self.source = source
        self.line = line
        self.text = text
        self.raw = raw
        self._parts: Parts | None = None

    def __repr__(self) -> str:
        return f"Block({self.source!r}, {self.line}, {self.text!r})"

    @property
    def parts(self) -> Parts:
        """What the block is made of; read when asked for, kept as long as the block is among the last ones asked."""
        return self._parts or self._read()

    def _read(self) -> Parts:
        """The parts, kept until enough other blocks have been asked for theirs."""
        parts = self._parts = parts_of(self.text)
        if len(_RECENT) == _KEPT:
            _RECENT[0]._parts = None  # noqa: SLF001 # a block like this one
        _RECENT.append(self)
        return parts

    @property
    def words(self) -> tuple[Word, ...]:
        """The words in the order of the text, without block number, program number and block skip."""
        return (self._parts or self._read()).words

    @property
    def skippable(self) -> bool:
        """Whether the block is left out when the block-skip switch is on."""
        return self.parts.skip > 0

    def span(self, start: int = 0, end: int = -1) -> Span:
        """Columns `start` to `end` of the block; all of it by default."""
        return Span(self.source, self.line, start, len(self.text) if end < 0 else end)


_KEPT = 4096
"""Blocks whose words are kept: more than most pairs have. Those of a large program would keep the collector busy."""

_RECENT: deque[Block] = deque(maxlen=_KEPT)
"""The blocks of any program whose words were read last; what is pushed out reads its words again when asked."""


class Program(Sequence[Block]):
    """The blocks of one file, made when first asked for.

    Attributes:
        source: the file, as the user would name it.
        data: its bytes.
    """

    def __init__(self, source: str, data: bytes) -> None:
        self.source = source
        self.data = data
        plain = plain_of(data)
        self._lines = plain.splitlines(keepends=True)
        self._starts: list[int] | None = None
        if plain is not data:
            self._starts = list(accumulate((len(line) for line in self._lines), initial=0))
        self._blocks: list[Block | None] = [None] * len(self._lines)

    def __len__(self) -> int:
        return len(self._lines)

    def __iter__(self) -> Iterator[Block]:
        return map(self._block, range(len(self._lines)))

    @overload
    def __getitem__(self, index: int) -> Block: ...
    @overload
    def __getitem__(self, index: slice) -> list[Block]: ...
    def __getitem__(self, index: int | slice) -> Block | list[Block]:
        if isinstance(index, slice):
            return [self[i] for i in range(*index.indices(len(self)))]
        return self._block(range(len(self._lines))[index])

    def _block(self, index: int) -> Block:
        """The block at an index that is there."""
        block = self._blocks[index]
        if block is None:
            text = self._lines[index].decode("latin-1").rstrip("\r\n")
            raw = self._lines[index] if self._starts is None else self.raw(index)
            block = self._blocks[index] = Block(self.source, index + 1, text, raw)
        return block

    def lines_like(self, pattern: re.Pattern[bytes]) -> Iterator[int]:
        """Indices of the lines whose beginning matches, found without reading their words."""
        return (i for i, line in enumerate(self._lines) if pattern.match(line))

    def raw(self, index: int) -> bytes:
        """The bytes of one line, line end included."""
        if self._starts is None:
            return self._lines[index]
        return self.data[self._starts[index] : self._starts[index + 1]]


def read(data: bytes, source: str = "") -> Program:
    """The program that the bytes hold; `write` gives the same bytes back."""
    return Program(source, data)


def write(blocks: Sequence[Block]) -> bytes:
    """The bytes of the blocks in order."""
    if isinstance(blocks, Program):
        return b"".join(blocks.raw(i) for i in range(len(blocks)))
    return b"".join(block.raw for block in blocks)


def plain_of(data: bytes) -> bytes:
    """The bytes for their meaning, as many as there were: even parity stripped, a byte order mark blanked.

    Text in seven bits with even parity is known by this: every byte has an even number of ones, and some have the
    eighth.
    """
    if data.startswith(_BOM):
        return b"   " + data[3:]
    if not data.isascii() and not data.translate(None, _EVEN):
        return data.translate(_STRIPPED)
    return data
