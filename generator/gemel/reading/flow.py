"""The order in which blocks are carried out: subprograms, repeats, jumps, loops, and the bounds on all of them.

What cannot be decided is not followed, and said. Where the same jump comes again with the same variables, the program
goes round for ever; the run ends there.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from gemel.reading.expressions import LOCAL_VARIABLES, Expression, UndecidableError, evaluate

if TYPE_CHECKING:
    from collections.abc import Callable

    from gemel.reading.blocks import Block
    from gemel.reading.channel import ChannelText, Section
    from gemel.reading.state import State
    from gemel.reading.statements import Statement

__all__ = ["Flow"]

MOST_JUMPS = 20_000
"""Jumps, calls and rounds of one pass that are followed."""

_VARIABLES_A_JUMP = 500
"""Looking whether a jump came before takes time with every variable; so many count as one more jump."""

MOST_BLOCKS = 200_000
"""Blocks of one pass that are carried out beyond those that the files hold."""


_MOTIONS_A_BLOCK = 2
"""A cycle that makes more motions in a block than so many counts as several blocks."""


@dataclass(slots=True)
class _Frame:
    """A program being run: where it stands, how often it is still to be repeated, and its caller's local variables."""

    section: Section
    at: int
    repeats: int = 0
    local: dict[int, float] | None = None
    began: bool = False


