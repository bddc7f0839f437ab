"""Holes on the axis made by standing tools while the work turns: cones, drilling in pecks, tapping, boring."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.families.holes import AxialHole, Bore
from gemel.families.processes import BoreOut, DrillAxial, SpotAxial, TapAxial
from gemel.numbers import Number, maximum, rounded, rule
from gemel.operations import codes
from gemel.operations.common import (
    Turning,
    begin_turning,
    chamfer_leg_mm,
    clear_mm,
    cuts,
    end_turning,
    fault,
    fixed_speed_rpm,
    need,
)
from gemel.operations.drilled import (
    CONE_DWELL_S,
    check_drill,
    cone_depth_mm,
    drill_point_mm,
    drilled_depth_mm,
    mouth_mm,
    tapped,
)
from gemel.operations.steps import CycleEnd, Drill, Dwell, Feed, Rapid, Step, Tap

if TYPE_CHECKING:
    from gemel.families.part import Job

__all__ = ["bore", "drill_axial", "drill_end_mm", "spot_axial", "tap_axial"]

_AXIS = rule(0.0, "axis of the spindle", "definition")
_FACE = rule(0.0, "finished face", "definition of the offset")
_LIFT_MM = rule(0.5, "how far the bar comes off the wall before it goes back", "common practice, no source")


def spot_axial(job: Job) -> list[Step]:
    """Steps of a cone on the axis: to its depth, a short dwell, back.

    Raises:
        Findings: the mouth is larger than the tool.
    """
    hole = job.feature_as(AxialHole)
    given = job.operation_as(SpotAxial).dia_mm
    mouth = mouth_mm(hole, given)
    depth = cone_depth_mm(job, mouth)
    clear = _FACE + clear_mm(job)
    dwell = job.cutting.dwell_s if job.cutting.dwell_s is not None else CONE_DWELL_S
    steps: list[Step] = [
        *begin_turning(job, Turning(fixed=fixed_speed_rpm(job, mouth))),
        Rapid(z=clear),
        Rapid(x=_AXIS),
        Feed(z=_FACE - depth, feed=need(job, job.cutting.feed_mm_rev, "a feed")),
        Dwell(dwell),
        Rapid(z=clear),
    ]
    return [*steps, *end_turning(job)]


def drill_axial(job: Job) -> list[Step]:
    """Steps of a drilled hole: pecks to the drill's corner at full depth, its point behind.

    Raises:
        Findings: the drill is too short.
    """
    operation = job.operation_as(DrillAxial)
    dia = need(job, job.tool.dia_mm, "the drill's diameter")
    depth = _depth_mm(job, dia)
    end = drill_end_mm(job, operation.depth_mm if operation.depth_mm is not None else depth, dia)
    clear = _FACE + clear_mm(job)
    steps: list[Step] = [
        *begin_turning(job, Turning(fixed=fixed_speed_rpm(job, dia))),
        Rapid(z=clear),
        Rapid(x=_AXIS),
        Drill(
            x=_AXIS,
            along="z",
            depth=end,
            clear=clear,
            peck=job.cutting.peck_mm,
            dwell_s=job.cutting.dwell_s,
            feed=need(job, job.cutting.feed_mm_rev, "a feed"),
        ),
        CycleEnd(),
        Rapid(z=clear),
    ]
    return [*steps, *end_turning(job)]


def drill_end_mm(job: Job, depth_mm: float, dia_mm: float) -> Number:
    """Z of the drill's point: its corner at `depth_mm`, the cone D / (2 tan(half angle)) further.

    Raises:
        Findings: the drill is too short.
    """
    point = drill_point_mm(job, dia_mm) if job.tool.point_angle_deg is not None else 0.0
    end = _FACE - depth_mm - point
    if job.tool.reach_mm is not None and -end > job.tool.reach_mm:
        cause = (
            f"the hole is {float(-end):g} deep with the drill's point, the drill reaches {float(job.tool.reach_mm):g}"
        )
        raise fault(job, codes.TOOL_FIT, cause, depth_mm, job.tool.reach_mm)
    return end


def _depth_mm(job: Job, dia_mm: float) -> float:
    """Depth of the hole to the drill's corner.

    Raises:
        Findings: the drill is larger than the hole.
    """
    if isinstance(job.feature, Bore):
        before = job.feature.predrilled_dia_mm
        if before is not None and dia_mm > before + 1e-9:
            cause = f"the drill has {float(dia_mm):g}, the bore is predrilled to {float(before):g}"
            raise fault(job, codes.TOOL_FIT, cause, dia_mm, before)
        return job.feature.depth_mm
    hole = job.feature_as(AxialHole)
    check_drill(job, hole, dia_mm)
    return drilled_depth_mm(job, hole, hole.depth_mm)


def tap_axial(job: Job) -> list[Step]:
    """Steps of a tapped hole on the axis: rigid, one revolution a pitch.

    Raises:
        Findings: tap and hole have different threads, or the hole is not deep enough for the tap's run-out.
    """
    hole = job.feature_as(AxialHole)
    form, _ = tapped(job, hole, hole.depth_mm, job.operation_as(TapAxial).run_out_mm)
    speed = rounded(fixed_speed_rpm(job, form.major_mm))
    clear = _FACE + maximum(clear_mm(job), 3.0 * form.pitch_mm)
    left = hole.hand == "left"
    steps: list[Step] = [
        *begin_turning(job, Turning(fixed=speed, direction="reverse" if left else "forward")),
        Rapid(z=clear),
        Rapid(x=_AXIS),
        Tap(
            x=_AXIS,
            along="z",
            depth=_FACE - hole.depth_mm,
            clear=clear,
            pitch=form.pitch_mm,
            rpm=speed,
            left_hand=left,
        ),
        CycleEnd(),
        Rapid(z=clear),
    ]
    return [*steps, *end_turning(job)]


def bore(job: Job) -> list[Step]:
    """Steps of a bored diameter: passes along Z, the last to size, the mouth chamfered on the way in.

    Raises:
        Findings: the bar does not enter the hole that is there, or is too short.
    """
    operation = job.operation_as(BoreOut)
    feature = job.feature_as(Bore)
    predrilled = need(job, feature.predrilled_dia_mm, "the diameter of the hole before boring (`predrilled`)")
    _check_bore(job, feature, predrilled)
    feed = need(job, job.cutting.feed_mm_rev, "a feed")
    depth = need(job, job.cutting.depth_mm, "a depth of pass")
    rough = feature.dia_mm - operation.leave_mm
    count = cuts(job, (rough - predrilled) / 2.0, depth) if rough > predrilled else 0
    clear, end = _FACE + clear_mm(job), _FACE - feature.depth_mm
    safe = predrilled - 2.0 * _LIFT_MM
    steps: list[Step] = [*begin_turning(job, Turning()), Rapid(z=clear), Rapid(x=safe)]
    for number in range(1, count + 1):
        level = predrilled + (rough - predrilled) * (number / count)
        steps += [Rapid(x=level), Feed(z=end, feed=feed), Rapid(x=level - 2.0 * _LIFT_MM), Rapid(z=clear)]
    if feature.chamfer_mm > 0:
        size = chamfer_leg_mm(job, feature.chamfer_mm)
        steps += [Rapid(x=feature.dia_mm + 2.0 * (size + clear)), Feed(x=feature.dia_mm, z=_FACE - size, feed=feed)]
    else:
        steps.append(Rapid(x=feature.dia_mm + _FACE))
    steps += [Feed(z=end, feed=feed), *_rest(job), Rapid(x=safe), Rapid(z=clear)]
    return [*steps, *end_turning(job)]


def _rest(job: Job) -> list[Step]:
    return [Dwell(job.cutting.dwell_s)] if job.cutting.dwell_s is not None else []


def _check_bore(job: Job, feature: Bore, predrilled: float) -> None:
    if predrilled >= feature.dia_mm:
        cause = f"a hole of {float(predrilled):g} cannot be bored to {float(feature.dia_mm):g}"
        raise fault(job, codes.UNREACHABLE, cause, predrilled, feature.dia_mm)
    if job.tool.dia_mm is not None and job.tool.dia_mm > predrilled + 1e-9:
        cause = f"the bar enters holes from {float(job.tool.dia_mm):g}, the hole is {float(predrilled):g}"
        raise fault(job, codes.TOOL_FIT, cause, job.tool.dia_mm, predrilled)
    if job.tool.reach_mm is not None and feature.depth_mm > job.tool.reach_mm:
        cause = f"the bore is {float(feature.depth_mm):g} deep, the bar reaches {float(job.tool.reach_mm):g}"
        raise fault(job, codes.TOOL_FIT, cause, feature.depth_mm, job.tool.reach_mm)
