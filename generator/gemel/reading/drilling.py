"""Drilling and tapping cycles: one stroke for every block with an axis word until the cycle ends.

The depth is X in the plane `yz`, or where the cycle's first block has X and no Z; else the normal of the plane `xy`
and Z on a lathe. Words of the other axes are positions, reached before the stroke and kept. The depth is reached and
left again.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from gemel.reading.moves import coordinate, move_to, plane_axes, scale
from gemel.reading.state import Cycle

if TYPE_CHECKING:
    from gemel.reading.dialect import Dialect
    from gemel.reading.line import Line
    from gemel.reading.run import Motion
    from gemel.reading.state import State

__all__ = ["drill"]

_MOST_REPEATS = 1000
"""More strokes of one block than that are not drawn."""


class _Worded(NamedTuple):
    """An axis word: its number in the dialect's unit, None where it cannot be known; incremental by letter or mode."""

    value: float | None
    incremental: bool


def drill(kind: str, line: Line, state: State, dialect: Dialect) -> tuple[Motion, ...]:
    """The strokes of this block; `kind` is that of a code in the block, or empty for a block that repeats the cycle.

    L or K says how often; without a stroke (0) the words are taken note of only.
    """
    words = _words(line, state, dialect)
    active = state.cycle
    if kind and (active is None or active.kind != kind):
        axis = _axis(words, state, dialect)
        active = Cycle(kind, axis, initial=coordinate(state.position, axis))
    assert active is not None  # the interpretation asks for a stroke only while a cycle is active
    active = _updated(active, line, words, state, dialect)
    state.cycle = active
    repeats = next((n for letter in "LK" if (n := line.take(letter)) is not None), 1.0)
    if not words:
        return ()
    motions: list[Motion] = []
    for _ in range(int(min(max(repeats, 0), _MOST_REPEATS))):
        motions += _stroke(active, words, state, dialect)
    return tuple(motions)


def _words(line: Line, state: State, dialect: Dialect) -> dict[str, _Worded]:
    """What the block words of each axis."""
    found = {}
    mode = state.mode("distance") == "incremental"
    factor = scale(state, dialect)
    for letter, axis in dialect.axes.items():
        incremental = axis.incremental or mode
        value = line.take(letter)
        if value is not None:
            found[axis.name] = _Worded(value if axis.name in {"c", "b"} else value * factor, incremental)
        elif letter in line.undecided:
            found[axis.name] = _Worded(None, incremental)
    return found


def _axis(words: dict[str, _Worded], state: State, dialect: Dialect) -> str:
    """The axis along which the cycle goes in."""
    plane = state.mode("plane")
    if not dialect.x_is_diameter:
        return next(n for n in ("z", "y", "x") if n not in plane_axes(state))
    return "x" if plane == "yz" or ("x" in words and "z" not in words) else "z"


def _updated(cycle: Cycle, line: Line, words: dict[str, _Worded], state: State, dialect: Dialect) -> Cycle:
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
    worded = words.get(cycle.axis)
    if worded is None:
        return cycle
    level = _level(cycle, state, dialect)
    goal = worded.value
    if goal is not None and worded.incremental:
        goal = None if level is None else level + goal
    return replace(cycle, goal=goal)


def _level(cycle: Cycle, state: State, dialect: Dialect) -> float | None:
    """The R level of the cycle, None where unknown."""
    if cycle.initial is None or cycle.retract is None:
        return cycle.initial
    if dialect.retract_is_level and state.mode("distance") != "incremental":
        return cycle.retract
    doubled = 2.0 if cycle.axis == "x" and dialect.x_is_diameter else 1.0
    return cycle.initial + cycle.retract * doubled


def _stroke(cycle: Cycle, words: dict[str, _Worded], state: State, dialect: Dialect) -> list[Motion]:
    """To the position, to the R level, down to the depth, and back.

    Where R is a level, a tool that stands below it goes there first, and never back below it (NISTIR 6556, 3.5.16).
    """
    goal: dict[str, float | None] = {}
    for name, (value, incremental) in words.items():
        if name == cycle.axis:
            continue
        here = coordinate(state.position, name)
        if value is not None and incremental:
            value = None if here is None else here + value  # noqa: PLW2901 # the word's number made a coordinate
        goal[name] = value
    level, clear = _level(cycle, state, dialect), cycle.initial
    path: list[tuple[str, dict[str, float | None]]] = [("rapid", goal), ("rapid", {cycle.axis: level})]
    if dialect.retract_is_level and clear is not None and level is not None and clear < level:
        clear = level
        path.insert(0, path[1])
    if cycle.goal is not None:
        back = level if state.mode("return") == "retract" else clear
        path.append(("tap" if cycle.kind == "tap" else "drill", {cycle.axis: cycle.goal}))
        path.append(("retract", {cycle.axis: back}))
    motions = []
    for kind, target in path:
        if kind in {"drill", "tap"}:
            motions.append(move_to(kind, target, state)._replace(dwell_s=cycle.dwell_s))
        elif any(coordinate(state.position, n) != v for n, v in target.items()):
            motions.append(move_to(kind, target, state))
    return motions
