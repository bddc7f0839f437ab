"""What is known of material, bar and tools besides the texts: plain data, which another layer takes from a family."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["CuttingFacts", "ToolFacts"]


class ToolFacts(NamedTuple):
    """One tool. Lengths in mm, angles in degrees; None where the catalogue does not say.

    Attributes:
        name: in the catalogue. type: as the catalogue calls it, `drill`.
        dia_mm: of the cutting edges. teeth: how many.
        edge_deg: angle of a turning tool's edge to its feed along Z.
        nose_mm: radius of the corner.
        point_deg: full angle of a drill's point, or of a chamfer cutter's cone.
        tip_mm: diameter of the flat at the tip.
        width_mm: of a blade. left_corner: whether the corner nearer the chuck is the one that is measured.
        pitch_mm: of a tap. lead_pitches: length of its lead. thread_mm: its major diameter.
    """

    name: str
    type: str
    dia_mm: float | None = None
    teeth: float | None = None
    edge_deg: float | None = None
    nose_mm: float | None = None
    point_deg: float | None = None
    tip_mm: float = 0.0
    width_mm: float | None = None
    left_corner: bool = True
    pitch_mm: float | None = None
    lead_pitches: float | None = None
    thread_mm: float | None = None


@dataclass(frozen=True, slots=True)
class CuttingFacts:
    """Material, bar and tools of one pair.

    Attributes:
        material: its name. source: where its constants come from.
        kc11_n_mm2: specific cutting force at a chip of 1 mm. mc: by how much thicker chips ask for less.
        stock_mm: diameter of the circle round the bar. bore_mm: of the hole in it, 0 for solid.
        front_mm: how far the raw bar stands in front of the finished face. back_mm: what a cut-off leaves behind it.
        tools: by channel and number of the station.
    """

    material: str
    source: str
    kc11_n_mm2: float
    mc: float
    stock_mm: float
    bore_mm: float
    front_mm: float
    back_mm: float
    tools: Mapping[str, Mapping[int, ToolFacts]]
