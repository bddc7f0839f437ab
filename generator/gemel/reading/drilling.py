"""Drilling and tapping cycles: one stroke for every block with an axis word until the cycle ends.

The depth is X in the plane `yz`, or where the cycle's first block has X and no Z; else the normal of the plane `xy`
and Z on a lathe. Words of the other axes are positions, reached before the stroke and kept. The depth is reached and
left again.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from gemel.reading.moves import coordinate, move_to, plane_axes, scale
from gemel.reading.state import Cycle

if TYPE_CHECKING:
    from gemel.reading.dialect import Dialect
    from gemel.reading.line import Line
    from gemel.reading.run import Motion
    from gemel.reading.state import State

__all__ = ["drill"]

_MOST_REPEATS = 1000


def drill(kind: str, line: Line, state: State, dialect: Dialect) -> tuple[Motion, ...]:
    """The strokes of this block; `kind` is that of a code in the block, or empty for a block that repeats the cycle."""
    words = _words(line, dialect)
    active = state.cycle
    if kind and (active is None or active.axis == "" or active.kind != kind):
        axis = _axis(words, state, dialect)
        active = Cycle(kind, axis, initial=coordinate(state.position, axis))
    assert active is not None  # the interpretation asks for a stroke only while a cycle is active
    active = _updated(active, line, words, state, dialect)
    state.cycle = active
    repeats = int(min(max(line.take("L") or line.take("K") or 1, 0), _MOST_REPEATS))
    if not words:
        return ()
    motions: list[Motion] = []
    for _ in range(repeats if _is_incremental(state) else 1):
        motions += _stroke(active, words, state, dialect)
    return tuple(motions)


def _words(line: Line, dialect: Dialect) -> dict[str, tuple[float, bool]]:
    """Number of each axis the block words, and whether it is incremental by its letter."""
    found = {}
    for letter, axis in dialect.axes.items():
        value = line.take(letter)
        if value is not None:
            found[axis.name] = value, axis.incremental
    return found


def _axis(words: dict[str, tuple[float, bool]], state: State, dialect: Dialect) -> str:
    """The axis along which the cycle goes in."""
    plane = state.mode("plane")
    if not dialect.x_is_diameter:
        return next(n for n in ("z", "y", "x") if n not in plane_axes(state))
    return "x" if plane == "yz" or ("x" in words and "z" not in words) else "z"


def _is_incremental(state: State) -> bool:
    return state.mode("distance") == "incremental"


def _updated(cycle: Cycle, line: Line, words: dict[str, tuple[float, bool]], state: State, dialect: Dialect) -> Cycle:
    """The cycle with the depth, the R level, the peck and the dwell that the block gives."""
    factor = scale(state, dialect)
    retract, peck, dwell = line.take("R"), line.take("Q"), line.take("P")
    if dwell is not None:
        cycle = replace(cycle, dwell_s=abs(dwell) * dialect.dwell.get("P", 0.0))
    if retract is not None:
        cycle = replace(cycle, retract=retract * factor)
    if peck is not None:
        word = line.word("Q")
        step = peck * factor if word is not None and word.has_point else peck * dialect.least_increment
        cycle = replace(cycle, peck=abs(step))
    if cycle.axis in words:
        value, by_letter = words[cycle.axis]
        value *= factor
        if not by_letter and not _is_incremental(state):
            return replace(cycle, goal=value)
        level = _level(cycle, dialect, incremental=_is_incremental(state))
        return replace(cycle, goal=None if level is None else level + value)
    return cycle


def _level(cycle: Cycle, dialect: Dialect, *, incremental: bool) -> float | None:
    """The R level of the cycle, None where unknown."""
    if cycle.initial is None or cycle.retract is None:
        return cycle.initial
    if dialect.retract_is_level and not incremental:
        return cycle.retract
    doubled = 2.0 if cycle.axis == "x" and dialect.x_is_diameter else 1.0
    return cycle.initial + cycle.retract * doubled


def _stroke(cycle: Cycle, words: dict[str, tuple[float, bool]], state: State, dialect: Dialect) -> list[Motion]:
    """To the position, to the R level, down to the depth, and back."""
    factor = scale(state, dialect)
    goal: dict[str, float | None] = {}
    for name, (value, by_letter) in words.items():
        if name == cycle.axis:
            continue
        number = value if name in {"c", "b"} else value * factor
        here = coordinate(state.position, name)
        if by_letter or _is_incremental(state):
            goal[name] = None if here is None else here + number
        else:
            goal[name] = number
    motions = [move_to("rapid", goal, state)] if goal else []
    level = _level(cycle, dialect, incremental=_is_incremental(state))
    if level != coordinate(state.position, cycle.axis):
        motions.append(move_to("rapid", {cycle.axis: level}, state))
    if cycle.goal is None:
        return motions
    down = move_to("tap" if cycle.kind == "tap" else "drill", {cycle.axis: cycle.goal}, state)
    motions.append(down._replace(dwell_s=cycle.dwell_s))
    back = level if state.mode("return") == "retract" else cycle.initial
    if back != coordinate(state.position, cycle.axis):
        motions.append(move_to("retract", {cycle.axis: back}, state))
    return motions
