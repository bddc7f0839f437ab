"""The tool list of a member: station by station, what to set, and which families share it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from gemel.reports.offsets import offset_number, setting_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.families.part import Job
    from gemel.families.tool_plan import StationPlan, ToolPlan
    from gemel.machines.schema import Machine
    from gemel.reports.offsets import Setting
    from gemel.reports.stage_table import StageRow

__all__ = ["ToolRow", "tool_rows"]


@dataclass(frozen=True, slots=True)
class ToolRow:
    """One station that a member uses.

    Attributes:
        channel: that holds it. station: its name. call: the word that brings it to work.
        offset: number of its offset.
        tool: name in the catalogue. title: as the operator knows it.
        setting: what to measure.
        used: sequence numbers and titles of the operations that use it.
        stays: whether the machine holds this tool there for every family.
        shared: other families that want the same tool there.
        differs: other families that want another one there, and which.
    """

    channel: str
    station: str
    call: str
    offset: str
    tool: str
    title: str
    setting: Setting
    used: tuple[str, ...]
    stays: bool
    shared: tuple[str, ...]
    differs: tuple[tuple[str, str], ...]


def tool_rows(
    family: str, jobs: Mapping[str, Job], stages: tuple[StageRow, ...], machine: Machine, plan: ToolPlan
) -> tuple[ToolRow, ...]:
    """A row for every station whose tool an operation calls, channel by channel, in the order of the stations."""
    used: dict[tuple[str, str], list[str]] = {}
    for stage in stages:
        for cell in stage.cells:
            for work in cell.work:
                if work.call:
                    job = jobs[work.id]
                    key = (str(job.operation.channel), str(job.station))
                    used.setdefault(key, []).append(f"{work.sequence} {work.title}".strip())
    by_place = {(str(j.operation.channel), str(j.station)): j for j in jobs.values()}
    stations = {(s.channel, s.station): s for s in plan.stations}
    channels = list(machine.channels)
    places = sorted(used, key=lambda place: (channels.index(place[0]), _natural(place[1])))
    return tuple(_row(family, by_place[p], tuple(used[p]), machine, stations.get(p)) for p in places)


def _natural(station: str) -> tuple[int, str]:
    digits = re.search(r"[0-9]+", station)
    return (int(digits.group()) if digits else 0, station)


def _row(family: str, job: Job, used: tuple[str, ...], machine: Machine, station: StationPlan | None) -> ToolRow:
    wanted = {} if station is None else {name: tool for name, tool in station.wanted.items() if name != family}
    channel = str(job.operation.channel)
    return ToolRow(
        channel,
        str(job.station),
        str(job.call),
        offset_number(job.call, machine, channel),
        str(job.tool_id),
        str(job.tool.title),
        setting_of(job.tool),
        used,
        station is not None and station.fixed is not None,
        tuple(name for name, tool in wanted.items() if tool == job.tool_id),
        tuple((name, tool) for name, tool in wanted.items() if tool != job.tool_id),
    )
