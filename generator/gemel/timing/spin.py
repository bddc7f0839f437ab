"""How long a spindle or a tool drive takes from one speed to another, by its inertia, torque and power.

J dw/dt = M(w) gives t = J * integral of dw / M(w). M is the machine file's torque curve, straight between its points,
and never more than P/w: where the curve holds, the integral is a logarithm, where the power holds it is
J (w1^2 - w0^2) / 2P. The load of workpiece and tool is not among it, and braking takes as long as speeding up (common
practice, no source).
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["SpinCurve"]

_RADIANS_S = 2.0 * math.pi / 60.0
"""One revolution a minute in radians a second."""


class _Piece(NamedTuple):
    """Speeds from `low` to `high` (rad/s) at which the torque is `torque` + `slope` x speed, or the power's if None."""

    low: float
    high: float
    torque: float | None
    slope: float
    before_s: float


class SpinCurve:
    """The seconds that a drive takes between two speeds.

    Args:
        inertia_kgm2: of everything that turns.
        power_kw: of the drive.
        torque: [rpm, N m] points; the first holds below, the last above.

    Raises:
        ValueError: inertia, power or a torque is not above zero, or there are no points.
    """

    __slots__ = ("_inertia", "_pieces", "_watts")

    def __init__(self, inertia_kgm2: float, power_kw: float, torque: Sequence[Sequence[float]]) -> None:
        points = sorted((float(n) * _RADIANS_S, float(m)) for n, m in torque)
        if inertia_kgm2 <= 0 or power_kw <= 0 or not points or any(m <= 0 for _, m in points):
            raise ValueError("a drive needs inertia, power and torque above zero")
        self._inertia = float(inertia_kgm2)
        self._watts = float(power_kw) * 1000.0
        self._pieces: list[_Piece] = []
        if points[0][0] > 0:
            points.insert(0, (0.0, points[0][1]))
        points.append((math.inf, points[-1][1]))
        for (low, m_low), (high, m_high) in pairwise(points):
            if high > low:
                slope = 0.0 if math.isinf(high) else (m_high - m_low) / (high - low)
                self._add(low, high, m_low - slope * low, slope)

    def _add(self, low: float, high: float, torque: float, slope: float) -> None:
        """The pieces of one straight of the curve, cut where it crosses the power's torque."""
        inside = (w for w in _crossings(torque, slope, self._watts) if low < w < high)
        for a, b in pairwise([low, *sorted(inside), high]):
            middle = (a + b) / 2 if not math.isinf(b) else 2 * a + 1.0
            by_power = (torque + slope * middle) * middle > self._watts
            before = self._pieces[-1].before_s + self._in(self._pieces[-1], a) if self._pieces else 0.0
            self._pieces.append(_Piece(a, b, None if by_power else torque, slope, before))

    def _in(self, piece: _Piece, speed: float) -> float:
        """Seconds from the beginning of the piece to a speed in it."""
        if piece.torque is None:
            return self._inertia * (speed * speed - piece.low * piece.low) / (2.0 * self._watts)
        if piece.slope == 0.0:
            return self._inertia * (speed - piece.low) / piece.torque
        low, high = piece.torque + piece.slope * piece.low, piece.torque + piece.slope * speed
        return self._inertia / piece.slope * math.log(high / low)

    def from_rest_s(self, rpm: float) -> float:
        """Seconds from rest to a speed."""
        speed = abs(rpm) * _RADIANS_S
        piece = next(p for p in self._pieces if speed <= p.high)
        return piece.before_s + self._in(piece, speed)

    def seconds(self, before_rpm: float, after_rpm: float) -> float:
        """Seconds from one speed to another; a negative one is the other way round."""
        before, after = self.from_rest_s(before_rpm), self.from_rest_s(after_rpm)
        return before + after if before_rpm * after_rpm < 0 else abs(after - before)


def _crossings(torque: float, slope: float, watts: float) -> list[float]:
    """Speeds at which the straight torque + slope x speed is watts / speed."""
    if slope == 0.0:
        return [watts / torque]
    inside = torque * torque + 4.0 * slope * watts
    if inside < 0:
        return []
    root = math.sqrt(inside)
    return [(-torque + root) / (2.0 * slope), (-torque - root) / (2.0 * slope)]
