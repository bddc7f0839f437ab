"""Grooving: plunges side by side, then along the bottom, then both edges broken.

The blade is measured at the corner given by the tool's `side`; Z in the program is that corner's.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.families.features import FaceGroove, Groove
from gemel.families.processes import CutFaceGroove, CutGroove
from gemel.numbers import Number, passes, rule
from gemel.operations import codes
from gemel.operations.common import Turning, begin_turning, clear_mm, end_turning, fault, need, outside_mm
from gemel.operations.steps import Dwell, Feed, Rapid, Step

if TYPE_CHECKING:
    from gemel.families.part import Job

__all__ = ["face_groove", "groove"]

_FACE = rule(0.0, "finished face", "definition of the offset")
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
    near = _FACE - feature.at_mm
    far = near - feature.width_mm
    shift = _FACE + (width if job.tool.side == "right" else 0.0)
    above = outside_mm(job, feature.outer_dia_mm)
    bottom = feature.dia_mm + 2.0 * leave
    count = passes(feature.width_mm - width, width * _OVERLAP) + 1 if feature.width_mm > width + 1e-9 else 1
    steps: list[Step] = [*begin_turning(job, Turning()), Rapid(z=far + shift), Rapid(x=above)]
    for number in range(count):
        z = far + shift + (feature.width_mm - width) * (number / (count - 1) if count > 1 else 0.0)
        steps += [*([Rapid(z=z)] if number else []), Feed(x=bottom, feed=feed)]
        steps += [*_at_the_bottom(job), Rapid(x=above)]
    steps += _bottom(feature, far + shift, feature.width_mm - width, above, feed) if count > 1 or leave > 0 else []
    steps += _edges(job, feature, width, shift, above)
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


def _bottom(feature: Groove, z: float, along: float, above: float, feed: float) -> list[Step]:
    return [Rapid(z=z), Feed(x=feature.dia_mm, feed=feed), Feed(z=z + along, feed=feed), Rapid(x=above)]


def _edges(job: Job, feature: Groove, width: float, shift: float, above: float) -> list[Step]:
    """Both edges broken at 45 degrees, from `above` into the groove, by the corner on that side."""
    size = feature.chamfer_mm
    if size <= 0:
        return []
    clear, feed = clear_mm(job), need(job, job.cutting.feed_mm_rev, "a feed")
    near = _FACE - feature.at_mm + shift - width
    far = _FACE - feature.at_mm - feature.width_mm + shift
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
    count = passes(ring - width, width * _OVERLAP) + 1 if ring > width + 1e-9 else 1
    away: Number = _FACE + clear_mm(job)
    steps: list[Step] = [*begin_turning(job, Turning()), Rapid(z=away), Rapid(x=feature.outer_dia_mm)]
    for number in range(count):
        x = feature.outer_dia_mm - 2.0 * (ring - width) * (number / (count - 1) if count > 1 else 0.0)
        steps += [Rapid(x=x), Feed(z=_FACE - feature.depth_mm, feed=feed), *_at_the_bottom(job), Rapid(z=away)]
    return [*steps, *end_turning(job)]
