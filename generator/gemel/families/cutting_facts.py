"""What a family knows about its cuts, as plain data for those who may not know families."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.cutting.facts import CuttingFacts, ToolFacts
from gemel.families.features import Bar
from gemel.families.handover import CutOff
from gemel.families.stations import find_station
from gemel.families.threads import UnknownThread, thread
from gemel.machines.dialect import dialect_of

if TYPE_CHECKING:
    from gemel.families.catalogue import Tool
    from gemel.families.load import Family
    from gemel.families.part import Part

__all__ = ["cutting_facts"]


def cutting_facts(family: Family, part: Part) -> CuttingFacts:
    """Material, bar and tools of a member."""
    material = family.catalogues.materials[part.material]
    bar = part.feature_of(Bar)
    cut = next((operation for operation in part.operations.values() if isinstance(operation, CutOff)), None)
    spindle = next((s for s in family.machine.spindles.values() if s.side == "bar"), None)
    return CuttingFacts(
        material=str(part.material),
        source=str(material.source),
        kc11_n_mm2=float(material.kc11_n_mm2),
        mc=float(material.mc),
        stock_mm=float(part.stock.round_mm),
        bore_mm=float(spindle.bore) * (25.4 if family.machine.unit == "inch" else 1.0) if spindle else 0.0,
        front_mm=float(bar.allowance_mm) if bar else 0.0,
        back_mm=float(cut.allowance_mm) if cut else 0.0,
        tools={channel: _tools(family, part, channel) for channel in family.machine.channels},
    )


def _tools(family: Family, part: Part, channel: str) -> dict[int, ToolFacts]:
    """The tools of a channel by the number by which its program names the station."""
    facts = family.machine.channels[channel]
    divisor = dialect_of(family.machine, channel).tool_divisor
    found = {}
    for station, name in part.stations[channel].items():
        place = find_station(facts, station)
        tool = family.catalogues.tools.get(name)
        if place is not None and tool is not None:
            found[int(place.call[1:]) // divisor] = _facts(name, tool)
    return found


def _facts(name: str, tool: Tool) -> ToolFacts:
    return ToolFacts(
        name=str(name),
        type=str(tool.type),
        dia_mm=_number(tool.dia_mm),
        teeth=_number(tool.teeth),
        edge_deg=_number(tool.edge_angle_deg),
        nose_mm=_number(tool.nose_radius_mm),
        point_deg=_number(tool.point_angle_deg),
        tip_mm=_number(tool.tip_dia_mm) or 0.0,
        width_mm=_number(tool.width_mm),
        left_corner=tool.side == "left",
        pitch_mm=_number(tool.pitch_mm),
        lead_pitches=_number(tool.lead_pitches),
        thread_mm=_major_mm(tool),
    )


def _number(value: float | None) -> float | None:
    return None if value is None else float(value)


def _major_mm(tool: Tool) -> float | None:
    """Major diameter of a tap, by the name of its thread."""
    try:
        return float(thread(tool.thread).major_mm) if tool.thread else None
    except UnknownThread:
        return None
