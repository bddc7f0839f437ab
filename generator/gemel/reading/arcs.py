"""Arcs: centre, angle, and the extremes on the way. Coordinates are those of the plane, diameters halved.

The planes are seen from the positive end of their normal: (x, y), (z, x), (y, z); G03 turns counter-clockwise there,
on a lathe with +X up and +Z to the right as well (checks: NISTIR 6556, 3.5.3; right-hand ZX plane).
"""

from __future__ import annotations

import math
from typing import NamedTuple

__all__ = ["Arc", "ArcError", "arc_about", "arc_by_radius"]

_FULL = 2 * math.pi
_SAME = 1e-9


class ArcError(ValueError):
    """An arc that does not exist; the message says why."""


class Arc(NamedTuple):
    """An arc in a plane.

    Attributes:
        start: first point.
        end: last point.
        center: centre.
        radius: at the start.
        sweep: angle in radians, always positive.
        clockwise: sense.
    """

    start: tuple[float, float]
    end: tuple[float, float]
    center: tuple[float, float]
    radius: float
    sweep: float
    clockwise: bool

    @property
    def length(self) -> float:
        """Length along the arc."""
        return self.radius * self.sweep

    def extremes(self, coordinate: int) -> tuple[float, float]:
        """Lowest and highest value of a coordinate (0 or 1) on the arc, ends included."""
        values = [self.start[coordinate], self.end[coordinate]]
        quarter = math.pi / 2
        for turns in range(2):
            angle = coordinate * quarter + turns * math.pi
            if self.passes(angle):
                values.append(self.center[coordinate] + (self.radius if turns == 0 else -self.radius))
        return min(values), max(values)

    def passes(self, angle: float) -> bool:
        """Whether the arc passes the point at this angle (radians) from the centre."""
        begin = math.atan2(self.start[1] - self.center[1], self.start[0] - self.center[0])
        turned = (begin - angle) if self.clockwise else (angle - begin)
        return turned % _FULL <= self.sweep + _SAME

    def points(self, tolerance: float) -> list[tuple[float, float]]:
        """Points on the arc behind the start, the end included, chords no further than `tolerance` from it."""
        ratio = min(1.0, tolerance / self.radius) if self.radius else 1.0
        count = max(1, math.ceil(self.sweep / max(2 * math.acos(1 - ratio), 0.02)))
        begin = math.atan2(self.start[1] - self.center[1], self.start[0] - self.center[0])
        sense = -1.0 if self.clockwise else 1.0
        angles = [begin + sense * self.sweep * i / count for i in range(1, count)]
        cx, cy = self.center
        return [(cx + self.radius * math.cos(a), cy + self.radius * math.sin(a)) for a in angles] + [self.end]


def arc_about(
    start: tuple[float, float], end: tuple[float, float], offset: tuple[float, float], sense: tuple[bool, float]
) -> Arc:
    """The arc about a centre that stands at `offset` from the start; `sense` is clockwise and the tolerance.

    Ends alike give a full circle.

    Raises:
        ArcError: the two radii differ by more than the tolerance, or the centre is the start.
    """
    clockwise, tolerance = sense
    center = start[0] + offset[0], start[1] + offset[1]
    radius = math.hypot(*offset)
    last = math.hypot(end[0] - center[0], end[1] - center[1])
    if radius < _SAME:
        raise ArcError("the centre is the start of the arc")
    if abs(radius - last) > tolerance + _SAME:
        raise ArcError(f"the radius is {radius:.4f} at the start and {last:.4f} at the end")
    return Arc(start, end, center, radius, _sweep(start, end, center, clockwise=clockwise), clockwise)


def arc_by_radius(
    start: tuple[float, float], end: tuple[float, float], radius: float, sense: tuple[bool, float]
) -> Arc:
    """The arc of a radius: up to half a turn if it is positive, more if negative; `sense` as in `arc_about`.

    Raises:
        ArcError: the ends are one point or are further apart than the diameter.
    """
    clockwise, tolerance = sense
    dx, dy = end[0] - start[0], end[1] - start[1]
    chord = math.hypot(dx, dy)
    if chord < _SAME:
        raise ArcError("an arc by radius must end elsewhere than it starts")
    if chord / 2 > abs(radius) + tolerance:
        raise ArcError(f"no centre exists: the ends are {chord:.4f} apart, twice the radius is {2 * abs(radius):.4f}")
    rise = math.sqrt(max(0.0, radius * radius - chord * chord / 4))
    side = rise if clockwise == (radius < 0) else -rise
    center = (start[0] + end[0]) / 2 - dy / chord * side, (start[1] + end[1]) / 2 + dx / chord * side
    sweep = _sweep(start, end, center, clockwise=clockwise)
    return Arc(start, end, center, max(abs(radius), chord / 2), sweep, clockwise)


def _sweep(
    start: tuple[float, float], end: tuple[float, float], center: tuple[float, float], *, clockwise: bool
) -> float:
    """The angle turned from start to end, in (0, 2 pi]."""
    if math.dist(start, end) < _SAME:
        return _FULL
    begin = math.atan2(start[1] - center[1], start[0] - center[0])
    final = math.atan2(end[1] - center[1], end[0] - center[0])
    turned = (begin - final) if clockwise else (final - begin)
    return turned % _FULL or _FULL
