"""Bar pull: by the right spindle, which holds the joined part, or by a puller in the turret.

The spindles stand while a clamp is open (proving.md, holding 2); the slide moves with the left clamp open (holding 7).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.families.features import Bar
from gemel.families.handover import BarPull, TakeOver
from gemel.numbers import Number, rule
from gemel.operations import codes
from gemel.operations.common import clear_mm, fault, retract, tool_title
from gemel.operations.cut_off import pull_mm, waste_mm
from gemel.operations.steps import Dwell, Feed, Function, Home, Rapid, SlideMove, Step, ToolCall, ToolpathState
from gemel.operations.take_over import hand_over_spindles

if TYPE_CHECKING:
    from gemel.families.part import Job

__all__ = ["bar_pull"]

_SETTLE_S = rule(0.5, "time for the clamp to close on the bar", "common practice, no source")
_AXIS = rule(0.0, "axis of the spindle", "definition")


def bar_pull(job: Job) -> list[Step]:
    """Steps of the pull.

    Raises:
        Findings: the right spindle shall pull, but no hand-over says where it grips.
    """
    operation = job.operation_as(BarPull)
    return _by_spindle(job, operation) if operation.by == "spindle" else _by_puller(job, operation)


def _by_spindle(job: Job, operation: BarPull) -> list[Step]:
    left, _ = hand_over_spindles(job)
    grip = operation.slide_mm
    for other in job.part.operations.values():
        if grip is None and isinstance(other, TakeOver):
            grip = other.slide_mm
    if grip is None:
        raise fault(job, codes.UNREACHABLE, "the right spindle pulls, but no take_over says at which slide position")
    return [
        Home(),
        ToolpathState("zx", "per_minute", left),
        Function(f"spindle.{left}.stop"),
        Function(f"clamp.{left}.open"),
        Dwell(_SETTLE_S),
        SlideMove(position=grip + pull_mm(job), feed=operation.feed_mm_min),
        Function(f"clamp.{left}.close"),
        Dwell(_SETTLE_S),
    ]


def _by_puller(job: Job, operation: BarPull) -> list[Step]:
    spindle = operation.spindle
    bar = job.part.feature_of(Bar)
    front: float = bar.allowance_mm if bar else _AXIS
    pull: float = operation.pull_mm if operation.pull_mm is not None else job.part.length_mm + waste_mm(job)
    grip: Number = front - pull - operation.grip_mm + 0.0 * _AXIS
    steps: list[Step] = [Home()] if job.channel.tool_change.at == "home" else []
    return [
        *steps,
        ToolCall(job.call, tool_title(job)),
        ToolpathState("zx", "per_minute", spindle),
        Function(f"spindle.{spindle}.stop"),
        Rapid(z=front - pull + clear_mm(job)),
        Rapid(x=_AXIS),
        Feed(z=grip, feed=operation.feed_mm_min),
        Function(f"clamp.{spindle}.open"),
        Dwell(_SETTLE_S),
        Feed(z=grip + pull, feed=operation.feed_mm_min),
        Function(f"clamp.{spindle}.close"),
        Dwell(_SETTLE_S),
        Feed(z=front + clear_mm(job), feed=operation.feed_mm_min),
        *retract(job),
    ]
