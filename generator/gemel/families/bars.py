"""Limit deviations of bar stock by how it was made."""

from __future__ import annotations

from bisect import bisect_left

from gemel.families.deviations import Limits, UnknownTolerance
from gemel.families.fits import iso286_limits

__all__ = ["bright_bar_limits", "hot_rolled_limits"]

_LEAST_MM = 16.0
# EN 10060 table 1, upper ends included. A seen copy is unsure between 36 and 38 mm; 0.8 there is from memory.
_STEPS_MM = (25.0, 35.0, 50.0, 80.0, 100.0)
_DEVIATION_MM = (0.5, 0.6, 0.8, 1.0, 1.3)


def hot_rolled_limits(dia_mm: float) -> Limits:
    """Limit deviations of a hot-rolled round bar's diameter, mm (EN 10060, normal class), 16 to 100 mm.

    Raises:
        UnknownTolerance: the diameter lies outside the table.
    """
    size = round(float(dia_mm), 9)
    if not _LEAST_MM <= size <= _STEPS_MM[-1]:
        reason = f"hot-rolled rounds here are {_LEAST_MM:g} to {_STEPS_MM[-1]:g} mm, not {size:g}"
        raise UnknownTolerance("hot rolled", (), reason)
    deviation = _DEVIATION_MM[bisect_left(_STEPS_MM, size)]
    return Limits(-deviation, deviation, "hot rolled", "EN 10060")


def bright_bar_limits(dia_mm: float) -> Limits:
    """Limit deviations of a bright drawn bar's diameter, mm: h9, which EN 10278 asks or betters (from memory).

    Raises:
        UnknownTolerance: the diameter lies outside the table.
    """
    return iso286_limits(dia_mm, "h9")
