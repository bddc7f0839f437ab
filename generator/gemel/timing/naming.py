"""Operations as the text of a program tells them apart: comments, sequence numbers, tool calls, wait marks.

An operation begins behind every wait mark, at a comment line above a block that begins something (a tool call or the
moves home before it, or a sequence number where blocks have none as a rule), and at a tool call without either. What
comes behind a mark without a word of its own goes on with the operation before.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from gemel.reading.blocks import Block, Program
    from gemel.reading.run import Step
    from gemel.timing.blocks import Timed

__all__ = ["START", "Stretch", "stretches"]

START = "start"
"""Name of what stands before the first operation."""

_AHEAD = 6
"""Blocks within which a tool call must come for the comment above to be an operation's."""


class Stretch(NamedTuple):
    """Blocks of one operation between two marks.

    Attributes:
        name: the operation's.
        sequence: sequence number of its first block, None without.
        stage: sequence number of the block with the mark before it, None without.
        mark: number of that mark.
        leg: index of the leg it is in: how many marks are before it.
        places: indices of its blocks in the pass, at least one.
    """

    name: str
    sequence: int | None
    stage: int | None
    mark: int | None
    leg: int
    places: tuple[int, ...]


def stretches(blocks: Sequence[Timed], files: Iterable[Program]) -> list[Stretch]:
    """The operations of one pass of a channel; those of wait marks alone, or of nothing at all, are left out."""
    return _Namer(blocks, files).cut()


class _Namer:
    """Cuts the blocks of one pass."""

    def __init__(self, blocks: Sequence[Timed], files: Iterable[Program]) -> None:
        self.blocks = blocks
        self.files = {f.source: f for f in files}
        self.made: list[Stretch] = []
        self.name = START
        self.sequence: int | None = None
        self.stage: int | None = None
        self.mark: int | None = None
        self.leg = 0
        self.open: list[int] = []
        self.called = False

    def cut(self) -> list[Stretch]:
        """All stretches in order."""
        behind_mark = True
        last = len(self.blocks) - 1
        for index, timed in enumerate(self.blocks):
            step = timed.step
            if index == last and step.is_empty and not timed.unknown:
                break  # the end code belongs to no operation
            if step.wait is None or step.motions or step.functions or step.tool:
                self._begin(index, behind_mark=behind_mark)
                self.open.append(index)
                behind_mark = False
            if step.wait is not None:
                self._close()
                self.stage, self.mark, self.leg = _number(step.block), step.wait.number, self.leg + 1
                behind_mark = True
        self._close()
        return self.made

    def _begin(self, index: int, *, behind_mark: bool) -> None:
        """Begins another stretch where the block says so."""
        step = self.blocks[index].step
        heading = self._heading(step)
        if heading and (behind_mark or self._begins(index)):
            self._close()
            self.name, self.sequence, self.called = heading, _number(step.block), step.tool is not None
        elif step.tool is not None:
            self._call(step, self.blocks[index].tool, behind_mark=behind_mark)
        elif behind_mark:
            self.sequence = _number(step.block)

    def _call(self, step: Step, tool: str, *, behind_mark: bool) -> None:
        """A tool call without a comment of its own begins an operation unless it is the first one of its operation."""
        if not self.called and self.name != START and not behind_mark:
            self.called = True
            return
        self._close()
        said = [c.text.strip() for c in step.block.parts.comments if c.text.strip()]
        assert step.tool is not None  # asked before
        self.name = said[0] if said else tool or f"T{step.tool.number}"
        self.sequence, self.called = _number(step.block), True

    def _begins(self, index: int) -> bool:
        """Whether the block under a comment begins an operation."""
        step = self.blocks[index].step
        if step.tool is not None or _goes_home(step):
            return True
        if _number(step.block) is not None and index and _number(self.blocks[index - 1].step.block) is None:
            return True
        for timed in self.blocks[index : index + _AHEAD]:
            ahead = timed.step
            if ahead.tool is not None:
                return True
            if ahead.wait is not None or ahead.functions or (ahead.motions and not _goes_home(ahead)):
                return False
        return False

    def _heading(self, step: Step) -> str:
        """The comment lines right above a block; none at the head of the main program."""
        file = self.files.get(step.block.source)
        if file is None:
            return ""
        said: list[str] = []
        index = step.block.line - 2
        while index >= 0:
            above = file[index]
            parts = above.parts
            if parts.program is not None and step.depth and not parts.words:
                said += [c.text.strip() for c in parts.comments]
                index = -2
            elif not parts.comments or parts.words or parts.statements or parts.unknown or parts.program:
                break
            else:
                said.append(" ".join(c.text.strip() for c in parts.comments))
                index -= 1
        if not said or (not step.depth and _is_head(file, index)):
            return ""
        return " ".join(s for s in reversed(said) if s)

    def _close(self) -> None:
        """Ends the stretch that is open; one that does nothing is dropped."""
        blocks = (self.blocks[i] for i in self.open)
        if any(t.spent.total_s or t.unknown or not t.step.is_empty for t in blocks):
            places = tuple(self.open)
            self.made.append(Stretch(self.name, self.sequence, self.stage, self.mark, self.leg, places))
        self.open = []


def _is_head(file: Program, index: int) -> bool:
    """Whether nothing but a program number and the wrapper stands at this line and above."""
    for i in range(index, -1, -1):
        parts = file[i].parts
        if parts.words or parts.statements or parts.unknown:
            return False
    return True


def _number(block: Block) -> int | None:
    """The sequence number of a block."""
    word = block.parts.number
    return None if word is None or word.value is None else round(word.value)


def _goes_home(step: Step) -> bool:
    """Whether a block moves nothing but home, the slide aside."""
    return bool(step.motions) and "slide" not in step.axes and all(m.machine for m in step.motions)
