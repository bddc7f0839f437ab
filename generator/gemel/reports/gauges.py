"""Which gauge suits a size: the coarsest whose reading is a tenth of the tolerance (common practice, no source)."""

from __future__ import annotations

__all__ = ["gauge"]

_CALLIPER_MM = 0.2
"""Least tolerance for a calliper that reads 0.02 mm."""

_MICROMETER_MM = 0.01
"""Least tolerance for a micrometer that reads 0.001 mm."""

_BY_KIND = {
    "outside": ("calliper", "micrometer", "comparator against gauge blocks"),
    "flats": ("calliper", "micrometer", "comparator against gauge blocks"),
    "groove": ("calliper with knife edges", "blade micrometer", "blade micrometer against gauge blocks"),
    "inside": ("calliper", "plug gauge, or bore micrometer", "air gauge, or bore comparator against a ring"),
    "width": ("calliper", "gauge blocks, or slot plug", "gauge blocks"),
    "length": ("calliper", "height gauge on the surface plate", "comparator against gauge blocks"),
    "depth": ("depth calliper", "depth micrometer", "comparator against gauge blocks"),
    "place": ("calliper, to the edge and half the size", "height gauge on the surface plate", "coordinate measuring"),
    "circle": ("calliper over pins, less one pin", "coordinate measuring", "coordinate measuring"),
}
_FIXED = {
    "outside thread": "thread ring gauges, GO and NO GO",
    "inside thread": "thread plug gauge, GO and NO GO",
    "core": "plain plug gauge, or calliper with knife edges",
    "angle": "dividing head, or coordinate measuring",
    "edge": "by eye, against a scale",
}


def gauge(kind: str, tolerance_mm: float | None) -> str:
    """A gauge for a kind of size under a tolerance (largest less smallest); without one, as for a coarse one."""
    if kind in _FIXED:
        return _FIXED[kind]
    coarse, fine, finest = _BY_KIND[kind]
    # A tolerance computed from others may miss a bound by the noise of binary arithmetic.
    width = None if tolerance_mm is None else round(tolerance_mm, 9)
    if width is None or width >= _CALLIPER_MM:
        return coarse
    return fine if width >= _MICROMETER_MM else finest
