"""Hand-over: the right spindle comes forward, feeds over the part, clamps, and waits until it holds.

The slide stops in front of the part and feeds from there: what is not in line is felt before it is hit.

Order (proving.md, holding 2, 4, 7): synchronise before the second clamp closes, move the slide only while the left
clamp alone holds the part, open nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.families.handover import TakeOver
from gemel.operations import codes
from gemel.operations.common import clear_mm, fault
from gemel.operations.steps import Dwell, Function, Home, Note, SlideMove, SpindleStart, Step, ToolpathState

if TYPE_CHECKING:
    from gemel.families.part import Job

__all__ = ["hand_over_spindles", "take_over"]


def hand_over_spindles(job: Job) -> tuple[str, str]:
    """The bar's spindle and the one that takes the part over, by name.

    Raises:
        Findings: the machine has no such pair.
    """
    sides = {spindle.side: name for name, spindle in job.machine.spindles.items()}
    if len(sides) < len(("bar", "hand-over")):
        raise fault(job, codes.TOOL_FIT, f"`{job.machine.machine}` has no second spindle that takes a part over")
    return sides["bar"], sides["hand-over"]


def take_over(job: Job) -> list[Step]:
    """Steps of the hand-over; afterwards both clamps hold the joined part, synchronised, the slide forward.

    Raises:
        Findings: the right clamp would reach over the place where the part is cut off.
    """
    operation = job.operation_as(TakeOver)
    length = job.part.length_mm
    if operation.grip_mm + clear_mm(job) > length:
        cause = f"a grip of {float(operation.grip_mm):g} on a part of {float(length):g} leaves no room for the blade"
        raise fault(job, codes.UNREACHABLE, cause, operation.grip_mm, length)
    left, right = hand_over_spindles(job)
    turning = float(operation.speed_rpm) > 0
    steps: list[Step] = [
        Home(),
        ToolpathState("zx", "per_minute", left),
        Function(f"c_axis.{right}.release"),
        Function(f"spindle.{right}.stop"),
        Function(f"clamp.{right}.open"),
        Note("SYNCHRONISE, THEN TAKE OVER"),
        Function(f"synchronise.{operation.mode}"),
    ]
    if turning:
        steps.append(SpindleStart(spindle=left, rpm=operation.speed_rpm))
    steps += [
        SlideMove(position=operation.slide_mm + operation.grip_mm + operation.approach_mm),
        SlideMove(position=operation.slide_mm, feed=operation.feed_mm_min),
        Function(f"clamp.{right}.close"),
        Dwell(operation.dwell_s),
    ]
    return steps
