"""Grooving: plunges side by side, then once round walls and bottom, then both edges broken.

The blade is measured at the corner given by the tool's `side`; Z in the program is that corner's.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.families.features import FaceGroove, Groove
from gemel.families.processes import CutFaceGroove, CutGroove
from gemel.numbers import Number, minimum, rule
from gemel.operations import codes
from gemel.operations.common import (
    Turning,
    begin_turning,
    chamfer_leg_mm,
    clear_mm,
    cuts,
    end_turning,
    fault,
    need,
    outside_mm,
)
from gemel.operations.steps import Dwell, Feed, Rapid, Step

if TYPE_CHECKING:
    from gemel.families.part import Job

__all__ = ["face_groove", "groove"]

_FACE = rule(0.0, "finished face", "definition of the offset")
_SAME_MM = 1e-9
_OVERLAP = rule(0.8, "share of the blade's width that a further plunge takes", "common practice, no source")


def groove(job: Job) -> list[Step]:
    """Steps of a groove round the part.

    Raises:
        Findings: the blade is wider than the groove, or the groove deeper than the blade's reach, or no groove at all.
    """
    leave = job.operation_as(CutGroove).leave_mm
    feature = job.feature_as(Groove)
    width = need(job, job.tool.width_mm, "the blade's width")
    _check(job, feature, width)
    feed = need(job, job.cutting.feed_mm_rev, "a feed")
    far = _FACE - feature.at_mm - feature.width_mm + (width if job.tool.side == "right" else 0.0)
    above = outside_mm(job, feature.outer_dia_mm)
    # Walls keep the allowance where the blade leaves room for it.
    room: Number = _FACE + (feature.width_mm - width)
    side = minimum(leave, room / 2.0)
    span = room - 2.0 * side
    count = cuts(job, span, width * _OVERLAP) + 1 if span > _SAME_MM else 1
    plunges = [far + side + span * (number / (count - 1) if count > 1 else 0.0) for number in range(count)]
    steps: list[Step] = [*begin_turning(job, Turning()), Rapid(z=plunges[0]), Rapid(x=above)]
    for number, z in enumerate(plunges):
        steps += [*([Rapid(z=z)] if number else []), Feed(x=feature.dia_mm + 2.0 * leave, feed=feed)]
        steps += [*_at_the_bottom(job), Rapid(x=above)]
    if count > 1 or leave > 0:
        steps += _round(feature, far, room, above, feed)
    steps += _edges(job, feature, width, far + room, above)
    return [*steps, *end_turning(job)]


def _check(job: Job, feature: Groove, width: float) -> None:
    if width > feature.width_mm + 1e-9:
        cause = f"the blade of {float(width):g} is wider than the groove of {float(feature.width_mm):g}"
        raise fault(job, codes.TOOL_FIT, cause, width, feature.width_mm)
    depth = (feature.outer_dia_mm - feature.dia_mm) / 2.0
    if depth <= 0:
        cause = f"the bottom of {float(feature.dia_mm):g} lies outside its land of {float(feature.outer_dia_mm):g}"
        raise fault(job, codes.UNREACHABLE, cause, feature.dia_mm, feature.outer_dia_mm)
    if job.tool.reach_mm is not None and depth > job.tool.reach_mm:
        cause = f"the groove is {float(depth):g} deep, the blade reaches {float(job.tool.reach_mm):g}"
        raise fault(job, codes.TOOL_FIT, cause, depth, job.tool.reach_mm)


def _at_the_bottom(job: Job) -> list[Step]:
    return [Dwell(job.cutting.dwell_s)] if job.cutting.dwell_s is not None else []


def _round(feature: Groove, far: float, room: float, above: float, feed: float) -> list[Step]:
    """The last pass: down the wall nearer the chuck, along the bottom, up the other wall."""
    return [
        Rapid(z=far),
        Feed(x=feature.dia_mm, feed=feed),
        *([Feed(z=far + room, feed=feed)] if room > _SAME_MM else []),
        Feed(x=feature.outer_dia_mm, feed=feed),
        Rapid(x=above),
    ]


def _edges(job: Job, feature: Groove, width: float, near: float, above: float) -> list[Step]:
    """Both edges broken at 45 degrees, from `above` into the groove, by the corner on that side.

    `near`: Z at which the blade touches the wall nearer the front.
    """
    if feature.chamfer_mm <= 0:
        return []
    size = chamfer_leg_mm(job, feature.chamfer_mm)
    clear, feed = clear_mm(job), need(job, job.cutting.feed_mm_rev, "a feed")
    far = near - (feature.width_mm - width)
    inside = feature.outer_dia_mm - 2.0 * size
    return [
        Rapid(z=near + size + clear),
        Feed(x=inside, z=near, feed=feed),
        Rapid(x=above),
        Rapid(z=far - size - clear),
        Feed(x=inside, z=far, feed=feed),
        Rapid(x=above),
    ]


def face_groove(job: Job) -> list[Step]:
    """Steps of a ring groove in a face: plunges along Z from the outer diameter inwards.

    The blade is measured at its outer corner.

    Raises:
        Findings: the blade is wider than the ring, or too short.
    """
    job.operation_as(CutFaceGroove)
    feature = job.feature_as(FaceGroove)
    width = need(job, job.tool.width_mm, "the blade's width")
    ring = (feature.outer_dia_mm - feature.inner_dia_mm) / 2.0
    if width > ring + 1e-9:
        cause = f"the blade of {float(width):g} is wider than the ring of {float(ring):g}"
        raise fault(job, codes.TOOL_FIT, cause, width, ring)
    if job.tool.reach_mm is not None and feature.depth_mm > job.tool.reach_mm:
        cause = f"the groove is {float(feature.depth_mm):g} deep, the blade reaches {float(job.tool.reach_mm):g}"
        raise fault(job, codes.TOOL_FIT, cause, feature.depth_mm, job.tool.reach_mm)
    feed = need(job, job.cutting.feed_mm_rev, "a feed")
    count = cuts(job, ring - width, width * _OVERLAP) + 1 if ring > width + 1e-9 else 1
    away: Number = _FACE + clear_mm(job)
    steps: list[Step] = [*begin_turning(job, Turning()), Rapid(z=away), Rapid(x=feature.outer_dia_mm)]
    for number in range(count):
        x = feature.outer_dia_mm - 2.0 * (ring - width) * (number / (count - 1) if count > 1 else 0.0)
        steps += [Rapid(x=x), Feed(z=_FACE - feature.depth_mm, feed=feed), *_at_the_bottom(job), Rapid(z=away)]
    return [*steps, *end_turning(job)]
