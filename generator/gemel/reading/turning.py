"""Cycles of turning programs: grooving, thread cutting by passes, and the single cycles that stay active.

Words and order of motion follow common practice of turning controls (no source). X is a diameter; R, P and Q of these
cycles are radii, P and Q in the control's least increment.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from gemel.reading.moves import coordinate, move_to, placed, scale, targets
from gemel.reading.state import Cycle

if TYPE_CHECKING:
    from gemel.reading.dialect import Dialect
    from gemel.reading.line import Line
    from gemel.reading.run import Motion
    from gemel.reading.state import State

__all__ = ["groove", "single", "thread"]

_MOST_PASSES = 500
"""More passes than that are not drawn one by one: a depth of a thousandth would make thousands."""

_MOST_PECKS = 2000
"""More pecks of one block than that, over all its grooves, are not drawn one by one."""


class _Corner(NamedTuple):
    """Start and corner of a cycle; X as diameters."""

    x0: float
    z0: float
    x: float
    z: float


def _corner(line: Line, state: State, dialect: Dialect) -> _Corner | None:
    """Where the cycle starts and where its corner is; None, with a remark, where it cannot be known."""
    goal = targets(line, state, dialect)
    x0, z0 = state.position.x_dia, state.position.z
    x, z = goal.get("x", x0), goal.get("z", z0)
    if x0 is None or z0 is None or x is None or z is None:
        line.remark("position-unknown", "the cycle starts or ends where nobody knows")
        return None
    return _Corner(x0, z0, x, z)


def single(kind: str, line: Line, state: State, dialect: Dialect) -> tuple[Motion, ...]:
    """One round of a single cycle; `kind` is that of a code in the block, or empty for a block that repeats it."""
    goal = targets(line, state, dialect)
    active = state.cycle if state.cycle and kind in {"", state.cycle.kind} else Cycle(kind)
    taper = line.take("R")
    if taper is not None:
        active = replace(active, retract=taper * scale(state, dialect))
    line.take("Q")
    x, z = goal.get("x", active.corner[0]), goal.get("z", active.corner[1])
    state.cycle = active = replace(active, corner=(x, z))
    x0, z0 = state.position.x_dia, state.position.z
    if not goal:
        return ()
    if x is None or z is None or x0 is None or z0 is None:
        line.remark("position-unknown", "the cycle starts where nobody knows, or X or Z of its corner is missing")
        state.position = placed(state.position, dict.fromkeys(goal))
        return ()
    start = 2 * (active.retract or 0.0)
    if active.kind == "single-face":
        shift = active.retract or 0.0
        path = [("rapid", {"z": z + shift}), ("feed", {"x": x, "z": z}), ("feed", {"z": z0}), ("rapid", {"x": x0})]
    elif active.kind == "single-thread":
        path = [("rapid", {"x": x + start}), ("thread", {"x": x, "z": z}), ("rapid", {"x": x0}), ("rapid", {"z": z0})]
    else:
        path = [("rapid", {"x": x + start}), ("feed", {"x": x, "z": z}), ("feed", {"x": x0}), ("rapid", {"z": z0})]
    return _along(path, state)


def _along(path: list[tuple[str, dict[str, float]]], state: State) -> tuple[Motion, ...]:
    """The motions along a list of kinds and goals; those that move nothing are left out."""
    motions = []
    for kind, goal in path:
        if any(coordinate(state.position, n) != v for n, v in goal.items()):
            motions.append(move_to(kind, dict(goal), state))
    return tuple(motions)


def groove(line: Line, state: State, dialect: Dialect) -> tuple[Motion, ...]:
    """Pecks in X at every groove from the start to the corner; a first line with R alone sets the draw-back."""
    factor = scale(state, dialect)
    retract = line.take("R")
    peck, step = _length(line, "P", dialect, factor), _length(line, "Q", dialect, factor)
    if retract is not None:
        state.cycle_words["groove-retract"] = retract * factor
    if peck is None and not any(letter in line.values for letter in dialect.axes):
        return ()
    corner = _corner(line, state, dialect)
    if corner is None:
        return ()
    back = 2 * state.cycle_words.get("groove-retract", dialect.cycle_retract)
    path: list[tuple[str, dict[str, float]]] = []
    stations = _stations(corner.z0, corner.z, step)
    pecks = _pecks(corner, 2 * peck if peck else 0.0, back, _MOST_PECKS // len(stations))
    for z in stations:
        path += [("rapid", {"z": z}), *pecks]
        path.append(("rapid", {"x": corner.x0}))
    path.append(("rapid", {"z": corner.z0}))
    return _along(path, state)


def _stations(first: float, last: float, step: float | None) -> list[float]:
    """Where to groove from `first` to `last`, both included."""
    count = _count(last - first, step, _MOST_PASSES) if step else int(last != first)
    sense = math.copysign(1.0, last - first)
    between = [first + sense * (step or 0.0) * i for i in range(1, count)]
    return [first, *between, last] if count else [first]


def _count(length: float, step: float, most: int) -> int:
    """How many steps cover a length, `most` at most."""
    return math.ceil(min(abs(length) / step - 1e-9, most))


def _pecks(corner: _Corner, peck: float, back: float, most: int) -> list[tuple[str, dict[str, float]]]:
    """Feeds from the start to the depth, drawing back after each peck (diameters)."""
    count = _count(corner.x - corner.x0, peck, most) if peck else 1
    sense = math.copysign(1.0, corner.x - corner.x0)
    path: list[tuple[str, dict[str, float]]] = []
    for i in range(1, count):
        x = corner.x0 + sense * peck * i
        path += [("feed", {"x": x}), ("rapid", {"x": x - sense * back})]
    return [*path, ("feed", {"x": corner.x})]


def _length(line: Line, letter: str, dialect: Dialect, factor: float) -> float | None:
    """A length that is written with a point in units, or without one in least increments."""
    value = line.take(letter)
    word = line.word(letter)
    if value is None or word is None:
        return None
    return abs(value) * (factor if word.has_point else dialect.least_increment)


def thread(line: Line, state: State, dialect: Dialect) -> tuple[Motion, ...]:
    """Passes of a thread: equal chip areas down to the root, then the finishing ones; first line sets the details.

    First line `P` (finishing passes, pull-out, angle: two digits each), `Q` least depth, `R` finishing allowance;
    second line X, Z, `R` taper, `P` height, `Q` first depth, F lead. Pass n stands at first depth x sqrt(n).
    """
    factor = scale(state, dialect)
    if not any(letter in line.values for letter in dialect.axes):
        state.cycle_words["thread-passes"] = float(int(line.take("P") or 0) // 10000 or 1)
        state.cycle_words["thread-least"] = _length(line, "Q", dialect, factor) or 0.0
        state.cycle_words["thread-finish"] = abs(line.take("R") or 0.0) * factor
        return ()
    taper = (line.take("R") or 0.0) * factor
    height, first = _length(line, "P", dialect, factor), _length(line, "Q", dialect, factor)
    corner = _corner(line, state, dialect)
    if corner is None or not height or not first:
        if corner is not None:
            line.remark("not-understood", "the thread cycle needs a height P and a first depth Q")
        return ()
    outside = 1.0 if corner.x0 + 1e-9 >= corner.x else -1.0
    path: list[tuple[str, dict[str, float]]] = []
    for depth in _depths(height, first, state.cycle_words):
        x = corner.x + outside * 2 * (height - depth)
        path += [("rapid", {"x": x + 2 * taper}), ("thread", {"x": x, "z": corner.z})]
        path += [("rapid", {"x": corner.x0}), ("rapid", {"z": corner.z0})]
    return _along(path, state)


def _depths(height: float, first: float, words: dict[str, float]) -> list[float]:
    """Depth of each pass from the crest."""
    finish = min(words.get("thread-finish", 0.0), height)
    least = words.get("thread-least", 0.0)
    depths: list[float] = []
    before = 0.0
    for n in range(1, _MOST_PASSES):
        depth = max(first * math.sqrt(n), before + least)
        if depth >= height - finish - 1e-9:
            break
        depths.append(depth)
        before = depth
    depths.append(height - finish)
    count = int(min(words.get("thread-passes", 1.0), 99))
    return depths + [height] * count if finish else depths + [height] * (count - 1)
