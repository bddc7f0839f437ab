"""Holes on a circle along the axis, made by an axial tool: spot, drill, tap. The C axis brings each hole to +X."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.families.holes import BoltCircle
from gemel.families.processes import BoltCircleSpot, BoltCircleTap
from gemel.numbers import Number, maximum, rounded, rule
from gemel.operations import codes
from gemel.operations.common import clear_mm, fault, need
from gemel.operations.drilled import (
    CONE_DWELL_S,
    check_drill,
    cone_depth_mm,
    drill_point_mm,
    drilled_depth_mm,
    mouth_mm,
    tapped,
)
from gemel.operations.milling_common import begin_milling, end_milling, index, rotating_speed_rpm, somewhere
from gemel.operations.steps import CycleEnd, Drill, Rapid, Step, Tap

if TYPE_CHECKING:
    from gemel.families.part import Job

__all__ = ["bolt_circle_drill", "bolt_circle_spot", "bolt_circle_tap"]

_FACE = rule(0.0, "finished face", "definition of the offset")
_ZERO = rule(0.0, "axis of the part", "definition")


def bolt_circle_spot(job: Job) -> list[Step]:
    """Steps that spot every hole of the circle.

    Raises:
        Findings: the spot is larger than the tool.
    """
    circle = job.feature_as(BoltCircle)
    given = job.operation_as(BoltCircleSpot).dia_mm
    mouth = mouth_mm(circle, given)
    depth = cone_depth_mm(job, mouth)
    rpm = rotating_speed_rpm(job, need(job, job.tool.dia_mm, "the tool's diameter"))
    stroke = Drill(
        x=circle.circle_dia_mm,
        along="z",
        depth=_FACE - depth,
        clear=_FACE + clear_mm(job),
        dwell_s=CONE_DWELL_S,
        feed=rpm * need(job, job.cutting.feed_mm_rev, "a feed"),
    )
    return _circle(job, circle, stroke, rpm)


def bolt_circle_drill(job: Job) -> list[Step]:
    """Steps that drill every hole of the circle in pecks, the point behind the depth.

    Raises:
        Findings: the drill is too short.
    """
    circle = job.feature_as(BoltCircle)
    dia = need(job, job.tool.dia_mm, "the drill's diameter")
    check_drill(job, circle, dia)
    end = _FACE - drilled_depth_mm(job, circle, circle.depth_mm) - drill_point_mm(job, dia)
    if job.tool.reach_mm is not None and -end > job.tool.reach_mm:
        cause = f"the holes are {float(-end):g} deep with the point, the drill reaches {float(job.tool.reach_mm):g}"
        raise fault(job, codes.TOOL_FIT, cause, circle.depth_mm, job.tool.reach_mm)
    rpm = rotating_speed_rpm(job, dia)
    stroke = Drill(
        x=circle.circle_dia_mm,
        along="z",
        depth=end,
        clear=_FACE + clear_mm(job),
        peck=job.cutting.peck_mm,
        feed=rpm * need(job, job.cutting.feed_mm_rev, "a feed"),
    )
    return _circle(job, circle, stroke, rpm)


def bolt_circle_tap(job: Job) -> list[Step]:
    """Steps that tap every hole of the circle.

    Raises:
        Findings: hole and tap have different threads, or the holes are not deep enough for the run-out.
    """
    circle = job.feature_as(BoltCircle)
    form, _ = tapped(job, circle, circle.depth_mm, job.operation_as(BoltCircleTap).run_out_mm)
    rpm = rounded(rotating_speed_rpm(job, form.major_mm))
    stroke = Tap(
        x=circle.circle_dia_mm,
        along="z",
        depth=_FACE - circle.depth_mm,
        clear=_FACE + maximum(clear_mm(job), 3.0 * form.pitch_mm),
        pitch=form.pitch_mm,
        rpm=rpm,
        left_hand=circle.hand == "left",
        driven=True,
    )
    return _circle(job, circle, stroke, rpm)


def _circle(job: Job, circle: BoltCircle, stroke: Drill | Tap, rpm: Number) -> list[Step]:
    outer = circle.circle_dia_mm + circle.outer_dia_mm
    if outer > job.part.stock.round_mm:
        cause = f"the holes reach out to {float(outer):g}, the bar has {float(job.part.stock.round_mm):g}"
        raise fault(job, codes.UNREACHABLE, cause, circle.circle_dia_mm)
    y = _ZERO if "y" in job.channel.axes else None
    steps = begin_milling(job, "xy", rpm, reverse=isinstance(stroke, Tap) and stroke.left_hand)
    for number, angle in enumerate(somewhere(job, circle.angles())):
        steps += index(job, angle, first=number == 0)
        approach = [Rapid(y=y, z=stroke.clear), Rapid(x=circle.circle_dia_mm)] if number == 0 else []
        steps += [*approach, stroke, CycleEnd()]
    steps.append(Rapid(z=stroke.clear))
    return [*steps, *end_milling(job)]
