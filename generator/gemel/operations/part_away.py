"""Part away: the finished piece leaves the right clamp into the catcher (proving.md, holding 2 and 6)."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.families.handover import PartAway
from gemel.operations.steps import Dwell, Function, Home, Step, ToolpathState

if TYPE_CHECKING:
    from gemel.families.part import Job

__all__ = ["part_away"]


def part_away(job: Job) -> list[Step]:
    """Steps that put the piece away: spindle stopped, catcher out, clamp open, air, catcher in."""
    operation = job.operation_as(PartAway)
    spindle, machine = operation.spindle, job.machine.codes
    out = [Function("catcher.out")] if machine.catcher else []
    into = [Function("catcher.in")] if machine.catcher else []
    blow = [Function("air.start")] if machine.air else []
    calm = [Function("air.stop")] if machine.air else []
    return [
        Home(),
        ToolpathState("zx", "per_minute", spindle),
        Function(f"spindle.{spindle}.stop"),
        *out,
        Function(f"clamp.{spindle}.open"),
        *blow,
        Dwell(operation.dwell_s),
        *calm,
        *into,
    ]
