"""Assignments of a block: all made behind it, each with the values from before it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.reading.expressions import UNKNOWN, UndecidableError, evaluate

if TYPE_CHECKING:
    from gemel.reading.flow import Flow
    from gemel.reading.line import Line
    from gemel.reading.statements import Statement

__all__ = ["assign"]


def assign(line: Line, flow: Flow, variables: dict[int, float]) -> None:
    """Makes the block's assignments, each with the values from before the block."""
    settings: list[Statement] = []
    unsure: list[Statement] = []
    for statement in line.block.parts.statements:
        if statement.kind == "set":
            settings.append(statement)
        elif statement.kind == "if-then":
            value = flow.value(statement.condition, "IF", line.remark)
            if value is None:
                unsure += statement.then
            elif value:
                settings += statement.then
    made = [_setting(s, line, variables) for s in settings]
    made += [_setting(s, line, variables, known=False) for s in unsure]
    for index, value in made:
        if index is None:
            continue
        if value is None:
            variables.pop(index, None)
        else:
            variables[index] = value


def _setting(
    statement: Statement, line: Line, variables: dict[int, float], *, known: bool = True
) -> tuple[int | None, float | None]:
    """Number and new value of a variable; the value is `UNKNOWN` where it cannot be decided."""
    assert statement.target is not None  # every assignment has both, as it was read
    assert statement.value is not None
    try:
        index = round(evaluate(statement.target, variables) or 0.0)
    except UndecidableError as error:
        line.remark("not-understood", f"which variable is set cannot be known: {error}")
        return None, None
    if not known:
        return index, UNKNOWN
    try:
        return index, evaluate(statement.value, variables)
    except UndecidableError as error:
        line.remark("not-understood", f"the value of #{index} cannot be known: {error}")
        return index, UNKNOWN
