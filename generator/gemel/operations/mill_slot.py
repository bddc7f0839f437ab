"""Slots along the axis with a radial end mill: down in steps, out to the walls in steps, along Z.

The tool lies along X; a depth d below the surface S (a diameter) is X = S - 2 d.
An open end is left by the cutter's radius and the clear distance; at a closed end the cutter turns in.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from gemel.families.features import Slot
from gemel.families.processes import MillSlot
from gemel.numbers import Number, rule
from gemel.operations import codes
from gemel.operations.common import check_amount, clear_mm, cuts, fault, need
from gemel.operations.milling_common import (
    begin_milling,
    end_milling,
    index,
    milling_feed_mm_min,
    rotating_speed_rpm,
    somewhere,
)
from gemel.operations.steps import Feed, Rapid, Step

if TYPE_CHECKING:
    from gemel.families.part import Job

__all__ = ["mill_slot"]

_FACE = rule(0.0, "finished face", "definition of the offset")
_ZERO = rule(0.0, "middle of the slot", "definition")
_SHARE = rule(0.6, "step-over as a share of the cutter's diameter", "common practice, no source")
_PLUNGE = rule(0.3, "share of the feed in solid material along the tool", "common practice, no source")

_SAME_MM = 1e-9


class _Path(NamedTuple):
    """One slot: ends on Z, offsets from the middle that every level cuts, the one that the last level adds, mm/min."""

    start_z: Number
    end_z: Number
    offsets: list[Number]
    wall: Number | None
    feed: Number


def mill_slot(job: Job) -> list[Step]:
    """Steps of every slot of the feature.

    Raises:
        Findings: the cutter is wider than the slot, longer than a closed one, or shorter than it is deep.
    """
    slot = job.feature_as(Slot)
    dia = need(job, job.tool.dia_mm, "the cutter's diameter")
    _check(job, slot, dia)
    rpm = rotating_speed_rpm(job, dia)
    surface = slot.surface_dia_mm if slot.surface_dia_mm is not None else job.part.stock.round_mm
    path = _path(job, slot, dia, milling_feed_mm_min(job, rpm))
    count = cuts(job, slot.depth_mm, need(job, job.cutting.depth_mm, "a depth of pass"))
    clear = surface + 2.0 * clear_mm(job)
    check_amount(job, count, 1 + len(path.offsets), len(slot.angles()))
    steps = begin_milling(job, "yz", rpm)
    for number, angle in enumerate(somewhere(job, slot.angles())):
        steps += index(job, angle, first=number == 0)
        steps += [Rapid(y=_ZERO, z=path.start_z), Rapid(x=clear)]
        for level in range(1, count + 1):
            last = level == count
            below = _level(slot, path, surface - 2.0 * slot.depth_mm * (level / count), last=last)
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
    if job.tool.cutting_length_mm is not None and slot.depth_mm > job.tool.cutting_length_mm:
        cause = f"the slot is {float(slot.depth_mm):g} deep, the edges are {float(job.tool.cutting_length_mm):g} long"
        raise fault(job, codes.TOOL_FIT, cause, slot.depth_mm, job.tool.cutting_length_mm)
    if slot.open == "none" and slot.to_mm - slot.from_mm < dia:
        cause = f"the cutter of {float(dia):g} is longer than the slot of {float(slot.to_mm - slot.from_mm):g}"
        raise fault(job, codes.TOOL_FIT, cause, dia, slot.to_mm)


def _path(job: Job, slot: Slot, dia: float, feed: Number) -> _Path:
    beyond = dia / 2.0 + clear_mm(job)
    front = _FACE + job.z_mm(slot.from_mm)
    back = _FACE + job.z_mm(slot.to_mm)
    start = front + beyond if slot.open in ("front", "both") else front - dia / 2.0
    end = back - beyond if slot.open in ("back", "both") else back + dia / 2.0
    wall = _ZERO + (slot.width_mm - dia) / 2.0
    leave = job.operation_as(MillSlot).leave_mm
    if wall <= leave:
        # No room for a last pass along the walls.
        return _Path(start, end, [wall] if wall > _SAME_MM else [], None, feed)
    rough = wall - leave
    width = job.cutting.width_mm if job.cutting.width_mm is not None else dia * _SHARE
    count = cuts(job, rough, width)
    offsets = [rough * (number / count) for number in range(1, count + 1)]
    return _Path(start, end, offsets, wall if leave > _SAME_MM else None, feed)


def _level(slot: Slot, path: _Path, x: float, *, last: bool) -> list[Step]:
    """One level: down (in the open where it is open), along the middle, then round and round out to the walls.

    The walls get their last pass on the last level, over their whole depth. Along the wall on the Y side the cutter
    runs towards +Z and back along the other: climbing, with a cutter that turns forward.
    """
    opened = slot.open in ("front", "both")
    down: Step = Rapid(x=x) if opened else Feed(x=x, feed=path.feed * _PLUNGE)
    back = Rapid(y=_ZERO, z=path.start_z) if opened else Feed(y=_ZERO, z=path.start_z, feed=path.feed)
    steps: list[Step] = [back, down, Feed(z=path.end_z, feed=path.feed)]
    rounds = [*path.offsets, path.wall] if last and path.wall is not None else path.offsets
    for offset in rounds:
        steps += [Feed(y=offset), Feed(z=path.start_z), Feed(y=-offset), Feed(z=path.end_z)]
    if rounds:
        steps.append(Feed(y=_ZERO))
    return [*steps, Feed(z=path.start_z)]
