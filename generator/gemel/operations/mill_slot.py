"""Slots along the axis with a radial end mill: down in steps, out to the walls, along Z.

The tool lies along X; a depth d below the surface S (a diameter) is X = S - 2 d.
An open end is left by the cutter's radius and the clear distance; at a closed end the cutter turns in.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from gemel.families.features import Slot
from gemel.numbers import Number, passes, rule
from gemel.operations import codes
from gemel.operations.common import clear_mm, fault, need
from gemel.operations.milling_common import begin_milling, end_milling, index, milling_feed_mm_min, rotating_speed_rpm
from gemel.operations.steps import Feed, Rapid, Step

if TYPE_CHECKING:
    from gemel.families.part import Job

__all__ = ["mill_slot"]

_FACE = rule(0.0, "finished face", "definition of the offset")
_ZERO = rule(0.0, "middle of the slot", "definition")
_PLUNGE = rule(0.3, "share of the feed in solid material along the tool", "common practice, no source")


class _Path(NamedTuple):
    """One slot: ends on Z, offsets of the walls from the middle, feed in mm/min."""

    start_z: Number
    end_z: Number
    wall: Number
    feed: Number


def mill_slot(job: Job) -> list[Step]:
    """Steps of every slot of the feature.

    Raises:
        Findings: the cutter is wider than the slot, or shorter than it is deep.
    """
    slot = job.feature_as(Slot)
    dia = need(job, job.tool.dia_mm, "the cutter's diameter")
    _check(job, slot, dia)
    rpm = rotating_speed_rpm(job, dia)
    surface = slot.surface_dia_mm if slot.surface_dia_mm is not None else job.part.stock.round_mm
    path = _path(job, slot, dia, milling_feed_mm_min(job, rpm))
    count = passes(slot.depth_mm, need(job, job.cutting.depth_mm, "a depth of pass"))
    clear = surface + 2.0 * clear_mm(job)
    steps = begin_milling(job, "yz", rpm)
    for number, angle in enumerate(slot.angles()):
        steps += index(job, angle, first=number == 0)
        steps += [Rapid(y=_ZERO, z=path.start_z), Rapid(x=clear)]
        for level in range(1, count + 1):
            below = _level(slot, path, surface - 2.0 * slot.depth_mm * (level / count))
            steps += below if level > 1 else below[1:]
        steps.append(Rapid(x=job.clearance_mm))
    return [*steps, *end_milling(job)]


def _check(job: Job, slot: Slot, dia: float) -> None:
    if "y" not in job.channel.axes and dia < slot.width_mm - 1e-9:
        raise fault(job, codes.TOOL_FIT, "the channel has no Y axis to reach the slot's walls", slot.width_mm)
    if dia > slot.width_mm + 1e-9:
        cause = f"the cutter of {float(dia):g} is wider than the slot of {float(slot.width_mm):g}"
        raise fault(job, codes.TOOL_FIT, cause, dia, slot.width_mm)
    if job.tool.reach_mm is not None and slot.depth_mm > job.tool.reach_mm:
        cause = f"the slot is {float(slot.depth_mm):g} deep, the cutter reaches {float(job.tool.reach_mm):g}"
        raise fault(job, codes.TOOL_FIT, cause, slot.depth_mm, job.tool.reach_mm)
    if slot.open == "none" and slot.to_mm - slot.from_mm < dia:
        cause = f"the cutter of {float(dia):g} is longer than the slot of {float(slot.to_mm - slot.from_mm):g}"
        raise fault(job, codes.TOOL_FIT, cause, dia, slot.to_mm)


def _path(job: Job, slot: Slot, dia: float, feed: Number) -> _Path:
    beyond = dia / 2.0 + clear_mm(job)
    front = _FACE + job.z_mm(slot.from_mm)
    back = _FACE + job.z_mm(slot.to_mm)
    start = front + beyond if slot.open in ("front", "both") else front - dia / 2.0
    end = back - beyond if slot.open in ("back", "both") else back + dia / 2.0
    return _Path(start, end, _ZERO + (slot.width_mm - dia) / 2.0, feed)


def _level(slot: Slot, path: _Path, x: float) -> list[Step]:
    """One level: down (in the open where it is open), along the middle, then round the walls."""
    opened = slot.open in ("front", "both")
    down: Step = Rapid(x=x) if opened else Feed(x=x, feed=path.feed * _PLUNGE)
    back = Rapid(y=_ZERO, z=path.start_z) if opened else Feed(y=_ZERO, z=path.start_z, feed=path.feed)
    steps: list[Step] = [back, down]
    steps.append(Feed(z=path.end_z, feed=path.feed))
    if path.wall > 1e-9:
        steps += [
            Feed(y=path.wall),
            Feed(z=path.start_z),
            Feed(y=-path.wall),
            Feed(z=path.end_z),
            Feed(y=_ZERO),
        ]
    return [*steps, Feed(z=path.start_z)]
