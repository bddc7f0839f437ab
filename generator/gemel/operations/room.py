"""Whether a tool that works on the bar keeps away from the chuck that holds it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from gemel.families.features import Bar
from gemel.operations import codes
from gemel.operations.common import clear_mm, fault
from gemel.operations.steps import Arc, Drill, Feed, Rapid, Tap, ThreadPass

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from gemel.families.part import Job
    from gemel.operations.steps import Step

__all__ = ["check_room"]

_INSIDE = frozenset({"bore", "spot_axial", "drill_axial", "tap_axial", "internal_thread", "face_groove"})
"""Processes whose tools go into the bar, not beside it."""


def check_room(job: Job, steps: Iterable[Step]) -> None:
    """Refuse a tool that comes nearer to the chuck than the operation's clear distance.

    The chuck's face stands the bar's `stick_out` behind its fresh end, which lies `allowance` before the finished face.

    Raises:
        Findings: `operation:impossible`.
    """
    bar = job.part.feature_of(Bar)
    if bar is None or job.spindle.side != "bar" or job.operation.process in _INSIDE:
        return
    chuck = bar.allowance_mm - bar.stick_out_mm
    lowest = min(map(float, _levels(steps)), default=math.inf) - _beside_mm(job)
    if lowest < chuck + clear_mm(job) - 1e-9:
        cause = f"the tool goes to Z {lowest:g}, the bar's chuck stands at Z {float(chuck):g}"
        raise fault(job, codes.UNREACHABLE, cause, bar.stick_out_mm)


def _beside_mm(job: Job) -> float:
    """How far the tool reaches towards the chuck beyond the point that is programmed: a radial tool's radius."""
    return float(job.tool.dia_mm or 0.0) / 2.0 if job.tool.kind == "rotating" else 0.0


def _levels(steps: Iterable[Step]) -> Iterator[float]:
    """Every Z to which a tool goes beside the bar."""
    for step in steps:
        if isinstance(step, Rapid | Feed | Arc | ThreadPass):
            if step.z is not None:
                yield step.z
        elif isinstance(step, Drill | Tap) and step.along == "x" and step.z is not None:
            yield step.z
