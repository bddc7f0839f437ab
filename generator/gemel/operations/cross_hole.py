"""Cross holes: spot, peck drill, chamfer and tap with radial tools, hole by hole, angle by angle.

The tool lies along X at Y0; a depth d below the surface S (a diameter) is X = S - 2 d.
A drill's point is D / (2 tan(half angle)) long; a cone that shall leave a mouth m goes (m - tip) / (2 tan(half)) deep.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from gemel.families.holes import CrossHole
from gemel.families.processes import ChamferCross, DrillCross, Spot, TapCross
from gemel.numbers import Number, maximum, rounded, rule
from gemel.operations import codes
from gemel.operations.common import check_amount, clear_mm, fault, need
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

__all__ = ["chamfer_cross", "drill_cross", "spot", "tap_cross"]

_FACE = rule(0.0, "finished face", "definition of the offset")
_ZERO = rule(0.0, "axis of the part", "definition")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Stroke:
    """What is done at every hole: to X `end` from X `clear`."""

    end: float
    clear: float
    feed: float = 0.0
    peck: float | None = None
    dwell_s: float | None = None
    pitch: float | None = None
    rpm: float = 0.0
    left_hand: bool = False


def spot(job: Job) -> list[Step]:
    """Steps that spot every hole.

    Raises:
        Findings: the spot is larger than the tool.
    """
    hole = job.feature_as(CrossHole)
    given = job.operation_as(Spot).dia_mm
    mouth = mouth_mm(hole, given)
    return _cone(job, hole, mouth)


def chamfer_cross(job: Job) -> list[Step]:
    """Steps that chamfer the mouth of every hole.

    Raises:
        Findings: the chamfer is larger than the tool.
    """
    hole = job.feature_as(CrossHole)
    given = job.operation_as(ChamferCross).size_mm
    size = given if given is not None else hole.chamfer_mm
    return _cone(job, hole, hole.outer_dia_mm + 2.0 * size)


def _cone(job: Job, hole: CrossHole, mouth: float) -> list[Step]:
    depth = cone_depth_mm(job, mouth)
    rpm = rotating_speed_rpm(job, need(job, job.tool.dia_mm, "the tool's diameter"))
    surface = _surface(job, hole)
    dwell = job.cutting.dwell_s if job.cutting.dwell_s is not None else CONE_DWELL_S
    stroke = _Stroke(
        end=surface - 2.0 * depth,
        clear=surface + 2.0 * clear_mm(job),
        feed=_feed_mm_min(job, rpm),
        dwell_s=dwell,
        rpm=rpm,
    )
    return _holes(job, hole, stroke)


def _surface(job: Job, hole: CrossHole) -> float:
    return hole.surface_dia_mm if hole.surface_dia_mm is not None else job.part.stock.round_mm


def _feed_mm_min(job: Job, rpm: Number) -> Number:
    if job.cutting.feed_mm_rev is not None:
        return rpm * job.cutting.feed_mm_rev
    tooth = need(job, job.cutting.feed_mm_tooth, "a feed per revolution or tooth")
    return rpm * (tooth * need(job, job.tool.teeth, "the number of teeth"))


def drill_cross(job: Job) -> list[Step]:
    """Steps that drill every hole in pecks, the point behind the depth or through the far side.

    Raises:
        Findings: the drill is too short, or of the wrong diameter.
    """
    hole = job.feature_as(CrossHole)
    dia = need(job, job.tool.dia_mm, "the drill's diameter")
    check_drill(job, hole, dia)
    surface = _surface(job, hole)
    point = drill_point_mm(job, dia)
    if hole.through:
        depth = surface + job.operation_as(DrillCross).break_through_mm
    else:
        depth = drilled_depth_mm(job, hole, hole.depth_mm)
    end = surface - 2.0 * (depth + point)
    if job.tool.reach_mm is not None and (surface - end) / 2.0 > job.tool.reach_mm:
        deep = float(surface - end) / 2
        cause = f"the hole is {deep:g} deep with the point, the drill reaches {float(job.tool.reach_mm):g}"
        raise fault(job, codes.TOOL_FIT, cause, depth, job.tool.reach_mm)
    rpm = rotating_speed_rpm(job, dia)
    clear = surface + 2.0 * clear_mm(job)
    feed = _feed_mm_min(job, rpm)
    return _holes(job, hole, _Stroke(end=end, clear=clear, feed=feed, peck=job.cutting.peck_mm, rpm=rpm))


def tap_cross(job: Job) -> list[Step]:
    """Steps that tap every hole, one revolution a pitch.

    Raises:
        Findings: hole and tap have different threads, or the hole is not deep enough for the run-out.
    """
    hole = job.feature_as(CrossHole)
    depth = None if hole.through else need(job, hole.depth_mm, "the thread's depth")
    form, run_out = tapped(job, hole, depth, job.operation_as(TapCross).run_out_mm)
    surface = _surface(job, hole)
    end = _ZERO - surface - 2.0 * run_out if depth is None else _ZERO + surface - 2.0 * depth
    # The control turns whole revolutions a minute; the feed must be the pitch times those.
    rpm = rounded(rotating_speed_rpm(job, form.major_mm))
    clear = surface + 2.0 * maximum(clear_mm(job), 3.0 * form.pitch_mm)
    left = hole.hand == "left"
    return _holes(job, hole, _Stroke(end=end, clear=clear, pitch=form.pitch_mm, rpm=rpm, left_hand=left))


def _holes(job: Job, hole: CrossHole, stroke: _Stroke) -> list[Step]:
    check_amount(job, len(hole.positions()), len(hole.angles()))
    steps = begin_milling(job, "yz", stroke.rpm, reverse=stroke.left_hand)
    for number, angle in enumerate(somewhere(job, hole.angles())):
        steps += index(job, angle, first=number == 0)
        positions = [_FACE + job.z_mm(at) for at in somewhere(job, hole.positions())]
        steps += [Rapid(y=_ZERO, z=positions[0]), Rapid(x=stroke.clear)]
        steps += [_at(stroke, z) for z in positions]
        steps += [CycleEnd(), Rapid(x=job.clearance_mm)]
    return [*steps, *end_milling(job)]


def _at(stroke: _Stroke, z: float) -> Step:
    if stroke.pitch is not None:
        return Tap(
            z=z,
            along="x",
            depth=stroke.end,
            clear=stroke.clear,
            pitch=stroke.pitch,
            rpm=stroke.rpm,
            left_hand=stroke.left_hand,
            driven=True,
        )
    return Drill(
        z=z,
        along="x",
        depth=stroke.end,
        clear=stroke.clear,
        peck=stroke.peck,
        dwell_s=stroke.dwell_s,
        feed=stroke.feed,
    )
