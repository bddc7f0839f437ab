"""How deep a tool that does not rotate bites into a workpiece on one move, and what it leaves. Lengths in mm.

The depth is measured across the feed: area taken off the outline over the length of the path. Where a move cuts by
turns, its deepest stretch counts that is longer than `SHORT_MM`; a drive does not notice a shorter one, of which the
mean counts. A tool that feeds across the axis bites as deep as the material reaches beyond it towards the front.
"""

from __future__ import annotations

from math import hypot
from typing import TYPE_CHECKING, NamedTuple

from gemel.cutting.profile import Run

if TYPE_CHECKING:
    from gemel.cutting.profile import Profile
    from gemel.cutting.workpiece import Workpiece

__all__ = ["SHORT_MM", "Bite", "Path", "bite", "bite_of_blade", "bite_of_drill"]

SHORT_MM = 0.5
_STEEP = 2.75
"""A path this much steeper than it is long counts as across the axis (70 degrees)."""

_TOUCH_MM = 0.005
"""A finished surface is not cut again by a move along it."""


class Path(NamedTuple):
    """A straight move of a tool's tip: Z and radius at both ends."""

    z0: float
    r0: float
    z1: float
    r1: float

    @property
    def length(self) -> float:
        """Of the path."""
        return hypot(self.z1 - self.z0, self.r1 - self.r0)

    @property
    def is_across(self) -> bool:
        """Whether it goes across the axis rather than along it."""
        return abs(self.r1 - self.r0) > _STEEP * abs(self.z1 - self.z0)

    def line(self, sign: float) -> Run:
        """The path as heights over Z, for an outside (`sign` 1) or the inside out of a bore (-1)."""
        ends = (self.z0, sign * self.r0), (self.z1, sign * self.r1)
        (low, at_low), (high, at_high) = sorted(ends)
        return Run(low, high, at_low, at_high)


class Bite(NamedTuple):
    """What a move takes.

    Attributes:
        depth: across the feed; the width of a blade that plunges; of a drill, half of what it opens the hole by.
        least_dia, most_dia: the diameters between which the middle of the chip lies.
        across: whether the tool feeds across the axis.
    """

    depth: float
    least_dia: float
    most_dia: float
    across: bool


def bite(work: Workpiece, path: Path, *, inside: bool) -> Bite | None:
    """What a turning tool (or a boring bar, `inside`) takes on a move; the workpiece is cut. None: it cuts air."""
    profile, sign = (work.inside, -1.0) if inside else (work.outside, 1.0)
    if path.length < _TOUCH_MM:
        return None
    if path.is_across:
        return _facing(work, profile, path, sign)
    line = path.line(sign)
    taken = profile.over(line)
    profile.lower(line)
    return _along(taken, abs(path.z1 - path.z0) / path.length, sign)


def _facing(work: Workpiece, profile: Profile, path: Path, sign: float) -> Bite | None:
    """A move across the axis, which takes all that reaches beyond the tool towards the front."""
    z = (path.z0 + path.z1) / 2.0
    deepest = min(sign * path.r0, sign * path.r1)
    depth = profile.beyond(z, deepest + _TOUCH_MM)
    if depth < _TOUCH_MM:
        return None
    top = profile.highest(z, z + depth)
    if sign > 0 and deepest <= -work.inside.highest(z, z + depth) + _TOUCH_MM:
        work.outside.end_at(z)
        work.inside.end_at(z)
    else:
        profile.lower(Run(z, z + depth, deepest, deepest))
    ends = sorted((max(abs(deepest), 0.0), min(abs(top), max(path.r0, path.r1))))
    return Bite(depth, 2.0 * ends[0], 2.0 * ends[1], across=True)


def bite_of_blade(work: Workpiece, path: Path, width: float, *, left: bool) -> Bite | None:
    """What a blade takes; `left`: its path is that of the corner nearer the chuck. The workpiece is cut."""
    if path.length < _TOUCH_MM:
        return None
    shift = 0.0 if left else -width
    path = path._replace(z0=path.z0 + shift, z1=path.z1 + shift)
    if path.is_across:
        low, bottom = (path.z0 + path.z1) / 2.0, min(path.r0, path.r1)
        line = Run(low, low + width, bottom, bottom)
        taken = [(run, gap) for run, gap in work.outside.over(line) if gap > _TOUCH_MM]
        work.outside.lower(line)
        if not taken:
            return None
        top = min(max(run.at_low + 2.0 * gap for run, gap in taken), max(path.r0, path.r1))
        return Bite(sum(run.high - run.low for run, _ in taken), 2.0 * max(bottom, 0.0), 2.0 * top, across=True)
    lines = _swept(path, width)
    taken = [piece for line in lines for piece in work.outside.over(line)]
    for line in lines:
        work.outside.lower(line)
    area = sum((run.high - run.low) * gap for run, gap in taken)
    if area / path.length < _TOUCH_MM:
        return None
    middle = [2.0 * ((run.at_low + run.at_high) / 2.0 + gap / 2.0) for run, gap in taken]
    return Bite(area / path.length, min(middle), max(middle), across=False)


def _swept(path: Path, width: float) -> list[Run]:
    """What a blade leaves on a slanting move: the slope of its trailing corner, and its own width at the end."""
    trail = width if path.z1 < path.z0 else 0.0
    slope = path._replace(z0=path.z0 + trail, z1=path.z1 + trail).line(1.0)
    return [slope, Run(path.z1, path.z1 + width, path.r1, path.r1)]


def bite_of_drill(work: Workpiece, z0: float, z1: float, dia: float) -> Bite | None:
    """What a drill on the axis takes on its way in; the workpiece is drilled."""
    line = Run(min(z0, z1), max(z0, z1), -dia / 2.0, -dia / 2.0)
    there = work.inside.highest(line.low, line.high)
    work.inside.lower(line)
    hole = max(-2.0 * there, 0.0)
    if there == float("-inf") or hole >= dia - 2.0 * _TOUCH_MM:
        return None
    return Bite((dia - hole) / 2.0, hole, dia, across=False)


def _along(taken: list[tuple[Run, float]], slant: float, sign: float) -> Bite | None:
    """The deepest long stretch of what is taken; the mean of all where every one is short."""
    if not taken:
        return None
    long = [(run, gap) for run, gap in taken if (run.high - run.low) / max(slant, 1e-9) >= SHORT_MM]
    if long:
        run, gap = max(long, key=lambda piece: piece[1])
    else:
        length = sum(run.high - run.low for run, _ in taken)
        gap = sum((run.high - run.low) * gap for run, gap in taken) / length
        run = max(taken, key=lambda piece: piece[1])[0]
    depth = gap * slant
    if depth < _TOUCH_MM:
        return None
    # The middle of the chip lies outside the path on a round, inside it in a bore.
    middles = [abs(end) * 2.0 + sign * gap for end in (run.at_low, run.at_high)]
    return Bite(depth, min(middles), max(middles), across=False)
