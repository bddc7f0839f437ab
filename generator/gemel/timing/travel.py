"""How long rapid moves take: axes with a rate and an acceleration each, dog-leg or straight.

An axis that starts and ends at rest and may neither exceed its rate v nor its acceleration a covers the distance d in
d/v + v/a if it reaches its rate (d >= v^2/a), else in 2 sqrt(d/a): the trapezoid and the triangle of speed over time.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.machines.schema import Channel, Machine

__all__ = ["AxisRate", "axis_rates", "rapid_s", "rest_to_rest_s"]

_AXIS_NAMES = {"x": "x", "y": "y", "z": "z", "c": "c", "b": "b", "a": "slide"}
_UNITS_PER_METRE = {"mm": 1000.0, "inch": 1000.0 / 25.4}
_ROTARY = frozenset({"c", "b"})


class AxisRate(NamedTuple):
    """What an axis can do: units (degrees) per second, and per second squared; X along the radius."""

    rate: float
    acceleration: float


def axis_rates(machine: Machine, channel: Channel) -> dict[str, AxisRate]:
    """What each axis of a channel can do, by the name that it has in a `Position`.

    An axis for which the machine file lacks a figure, or says zero, is left out: how long it takes cannot be known.
    """
    metre = _UNITS_PER_METRE[machine.unit]
    found = {}
    for axis, rate in channel.rapid.items():
        acceleration = channel.acceleration.get(axis)
        if acceleration is None or acceleration <= 0 or rate <= 0:
            continue
        name = _AXIS_NAMES[axis]
        scale = 1.0 if name in _ROTARY else metre
        found[name] = AxisRate(float(rate) / 60.0, float(acceleration) * scale)
    return found


def rest_to_rest_s(distance: float, axis: AxisRate) -> float:
    """Seconds for a distance of one axis from rest to rest."""
    rate, acceleration = axis
    if distance * acceleration >= rate * rate:
        return distance / rate + rate / acceleration
    return 2.0 * math.sqrt(distance / acceleration)


def rapid_s(distances: Mapping[str, float], axes: Mapping[str, AxisRate], *, straight: bool) -> float | None:
    """Seconds of a rapid move; None if an axis has no known rate.

    Args:
        distances: how far each axis goes, not negative, X along the radius.
        axes: what they can do.
        straight: whether all arrive together on a straight line; else each runs at its own rate (dog-leg).
    """
    moving = {name: d for name, d in distances.items() if d > 0}
    if any(name not in axes for name in moving):
        return None
    if not straight or len(moving) < 2:
        return max((rest_to_rest_s(d, axes[name]) for name, d in moving.items()), default=0.0)
    # The path as one axis of length 1: the slowest axis sets the rate, the weakest the acceleration.
    rate = min(axes[name].rate / d for name, d in moving.items())
    acceleration = min(axes[name].acceleration / d for name, d in moving.items())
    return rest_to_rest_s(1.0, AxisRate(rate, acceleration))
