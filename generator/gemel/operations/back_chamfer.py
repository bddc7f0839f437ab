"""Chamfer at 45 degrees on the outer edge of the second side, with a turning tool on the right spindle."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.families.features import FeatureFace
from gemel.families.handover import BackChamfer
from gemel.numbers import rule, tan_deg
from gemel.operations import codes
from gemel.operations.common import Turning, begin_turning, clear_mm, end_turning, fault, need
from gemel.operations.steps import Feed, Rapid, Step

if TYPE_CHECKING:
    from gemel.families.part import Job

__all__ = ["back_chamfer"]

_HALF = rule(22.5, "half of 45 degrees", "the nose touches a 45 degree cone there")


def back_chamfer(job: Job) -> list[Step]:
    """Steps of the chamfer, the nose radius compensated: both ends move by r (1 - tan 22.5 deg).

    The nose of radius r rolls on the cone; its programmed corner lies r (1 - tan(22.5)) before the edge on Z and on
    the radius (checks of the geometry tables: 0.5857864 r).
    """
    operation = job.operation_as(BackChamfer)
    size = operation.size_mm
    if size is None:
        size = job.feature.chamfer_mm if isinstance(job.feature, FeatureFace) else None
    size = need(job, size, "the chamfer's size")
    outer = operation.dia_mm if operation.dia_mm is not None else job.part.stock.round_mm
    if not 0 < size < outer / 2:
        raise fault(job, codes.UNREACHABLE, f"a chamfer of {float(size):g} on a diameter of {float(outer):g}", size)
    nose = job.tool.nose_radius_mm if job.tool.nose_radius_mm is not None else rule(0.0, "sharp corner", "no radius")
    feed, clear = need(job, job.cutting.feed_mm_rev, "a feed"), clear_mm(job)
    shift = nose * (1.0 - tan_deg(_HALF))
    reach = size + shift + clear
    steps: list[Step] = [
        *begin_turning(job, Turning()),
        Rapid(z=clear + 0.0 * size),
        Rapid(x=outer - 2.0 * reach),
        Feed(x=outer + 2.0 * clear, z=-(size + shift + clear), feed=feed),
    ]
    return [*steps, *end_turning(job)]
