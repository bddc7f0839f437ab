"""Cut-off: chamfer the edge first, part off slower near the centre, then release the synchronised spindle.

The blade is measured at the corner given by the tool's `side`; Z in the program is that corner's.
Slower near the centre: checks of the trade ask for about half the feed over the last millimetres (common practice).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.families.features import Bar
from gemel.families.handover import BarPull, CutOff
from gemel.families.settle import MM_PER_INCH
from gemel.numbers import Number, minimum, rule
from gemel.operations import codes
from gemel.operations.common import (
    Turning,
    begin_turning,
    chamfer_leg_mm,
    clear_mm,
    fault,
    need,
    outside_mm,
    retract,
    stop_turning,
)
from gemel.operations.steps import Feed, Function, Note, Rapid, SlideMove, Step
from gemel.operations.take_over import hand_over_spindles

if TYPE_CHECKING:
    from gemel.families.part import Job

__all__ = ["back_of_blank_mm", "cut_off", "pull_mm", "waste_mm"]

_RELIEF_MM = rule(0.5, "how much deeper than its chamfer the first groove goes", "common practice, no source")
_ZERO = rule(0.0, "bar is not pulled before it is cut off", "no bar_pull operation by the spindle")


def cut_off(job: Job) -> list[Step]:
    """Steps of the cut-off; afterwards the left bar is one length shorter and the slide is back.

    Raises:
        Findings: the blade does not reach the centre, or the chamfer is wider than the blade.
    """
    operation = job.operation_as(CutOff)
    width = need(job, job.tool.width_mm, "the blade's width")
    outer = job.part.stock.round_mm
    if job.tool.reach_mm is not None and 2 * job.tool.reach_mm < outer:
        cause = f"the blade reaches {float(job.tool.reach_mm):g} mm, the bar's radius is {outer / 2:g}"
        raise fault(job, codes.TOOL_FIT, cause, job.tool.reach_mm, outer)
    if operation.chamfer_mm > width:
        cause = f"the chamfer of {float(operation.chamfer_mm):g} is wider than the blade of {float(width):g}"
        raise fault(job, codes.TOOL_FIT, cause, operation.chamfer_mm, width)
    return [*_catch(job, operation), *_cut(job, operation, width, outer), *_release(job, operation)]


def back_of_blank_mm(job: Job, allowance_mm: float) -> Number:
    """Z of the cut piece's back end under the left offset, after the bar was pulled by the right spindle if it was."""
    return pull_mm(job) - (job.part.length_mm + allowance_mm)


def pull_mm(job: Job) -> Number:
    """How far the right spindle pulls the bar before the cut-off; 0 when it does not.

    By default part length, facing allowance and blade at the back, and the front allowance of the next part.
    """
    for operation in job.part.operations.values():
        if isinstance(operation, BarPull) and operation.by == "spindle":
            if operation.pull_mm is not None:
                return operation.pull_mm + _ZERO
            return job.part.length_mm + waste_mm(job)
    return _ZERO


def waste_mm(job: Job) -> Number:
    """What of the bar goes besides the part: allowance and blade at the back, the front allowance of the next."""
    cuts = [o for o in job.part.operations.values() if isinstance(o, CutOff)]
    bar = job.part.feature_of(Bar)
    front = bar.allowance_mm if bar else _ZERO
    total = _ZERO + front + _blade_mm(job)
    for cut in cuts:
        total += cut.allowance_mm
    return total


def _blade_mm(job: Job) -> float:
    """Width of the cut-off blade that the part's cut-off uses."""
    return need(job, job.blade_mm, "the blade's width")


def _catch(job: Job, operation: CutOff) -> list[Step]:
    if operation.support or job.machine.codes.catcher is None:
        return []
    return [Function("catcher.out")]


def _cut(job: Job, operation: CutOff, width: float, outer: float) -> list[Step]:
    feed = need(job, job.cutting.feed_mm_rev, "a feed")
    back = back_of_blank_mm(job, operation.allowance_mm)
    corner = back - width if job.tool.side == "left" else back + 0.0
    start = outside_mm(job, outer)
    slow = minimum(operation.slow_below_mm, outer)
    steps: list[Step] = [*begin_turning(job, Turning()), Rapid(z=corner), Rapid(x=start)]
    if operation.chamfer_mm > 0:
        steps += _chamfer(job, operation, corner, outer)
    return [
        *steps,
        Feed(x=slow, feed=feed),
        Note("SLOWER TO THE CENTRE"),
        Feed(x=-operation.past_mm, feed=feed * operation.slow_feed),
        Rapid(x=job.clearance_mm),
        *stop_turning(job),
    ]


def _chamfer(job: Job, operation: CutOff, corner: float, outer: float) -> list[Step]:
    feed = need(job, job.cutting.feed_mm_rev, "a feed")
    size, clear = chamfer_leg_mm(job, operation.chamfer_mm), clear_mm(job)
    start = outside_mm(job, outer)
    return [
        Feed(x=outer - 2.0 * (size + _RELIEF_MM), feed=feed),
        Rapid(x=start),
        Rapid(z=corner + size + clear),
        Feed(x=outer - 2.0 * size, z=corner, feed=feed),
        Rapid(x=start),
    ]


def _release(job: Job, operation: CutOff) -> list[Step]:
    if not operation.support:
        caught: list[Step] = [Function("catcher.in")] if job.machine.codes.catcher is not None else []
        return [*caught, *retract(job)]
    _, right = hand_over_spindles(job)
    back = job.machine.slide.back
    if job.machine.unit == "inch":
        back = back * MM_PER_INCH
    return [
        Function("synchronise.end"),
        Function(f"spindle.{right}.stop"),
        SlideMove(position=back),
        # Not before: with the slide forward the right chuck stands beside the blade.
        *retract(job),
    ]
