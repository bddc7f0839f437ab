"""What drills, cones and taps ask of a hole, whichever way the tool stands: depths, and whether the tool is the one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.cutting.formulas import drill_point_length_mm
from gemel.families.threads import thread
from gemel.numbers import Number, rule, tan_deg
from gemel.operations import codes
from gemel.operations.common import fault, need

if TYPE_CHECKING:
    from gemel.families.holes import Hole
    from gemel.families.part import Job
    from gemel.families.threads import Thread

__all__ = ["CONE_DWELL_S", "check_drill", "cone_depth_mm", "drill_point_mm", "drilled_depth_mm", "mouth_mm", "tapped"]

CONE_DWELL_S = rule(0.1, "dwell at the bottom of a cone", "common practice, no source")
_NONE = rule(0.0, "nothing more", "definition")
_RUN_OUT = rule(2.0, "run-out of a tap in pitches", "common practice, no source")
_LARGER_MM = 0.51
"""A drill that much larger than the hole is another drill; common practice, no source."""


def mouth_mm(hole: Hole, given: float | None) -> float:
    """Diameter of the cone at the surface: as the operation gives it, else the hole with its chamfer."""
    return given if given is not None else hole.outer_dia_mm + 2.0 * hole.chamfer_mm


def cone_depth_mm(job: Job, mouth_mm: float) -> Number:
    """How deep a cone goes to leave a mouth: (mouth - tip) / (2 tan(half the point angle)).

    Raises:
        Findings: the mouth is larger than the tool.
    """
    dia = need(job, job.tool.dia_mm, "the tool's diameter")
    if mouth_mm > dia + 1e-9:
        cause = f"a mouth of {float(mouth_mm):g} is larger than the tool of {float(dia):g}"
        raise fault(job, codes.TOOL_FIT, cause, mouth_mm, dia)
    half = need(job, job.tool.point_angle_deg, "the cone's angle") / 2.0
    tip = job.tool.tip_dia_mm if job.tool.tip_dia_mm is not None else rule(0.0, "pointed tip", "no tip diameter given")
    return (mouth_mm - tip) / (2.0 * tan_deg(half))


def drill_point_mm(job: Job, dia_mm: float) -> Number:
    """How far a drill's point stands out before its corner: D / (2 tan(half the point angle))."""
    return drill_point_length_mm(dia_mm, need(job, job.tool.point_angle_deg, "the drill's point angle"))


def drilled_depth_mm(job: Job, hole: Hole, depth_mm: float | None) -> Number:
    """Depth to the drill's corner: as drawn, or thread depth and the usual run-out of a tap."""
    if hole.drill_depth_mm is not None:
        return _NONE + hole.drill_depth_mm
    depth = _NONE + need(job, depth_mm, "the hole's depth")
    if hole.thread is not None:
        return depth + _RUN_OUT * thread(hole.thread).pitch_mm
    return depth


def check_drill(job: Job, hole: Hole, dia_mm: float) -> None:
    """Refuse a drill that makes another hole: larger than drawn, or so large that a tap finds no flank to cut.

    A smaller one may go before the right one.

    Raises:
        Findings: `operation:tool-does-not-fit`.
    """
    wanted = hole.drilled_dia_mm
    most = wanted + _LARGER_MM
    if hole.thread is not None:
        most = min(most, float(thread(hole.thread).pitch_dia_mm))
    if dia_mm > most:
        cause = f"the drill has {float(dia_mm):g}, the hole wants {float(wanted):g}"
        raise fault(job, codes.TOOL_FIT, cause, dia_mm)


def tapped(job: Job, hole: Hole, depth_mm: float | None, run_out_mm: float | None) -> tuple[Thread, Number]:
    """The thread that a tap cuts into a hole, and how far behind it the tap goes; `depth_mm` None for through holes.

    The run-out is what the operation says, else the unfinished threads at this tap's tip, else two pitches.

    Raises:
        Findings: the hole has no thread, or not the tap's, or is not deep enough for thread and run-out.
    """
    if hole.thread is None:
        raise fault(job, codes.UNREACHABLE, "the hole has no thread to tap")
    form = thread(hole.thread)
    if job.tool.thread is not None and thread(job.tool.thread).name != form.name:
        raise fault(job, codes.TOOL_FIT, f"the tap is {job.tool.thread}, the hole {hole.thread}")
    if job.tool.hand != hole.hand:
        cause = f"the tap is {job.tool.hand}-hand, the thread {hole.hand}-hand"
        raise fault(job, codes.TOOL_FIT, cause)
    lead = job.tool.lead_pitches if job.tool.lead_pitches is not None else _RUN_OUT
    run_out = _NONE + run_out_mm if run_out_mm is not None else lead * form.pitch_mm
    if depth_mm is not None:
        drilled = drilled_depth_mm(job, hole, depth_mm)
        if drilled < depth_mm + run_out - 1e-9:
            cause = (
                f"the hole is drilled {float(drilled):g} deep: not enough for a thread of {float(depth_mm):g} "
                f"and the tap's run-out of {float(run_out):g}"
            )
            raise fault(job, codes.UNREACHABLE, cause, depth_mm, run_out)
    reach = job.tool.reach_mm
    if reach is not None and depth_mm is not None and depth_mm > reach:
        cause = f"the thread is {float(depth_mm):g} deep, the tap reaches {float(reach):g}"
        raise fault(job, codes.TOOL_FIT, cause, depth_mm, reach)
    return form, run_out
