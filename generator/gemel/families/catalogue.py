"""Tools and materials of the shop: the models behind `templates/tools.yaml` and `templates/materials.yaml`.

Once loaded every number is a `Number` that knows its line; lengths in mm, angles in degrees.
"""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from gemel.documents import Strict
from gemel.families.cutting import Cutting
from gemel.families.formula import Allowance, AtLeastOne, Extent, Quantity, Rate, Text
from gemel.machines.kinds import ToolKind

__all__ = ["Material", "Materials", "Tool", "ToolType", "Tools"]

ToolType = Literal[
    "turning",
    "boring",
    "grooving",
    "face grooving",
    "cut-off",
    "threading",
    "internal threading",
    "centre drill",
    "spot drill",
    "drill",
    "tap",
    "end mill",
    "slot cutter",
    "chamfer mill",
    "bar stop",
    "bar puller",
]


class Tool(Strict):
    """One tool.

    Attributes:
        kind: what the machine takes it for (see the tool list of the machine file).
        type: what it is.
        title: as the operator knows it.
        diameter: cutting diameter; of a boring bar the smallest bore it enters.
        teeth: cutting edges.
        nose_radius: of a turning insert's corner, or of a grooving tool's corners.
        edge_angle: angle of the cutting edge to the feed, degrees.
        point_angle: full angle of a drill's point or of a chamfer cutter's cone.
        tip_diameter: flat at the tip of a chamfer cutter or spot drill.
        width: of a grooving, cut-off or slot cutter.
        reach: how deep it can go below the surface it enters.
        cutting_length: length of its edges.
        pitch: of a tap, or the smallest pitch of a threading insert.
        thread: of a tap, by name.
        hand: of a tap, right or left.
        lead: unfinished threads at a tap's tip, in pitches.
        side: the corner that is measured on a grooving or cut-off tool: the one nearer the chuck (`left`), or `right`.
        top_speed: rpm it may turn at.
        cutting: cutting data that differ from the material's.
    """

    kind: ToolKind
    type: ToolType
    title: Text
    dia_mm: Extent | None = Field(None, alias="diameter")
    teeth: AtLeastOne | None = None
    nose_radius_mm: Allowance | None = Field(None, alias="nose_radius")
    edge_angle_deg: Rate | None = Field(None, alias="edge_angle")
    point_angle_deg: Rate | None = Field(None, alias="point_angle")
    tip_dia_mm: Allowance | None = Field(None, alias="tip_diameter")
    width_mm: Extent | None = Field(None, alias="width")
    reach_mm: Extent | None = Field(None, alias="reach")
    cutting_length_mm: Extent | None = Field(None, alias="cutting_length")
    pitch_mm: Extent | None = Field(None, alias="pitch")
    thread: Text | None = None
    hand: Literal["right", "left"] = "right"
    lead_pitches: Quantity | None = Field(None, alias="lead")
    side: Literal["left", "right"] = "left"
    top_speed_rpm: Rate | None = Field(None, alias="top_speed")
    cutting: Cutting = Cutting()


class Tools(Strict):
    """The tool catalogue.

    Attributes:
        unit: of its lengths.
        tools: every tool by the name that families and machine files use.
    """

    unit: Literal["mm", "inch"] = "mm"
    tools: dict[str, Tool]


class Material(Strict):
    """One material.

    Attributes:
        title: as the header of a program names it.
        density: kg/m3.
        force: specific cutting force kc1.1, N/mm2, at 1 mm chip thickness.
        force_exponent: mc, how the specific force falls with the chip's thickness.
        source: where density and force come from.
        cutting: starting values by tool type.
    """

    title: Text
    density_kg_m3: Rate = Field(alias="density")
    kc11_n_mm2: Rate = Field(alias="force")
    mc: Rate = Field(alias="force_exponent")
    source: Text
    cutting: dict[ToolType, Cutting] = Field(default_factory=dict)


class Materials(Strict):
    """The material catalogue.

    Attributes:
        unit: of lengths and surface speeds in its cutting data.
        materials: every material by the name that families use.
    """

    unit: Literal["mm", "inch"] = "mm"
    materials: dict[str, Material]
