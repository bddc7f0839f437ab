"""Depths of the passes that cut a thread, and what share of the full thread a tapping drill leaves."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.numbers import rule, sqrt
from gemel.numbers.arithmetic import less, over

if TYPE_CHECKING:
    from gemel.numbers import Number

__all__ = ["full_thread_percent", "infeed", "infeed_phi"]

_FIRST_SHARE = rule(0.3, "phi of the first pass", "published infeed formula for threading tools")


def infeed(depth_mm: float, count: int) -> list[Number]:
    """Depths after each pass that take equal areas off a V groove: d sqrt(i/N); the last is the depth itself.

    Depths are cumulative, on the radius, in the order they are cut; each step is smaller than the one before.

    Raises:
        ValueError: `count` is below 1.
    """
    _check(count)
    return [depth_mm * sqrt(over(done, count)) for done in range(1, count + 1)]


def infeed_phi(depth_mm: float, count: int) -> list[Number]:
    """Depths after each pass by d sqrt(phi) / sqrt(N - 1), phi = 0.3, 1, 2 ... N - 1: a lighter first pass.

    Cumulative and on the radius as `infeed` gives them; a single pass is the whole depth.

    Raises:
        ValueError: `count` is below 1.
    """
    _check(count)
    if count == 1:
        return infeed(depth_mm, 1)
    shares = [_FIRST_SHARE, *(float(done) for done in range(1, count))]
    return [depth_mm * sqrt(over(share, count - 1)) for share in shares]


def _check(count: int) -> None:
    if count < 1:
        raise ValueError(f"a thread needs at least one pass, not {count}")


def full_thread_percent(major_mm: float, pitch_mm: float, drill_mm: float) -> Number:
    """Share of the full thread height (0.6495 P) that a tapping drill leaves, percent: 76.98 (D - drill) / P.

    The convention of inch charts; on a metric basis (0.5413 P) the same drill counts for more.
    """
    height = rule(76.98, "100 / (2 x 0.6495)", "height of the full thread, from memory, fits a published M3 chart")
    return height * less(major_mm, drill_mm) / pitch_mm
