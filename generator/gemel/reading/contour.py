"""Roughing and finishing along a contour of the program: blocks N(P) to N(Q), turned in levels or followed once.

Common practice of turning controls (no source): a first line sets depth (U or W, a radius) and draw-back R, the second
names the contour with P and Q and the allowances U (diameter) and W. Levels are parallel to Z for turning and to X for
facing; each ends at the contour with its allowance, a last pass follows it, and the cycle ends where it began.
"""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING, NamedTuple

from gemel.reading.arcs import arc_about
from gemel.reading.moves import move_to, scale

if TYPE_CHECKING:
    from gemel.reading.dialect import Dialect
    from gemel.reading.line import Line
    from gemel.reading.run import Motion
    from gemel.reading.state import State

__all__ = ["Contour", "chords_of", "follow", "rough"]

_MOST_LEVELS = 500
"""More levels than that are not drawn one by one."""


class Contour(NamedTuple):
    """A contour as the blocks describe it, arcs cut into chords.

    Attributes:
        points: (x_dia, z) of each point, the target of the first block first.
        motions: the motions of its blocks.
    """

    points: tuple[tuple[float, float], ...]
    motions: tuple[Motion, ...]


class _Levels(NamedTuple):
    """How to rough: the coordinate across the levels (0 for X, 1 for Z), the step across, the draw-back along it."""

    across: int
    step: float
    back: tuple[float, float]


def rough(kind: str, line: Line, contour: Contour | None, state: State, dialect: Dialect) -> tuple[Motion, ...]:
    """The motions of a roughing cycle; the first line of two only leaves its words for the second."""
    factor = scale(state, dialect)
    letter = "U" if kind == "rough-turn" else "W"
    if "P" not in line.values:
        for name in (letter, "R"):
            value = line.take(name)
            if value is not None:
                state.cycle_words[kind + name] = abs(value) * factor
        return ()
    allowance = (line.take("U") or 0.0) * factor, (line.take("W") or 0.0) * factor
    one_line = line.take("D")
    depth = state.cycle_words.get(kind + letter, 0.0)
    if one_line is not None:
        word = line.word("D")
        depth = abs(one_line) * (factor if word and word.has_point else dialect.least_increment)
    x, z = state.position.x_dia, state.position.z
    if contour is None or not contour.points or x is None or z is None:
        line.remark("not-understood", "the contour of the cycle or its start cannot be known")
        return ()
    if depth <= 0:
        line.remark("not-understood", "the cycle has no depth of cut")
        return ()
    retract = state.cycle_words.get(kind + "R", dialect.cycle_retract)
    levels = (
        _Levels(0, 2 * depth, (2 * retract, retract)) if letter == "U" else _Levels(1, depth, (2 * retract, retract))
    )
    points = [(px + allowance[0], pz + allowance[1]) for px, pz in contour.points]
    return _along(_cleared(points, (x, z), levels) + _contour_pass(points, (x, z), levels.across), state)


def _cleared(
    points: list[tuple[float, float]], start: tuple[float, float], levels: _Levels
) -> list[tuple[str, tuple[float, float]]]:
    """The levels from the start to the contour: in, along, off, back."""
    a, b = levels.across, 1 - levels.across
    deepest = points[0][a]
    sense = math.copysign(1.0, deepest - start[a])
    along = math.copysign(1.0, points[-1][b] - start[b])
    path: list[tuple[str, tuple[float, float]]] = []
    for k in range(1, _MOST_LEVELS):
        level = start[a] + sense * levels.step * k
        if (level - deepest) * sense >= 0:
            break
        hit = _crossing(points, level, a, sense)
        off = level - sense * levels.back[a], hit - along * levels.back[b]
        path += [
            ("rapid", _pair(level, start[b], a)),
            ("feed", _pair(level, hit, a)),
            ("rapid", _pair(off[0], off[1], a)),
            ("rapid", _pair(off[0], start[b], a)),
        ]
    return path


def _pair(across: float, along: float, a: int) -> tuple[float, float]:
    """(x, z) of a coordinate across the levels and one along them."""
    return (across, along) if a == 0 else (along, across)


def _crossing(points: list[tuple[float, float]], level: float, a: int, sense: float) -> float:
    """Where the contour first comes back to the level, else its end."""
    b = 1 - a
    for before, after in itertools.pairwise(points):
        if (after[a] - level) * sense <= 0:
            span = after[a] - before[a]
            share = (level - before[a]) / span if span else 0.0
            return before[b] + share * (after[b] - before[b])
    return points[-1][b]


def _contour_pass(
    points: list[tuple[float, float]], start: tuple[float, float], a: int
) -> list[tuple[str, tuple[float, float]]]:
    """Once along the contour and back to the start, first off the work."""
    last = points[-1]
    off = _pair(start[a], last[1 - a], a)
    entry = _pair(points[0][a], start[1 - a], a)
    return [("rapid", entry), *(("feed", p) for p in points), ("rapid", off), ("rapid", start)]


def _along(path: list[tuple[str, tuple[float, float]]], state: State) -> tuple[Motion, ...]:
    """The motions to a list of points; those that move nothing are left out."""
    motions = []
    for kind, (x, z) in path:
        if (state.position.x_dia, state.position.z) != (x, z):
            motions.append(move_to(kind, {"x": x, "z": z}, state))
    return tuple(motions)


def follow(contour: Contour | None, line: Line, state: State) -> tuple[Motion, ...]:
    """The motions of a finishing cycle: the contour itself, and back to the start."""
    line.take("U")
    line.take("W")
    x, z = state.position.x_dia, state.position.z
    if contour is None or not contour.motions:
        line.remark("not-understood", "the contour of the cycle cannot be known")
        return ()
    state.position = contour.motions[-1].end
    if x is None or z is None:
        return contour.motions
    last = state.position.z
    return contour.motions + _along([("rapid", (x, z if last is None else last)), ("rapid", (x, z))], state)


def chords_of(motions: list[Motion], dialect: Dialect) -> tuple[tuple[float, float], ...]:
    """(x_dia, z) of every end of a motion, arcs cut into chords no further than ten least increments from them."""
    points: list[tuple[float, float]] = []
    for motion in motions:
        x, z = motion.end.x_dia, motion.end.z
        if x is None or z is None:
            return ()
        points += _along_arc(motion, dialect)
        points.append((x, z))
    return tuple(points)


def _along_arc(motion: Motion, dialect: Dialect) -> list[tuple[float, float]]:
    """(x_dia, z) of points on an arc of the turning plane between its ends."""
    (x0, z0), (x1, z1) = ((p.x_dia, p.z) for p in (motion.start, motion.end))
    if motion.center is None or motion.plane != "zx" or x0 is None or z0 is None or x1 is None or z1 is None:
        return []
    radii = 2.0 if dialect.x_is_diameter else 1.0
    offset = motion.center[0] - z0, motion.center[1] - x0 / radii
    arc = arc_about((z0, x0 / radii), (z1, x1 / radii), offset, (motion.clockwise, math.inf))
    return [(x * radii, z) for z, x in arc.points(10 * dialect.least_increment)[:-1]]
