"""Bar feed to a stop: the turret holds the stop at Z, the feeder pushes the bar against it, the clamp takes it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.families.features import Bar
from gemel.families.handover import BarFeed
from gemel.numbers import rule
from gemel.operations.common import clear_mm, retract, tool_title
from gemel.operations.steps import Dwell, Feed, Function, Home, Rapid, Step, ToolCall, ToolpathState

if TYPE_CHECKING:
    from gemel.families.part import Job

__all__ = ["bar_feed"]

_SETTLE_S = rule(0.5, "time for the clamp to close on the bar", "common practice, no source")
_PRESS = rule(1000.0, "feed of the stop towards the bar, mm/min", "common practice, no source")


def bar_feed(job: Job) -> list[Step]:
    """Steps that bring the bar to the stop; the spindle stands, nothing but the stop is in the zone.

    The stop stands on the axis (X0) at the stop position while the clamp opens, the bar comes and the clamp closes.
    """
    operation = job.operation_as(BarFeed)
    bar = job.part.feature_of(Bar)
    spindle = operation.spindle
    stop = operation.stop_mm if operation.stop_mm is not None else (bar.allowance_mm if bar else None)
    z = stop if stop is not None else rule(0.0, "stop at the finished face", "no bar feature, no stop given")
    centre = rule(0.0, "axis of the spindle", "definition")
    steps: list[Step] = [Home()] if job.channel.tool_change.at == "home" else []
    steps += [
        ToolCall(job.call, tool_title(job)),
        ToolpathState("zx", "per_minute", spindle),
        Function(f"spindle.{spindle}.stop"),
        Rapid(z=z + 2.0 * clear_mm(job)),
        Rapid(x=centre),
        Feed(z=z, feed=_PRESS),
        Function(f"clamp.{spindle}.open"),
        Function("bar_feed"),
        Dwell(_SETTLE_S),
        Function(f"clamp.{spindle}.close"),
        Dwell(_SETTLE_S),
        Rapid(z=z + 2.0 * clear_mm(job)),
        *retract(job),
    ]
    return steps
