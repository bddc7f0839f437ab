"""How long feed moves take: per minute, per revolution, and at constant surface speed, integrated exactly.

At constant surface speed v the spindle turns at n = v / (2 pi r), and at its clamp n_max within the radius
r_c = v / (2 pi n_max). A feed f per revolution then covers the way s in the integral of ds / (f n), which is
G(r) / f over a radius that changes evenly, with G(r) = r / n_max inside r_c, and
r_c / n_max + (r^2 - r_c^2) pi / v outside (closed form of the facing time; feed and speed follow without delay).
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from gemel.reading.run import Motion

__all__ = ["Turning", "per_minute_s", "per_revolution_s"]


class Turning(NamedTuple):
    """How something turns during a cut.

    Attributes:
        rpm: its speed; at constant surface speed the highest that is allowed.
        surface: surface speed in length units per minute, 0 for a fixed speed.
    """

    rpm: float
    surface: float = 0.0

    def at(self, radius: float) -> float:
        """Speed at a radius, 1/min."""
        if not self.surface:
            return self.rpm
        around = 2.0 * math.pi * abs(radius)
        return min(self.rpm, self.surface / around) if around > 0 else self.rpm

    def capped(self, rpm: float) -> Turning:
        """The same, never faster than that."""
        return self if rpm >= self.rpm else self._replace(rpm=rpm)

    @property
    def clamp_radius(self) -> float:
        """Radius within which the highest speed holds; 0 for a fixed speed."""
        return self.surface / (2.0 * math.pi * self.rpm) if self.surface and self.rpm > 0 else 0.0


def per_minute_s(length: float, feed: float) -> float:
    """Seconds for a length at a feed per minute."""
    return 60.0 * length / feed


def per_revolution_s(motion: Motion, length: float, feed: float, turning: Turning) -> float | None:
    """Seconds for a motion at a feed per revolution; None if it does not turn, or X is not known under surface speed.

    Args:
        motion: for its radii; X is a diameter.
        length: of its path.
        feed: unit/rev, above zero.
        turning: what sets the feed.
    """
    if turning.rpm <= 0 or feed <= 0:
        return None
    if not turning.surface:
        return 60.0 * length / (feed * turning.rpm)
    if motion.start.x_dia is None or motion.end.x_dia is None:
        return None
    start, end = motion.start.x_dia / 2, motion.end.x_dia / 2
    if motion.center is not None and "x" in motion.plane:
        return _along_arc(motion, length, turning) * 60.0 / feed
    if abs(end - start) < 1e-9 * max(abs(start), abs(end), 1.0):
        return 60.0 * length / (feed * turning.at(start))
    share = length / abs(end - start)
    return 60.0 * share * abs(_integral(end, turning) - _integral(start, turning)) / feed


def _integral(radius: float, turning: Turning) -> float:
    """G(r): the integral of dr / n(r) from the centre, odd in r; in units x minutes."""
    r, edge = abs(radius), turning.clamp_radius
    inside = min(r, edge) / turning.rpm
    outside = math.pi * (r * r - edge * edge) / turning.surface if r > edge else 0.0
    return math.copysign(inside + outside, radius)


def _along_arc(motion: Motion, length: float, turning: Turning) -> float:
    """The integral of ds / n(r) along an arc in a plane with X; in units x minutes.

    With r = c + R sin(t) and ds = R dt, the part outside the clamp is R 2 pi / v |c t - R cos(t)|.
    """
    assert motion.center is not None  # asked before
    assert motion.start.x_dia is not None  # the same
    x_first = motion.plane.startswith("x")
    across, middle = (1, 0) if x_first else (0, 1)
    z = motion.start.y if "y" in motion.plane else motion.start.z
    cx, other = motion.center[middle], motion.center[across]
    sine, cosine = motion.start.x_dia / 2 - cx, (z or 0.0) - other
    radius = math.hypot(sine, cosine)
    begin = math.atan2(sine, cosine)
    # Seen with X as the second axis (z, x): against the clock is the positive sense; (x, y) turns it round.
    sweep = math.radians(abs(motion.sweep_deg))
    finish = begin + (-sweep if motion.clockwise != x_first else sweep)
    low, high = min(begin, finish), max(begin, finish)
    total = 0.0
    for a, b in pairwise([low, *_cuts(cx, radius, turning.clamp_radius, (low, high)), high]):
        if abs(cx + radius * math.sin((a + b) / 2)) <= turning.clamp_radius:
            total += radius * (b - a) / turning.rpm
        else:
            swept = cx * (b - a) - radius * (math.cos(b) - math.cos(a))
            total += radius * 2.0 * math.pi / turning.surface * abs(swept)
    flat = radius * sweep
    return total * (length / flat) if flat > 0 else 0.0


def _cuts(cx: float, radius: float, edge: float, between: tuple[float, float]) -> list[float]:
    """Angles at which the arc crosses the clamp radius on either side of the centre."""
    found = []
    for level in (edge, -edge):
        sine = (level - cx) / radius if radius > 0 else 2.0
        if abs(sine) > 1:
            continue
        for root in (math.asin(sine), math.pi - math.asin(sine)):
            turn = math.ceil((between[0] - root) / (2 * math.pi))
            angle = root + 2 * math.pi * turn
            while angle < between[1]:
                found.append(angle)
                angle += 2 * math.pi
    return sorted(found)