@dataclass(slots=True)
class Flow:
    """Walks through the blocks of a channel.

    Attributes:
        text: the channel's text.
        state: its state, for variables.
        stack: the programs being run, the innermost last.
        ending: how the run ended, empty while it goes on.
        blocks: how many blocks it gave out.
        motions: how many motions they have made so far; they count against the same bound.
    """

    text: ChannelText
    state: State
    stack: list[_Frame] = field(default_factory=list)
    ending: str = ""
    blocks: int = 0
    motions: int = 0
    jumps: int = 0
    bound: int = 0
    _seen: set[int] = field(default_factory=set)

    def __post_init__(self) -> None:
        self.stack.append(_Frame(self.text.main, self.text.main.start))
        self.bound = MOST_BLOCKS + sum(len(f) for f in self.text.files)

    @property
    def depth(self) -> int:
        """How many subprograms deep the run is."""
        return len(self.stack) - 1

    def next(self) -> Block | None:
        """The next block to carry out; None at the end of the run."""
        while not self.ending:
            frame = self.stack[-1]
            if frame.at >= frame.section.end:
                self._end_of_text()
                continue
            block = frame.section.file[frame.at]
            frame.at += 1
            if block.parts.percent and frame.began:
                frame.at = frame.section.end
                continue
            frame.began = frame.began or bool(block.parts.words or block.parts.statements)
            self.blocks += 1
            if max(self.blocks, self.motions // _MOTIONS_A_BLOCK) > self.bound:
                self.ending = "bound"
                return None
            return block
        return None

    def _end_of_text(self) -> None:
        """At the end of a program's text without a code that ends it."""
        if self.depth:
            self.leave(None, lambda _code, _cause: None)
        else:
            self.ending = "text"

    def call(self, number: int, repeats: int, say: Callable[[str, str], None]) -> None:
        """Goes into a subprogram, `repeats` times."""
        section = self.text.programs.get(number)
        if section is None and number > 9999:
            section, repeats = self.text.programs.get(number % 10000), number // 10000
        if section is None:
            say("no-program", f"program {number} is in none of the files")
        elif self.depth >= self.text.dialect.call_depth:
            say("call-depth", f"the control nests {self.text.dialect.call_depth} calls; this one is not followed")
        elif repeats > 0 and self._counts("call", say):
            self.stack.append(_Frame(section, section.start, repeats - 1))

    def macro(self, number: int, arguments: dict[int, float], say: Callable[[str, str], None]) -> None:
        """Goes into a subprogram with variables of its own."""
        before = self.depth
        self.call(number, 1, say)
        if self.depth > before:
            variables = self.state.variables
            local = {i: v for i, v in variables.items() if 0 < i <= LOCAL_VARIABLES}
            self.stack[-1].local = local
            for index in local:
                del variables[index]
            variables.update(arguments)

    def leave(self, target: int | None, say: Callable[[str, str], None]) -> None:
        """Goes back to the caller, to a block number of it where one is given; at the outermost level repeats."""
        frame = self.stack[-1]
        if not self.depth:
            if target is None:
                self.ending = "repeat"
            else:
                self.go_to(float(target), "M99 P", say)
            return
        if frame.repeats > 0 and target is None:
            frame.repeats -= 1
            frame.at = frame.section.start
            self._counts("repeat", say)
            return
        self.stack.pop()
        if frame.local is not None:
            variables = self.state.variables
            for index in [i for i in variables if 0 < i <= LOCAL_VARIABLES]:
                del variables[index]
            variables.update(frame.local)
        if target is not None:
            self.go_to(float(target), "M99 P", say)

    def go_to(self, number: float | None, how: str, say: Callable[[str, str], None]) -> None:
        """Goes on at the block with this number."""
        frame = self.stack[-1]
        index = None if number is None else frame.section.label(round(number), frame.at - 1)
        if index is None:
            say("jump", f"no block has the number that {how} names")
        else:
            self._jump(index, how, say)

    def skip_to(self, index: int) -> None:
        """Goes on at an index of the program being run; only ever forward."""
        self.stack[-1].at = max(self.stack[-1].at, index)

    def _jump(self, index: int, how: str, say: Callable[[str, str], None]) -> None:
        """Goes on at an index; where that was done before with the same variables, ends the run."""
        frame = self.stack[-1]
        if index < frame.at:
            # Kept as a hash: twenty thousand copies of a thousand variables would fill the memory.
            place = tuple((id(f.section), f.at, f.repeats) for f in self.stack)
            key = hash((place, index, frozenset(self.state.variables.items())))
            self.jumps += len(self.state.variables) // _VARIABLES_A_JUMP
            if key in self._seen:
                self.ending = "endless"
                if how != "M99 P":
                    say("jump", f"{how} goes round for ever; the run is read up to here")
                return
            self._seen.add(key)
        if self._counts(how, say):
            frame.at = index

    def _counts(self, how: str, say: Callable[[str, str], None]) -> bool:
        """Counts a jump; False, and said, where there are too many."""
        self.jumps += 1
        if self.jumps > MOST_JUMPS:
            self.ending = "bound"
            say("jump", f"after {MOST_JUMPS} jumps and calls, {how} is not followed any more")
        return self.jumps <= MOST_JUMPS

    def carry_out(self, statement: Statement, say: Callable[[str, str], None]) -> None:
        """Follows a jump, a condition or a loop. Assignments are made by the caller, behind the whole block."""
        if statement.kind == "goto":
            self._to(statement, "GOTO", say)
        elif statement.kind == "if-goto":
            if self._holds(statement.condition, "IF", say):
                self._to(statement, "GOTO", say)
        elif statement.kind in {"while", "do"}:
            self._loop(statement, say)
        elif statement.kind == "end":
            self._end_loop(say)

    def _to(self, statement: Statement, how: str, say: Callable[[str, str], None]) -> None:
        value = self.value(statement.target, how, say)
        if value is not None:
            self.go_to(value, how, say)

    def value(self, expression: Expression | None, how: str, say: Callable[[str, str], None]) -> float | None:
        """The value of an expression; None, and said, where it cannot be decided."""
        if expression is None:
            return None
        try:
            return evaluate(expression, self.state.variables) or 0.0
        except UndecidableError as error:
            say("jump", f"{how} cannot be decided and is not followed: {error}")
            return None

    def _holds(self, condition: Expression | None, how: str, say: Callable[[str, str], None]) -> bool:
        return bool(self.value(condition, how, say))

    def _loop(self, statement: Statement, say: Callable[[str, str], None]) -> None:
        """At DO: goes behind its END if the condition does not hold. Undecided, the body is gone through once."""
        frame = self.stack[-1]
        end = frame.section.loops.get(frame.at - 1)
        if end is None:
            say("jump", "DO has no END and is not followed")
        elif statement.kind == "while":
            value = self.value(statement.condition, "WHILE", say)
            if value == 0:
                frame.at = end + 1

    def _end_loop(self, say: Callable[[str, str], None]) -> None:
        """At END: back to its DO, unless the condition there cannot be decided."""
        frame = self.stack[-1]
        begin = frame.section.loops.get(frame.at - 1)
        if begin is None:
            say("jump", "END has no DO")
            return
        opening = frame.section.file[begin].parts.statements
        condition = next((s.condition for s in opening if s.kind == "while"), None)
        if condition is not None and self.value(condition, "WHILE", lambda _code, _cause: None) is None:
            return
        self._jump(begin, "a loop", say)
