"""The text of a channel: its main program and every subprogram that its files hold."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from gemel.reading.blocks import Block, Program
    from gemel.reading.dialect import Dialect

__all__ = ["ChannelText", "Section"]

_HAS_O = re.compile(rb".*[Oo:]", re.DOTALL)
_HAS_LOOP = re.compile(rb".*(?:[Oo]|[Dd])[ \t\0\x7f\f\v]*[1-9]", re.DOTALL)
_HAS_SKIP = re.compile(rb".*/", re.DOTALL)
# Each finds every line that may hold what is looked for, and some others; their words decide.


class Section:
    """One program within a file: its blocks from `start` up to and without `end`.

    Attributes:
        file: the file.
        start: index of its first block.
        end: index behind its last one.
        number: its program number, None without.
    """

    def __init__(self, file: Program, start: int, end: int, number: int | None) -> None:
        self.file = file
        self.start = start
        self.end = end
        self.number = number

    @cached_property
    def labels(self) -> dict[int, list[int]]:
        """Indices of the blocks that carry each block number."""
        found: dict[int, list[int]] = {}
        for index in range(self.start, self.end):
            word = self.file[index].parts.number
            if word is not None and word.value is not None:
                found.setdefault(round(word.value), []).append(index)
        return found

    def label(self, number: int, behind: int) -> int | None:
        """The block of that number, the next one behind a place, else the first of all; None if there is none."""
        places = self.labels.get(number, [])
        return next((i for i in places if i > behind), places[0] if places else None)

    @cached_property
    def loops(self) -> dict[int, int]:
        """The block of END for each block of DO, and the other way round."""
        found: dict[int, int] = {}
        opened: dict[float | str, list[int]] = {}
        for index in self.file.lines_like(_HAS_LOOP):
            if not self.start <= index < self.end:
                continue
            for statement in self.file[index].parts.statements:
                if statement.kind not in {"while", "do", "end"} or statement.target is None:
                    continue
                label = statement.target.code[0]
                if statement.kind != "end":
                    opened.setdefault(label, []).append(index)
                elif opened.get(label):
                    begin = opened[label].pop()
                    found[begin], found[index] = index, begin
        return found


class _Start(NamedTuple):
    """A program number in a file."""

    at: int
    number: int


@dataclass(frozen=True)
class ChannelText:
    """What one channel is to run.

    Attributes:
        dialect: how its control understands words.
        files: the channel's own file first, then further files with subprograms.
    """

    dialect: Dialect
    files: tuple[Program, ...]

    @cached_property
    def main(self) -> Section:
        """The main program: the first file up to the first program number behind its head."""
        file = self.files[0]
        starts = _starts(file)
        head = bool(starts) and all(_is_idle(file[i]) for i in range(starts[0].at))
        behind = starts[1:] if head else starts
        end = behind[0].at if behind else len(file)
        return Section(file, 0, end, starts[0].number if head else None)

    @cached_property
    def programs(self) -> dict[int, Section]:
        """Every program by its number; the first one where a number comes twice."""
        found: dict[int, Section] = {}
        if self.main.number is not None:
            found[self.main.number] = self.main
        for file in self.files:
            starts = _starts(file)
            ends = [s.at for s in starts[1:]] + [len(file)]
            # A file without any program number has an end and no start.
            for start, end in zip(starts, ends, strict=False):
                found.setdefault(start.number, Section(file, start.at, end, start.number))
        return found

    @cached_property
    def has_skips(self) -> bool:
        """Whether any block of any file may be skipped."""
        return any(f[i].skippable for f in self.files for i in f.lines_like(_HAS_SKIP))


def _starts(file: Program) -> list[_Start]:
    """The program numbers of a file."""
    found = []
    for index in file.lines_like(_HAS_O):
        word = file[index].parts.program
        if word is not None and word.value is not None:
            found.append(_Start(index, round(word.value)))
    return found


def _is_idle(block: Block) -> bool:
    """Whether the block holds nothing that is carried out."""
    parts = block.parts
    return not (parts.words or parts.statements or parts.unknown)
