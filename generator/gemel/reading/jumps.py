"""Where a block says the run goes on: calls, the end, repeats, jumps and loops."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.reading.assigning import assign

if TYPE_CHECKING:
    from gemel.reading.flow import Flow
    from gemel.reading.line import Line

__all__ = ["follow_flow"]

_ARGUMENT_NUMBERS = (1, 2, 3, 4, 5, 6, 7, 8, 9, 11, 13, 17, 18, 19, 20, 21, 22, 23, 24, 25, 26)
_ARGUMENTS = dict(zip("ABCIJKDEFHMQRSTUVWXYZ", _ARGUMENT_NUMBERS, strict=True))
"""Local variable of each argument of a macro call; common practice, no source."""


def follow_flow(line: Line, flow: Flow) -> None:
    """Assignments, then calls, then end or repeat, then jumps."""
    assign(line, flow, flow.state.variables)
    kinds = line.kinds
    if "call" in kinds or "macro" in kinds:
        _call(line, flow, macro="macro" in kinds)
    elif "end" in kinds:
        flow.ending = "end"
    elif "repeat" in kinds:
        _return(line, flow)
    for statement in line.block.parts.statements:
        if statement.kind not in {"set", "if-then"} and not flow.ending:
            flow.carry_out(statement, line.remark)


def _return(line: Line, flow: Flow) -> None:
    target = line.take("P")
    if "P" in line.undecided:
        line.remark("jump", "the block that M99 P names cannot be known")
    flow.leave(None if target is None else round(target), line.remark)


def _call(line: Line, flow: Flow, *, macro: bool) -> None:
    number, repeats = line.take("P"), line.take("L")
    if number is None:
        line.remark("no-program", "the call does not say which program")
    elif macro:
        letters = [letter for letter in line.values if letter in _ARGUMENTS]
        arguments = {_ARGUMENTS[n]: v for n in letters if (v := line.take(n)) is not None}
        flow.macro(round(number), arguments, line.remark)
    else:
        flow.call(round(number), 1 if repeats is None else round(repeats), line.remark)
