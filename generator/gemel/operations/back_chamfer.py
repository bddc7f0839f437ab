"""Chamfer at 45 degrees on the outer edge of the second side, with a turning tool on the right spindle."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.families.features import FeatureFace, Flats
from gemel.families.geometry import across_corners_mm
from gemel.families.handover import BackChamfer
from gemel.numbers import maximum, minimum, rule
from gemel.operations import codes
from gemel.operations.common import Turning, begin_turning, chamfer_leg_mm, clear_mm, end_turning, fault, need
from gemel.operations.steps import Feed, Rapid, Step

if TYPE_CHECKING:
    from gemel.families.part import Job

__all__ = ["back_chamfer"]

_FACE = rule(0.0, "finished face", "definition of the offset")


def back_chamfer(job: Job) -> list[Step]:
    """Steps of the chamfer, the nose radius allowed for, in one cut from the face outwards.

    Raises:
        Findings: no chamfer of that size on that diameter.
    """
    operation = job.operation_as(BackChamfer)
    size = operation.size_mm
    if size is None:
        size = job.feature.chamfer_mm if isinstance(job.feature, FeatureFace) else None
    size = need(job, size, "the chamfer's size")
    outer = operation.dia_mm if operation.dia_mm is not None else _outer_mm(job)
    if not 0 < size < outer / 2:
        raise fault(job, codes.UNREACHABLE, f"a chamfer of {float(size):g} on a diameter of {float(outer):g}", size)
    feed, clear = need(job, job.cutting.feed_mm_rev, "a feed"), clear_mm(job)
    reach = chamfer_leg_mm(job, size) + clear
    steps: list[Step] = [
        *begin_turning(job, Turning()),
        Rapid(z=_FACE + clear),
        Rapid(x=outer - 2.0 * reach),
        Feed(x=outer + 2.0 * clear, z=-reach, feed=feed),
    ]
    return [*steps, *end_turning(job)]


def _outer_mm(job: Job) -> float:
    """The circle round the part's back end: the bar, or the corners of flats that reach so far, where they meet."""
    length = job.part.length_mm
    flats = [f for f in job.part.features.values() if isinstance(f, Flats) and f.count > 2 and f.to_mm >= length]
    corners = [across_corners_mm(f.across_mm, f.count) for f in flats]
    return minimum(job.part.stock.round_mm, maximum(*corners)) if corners else job.part.stock.round_mm
