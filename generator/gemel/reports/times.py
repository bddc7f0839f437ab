"""Times in words."""

from __future__ import annotations

from gemel.reports.sizes import tenth

__all__ = ["duration", "seconds"]


def seconds(value_s: float) -> str:
    """Seconds to a tenth."""
    return f"{tenth(value_s)} s"


def duration(value_s: float) -> str:
    """Seconds, from two minutes on with minutes."""
    if value_s < 120:
        return seconds(value_s)
    minutes, rest = divmod(round(value_s), 60)
    return f"{minutes} min {rest:02d} s"
