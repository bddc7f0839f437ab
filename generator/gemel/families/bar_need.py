"""What one part takes of the bar, and what a bar gives and weighs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from gemel.families.features import Bar
from gemel.families.geometry import circle_area_mm2, mass_kg_m, pieces_from_bar, polygon_area_mm2
from gemel.families.handover import BarPull, CutOff

if TYPE_CHECKING:
    from gemel.families.load import Family
    from gemel.families.part import Part, StockBar

__all__ = ["BarNeed", "bar_need"]

_CORNERS = {"hexagon": 6, "square": 4}


@dataclass(frozen=True, slots=True)
class BarNeed:
    """The bar of one member. Lengths in mm.

    Attributes:
        material: its name. shape: of the section. size_mm: diameter, or across flats.
        part_mm: the finished part. front_mm, back_mm: what is faced off before and behind it.
        blade_mm: width of the cut-off; 0 where the part is not cut off.
        pitch_mm: bar that one part takes: all of these together, or what the bar is pulled by where that is given.
        bar_mm: length of a new bar. remnant_mm: what of it stays in the clamp.
        parts: how many parts a new bar gives.
        kg_m: mass of a metre.
    """

    material: str
    shape: str
    size_mm: float
    part_mm: float
    front_mm: float
    back_mm: float
    blade_mm: float
    pitch_mm: float
    bar_mm: float
    remnant_mm: float
    parts: int
    kg_m: float

    @property
    def kg(self) -> float:
        """Mass of a new bar."""
        return self.kg_m * self.bar_mm / 1000

    @property
    def left_mm(self) -> float:
        """What of a new bar does not become parts and cut-offs, the remnant included."""
        return self.bar_mm - self.parts * self.pitch_mm

    def parts_of(self, length_mm: float) -> int:
        """How many parts a bar of another length gives."""
        return int(pieces_from_bar(length_mm, self.pitch_mm, 0.0, self.remnant_mm))


def bar_need(family: Family, part: Part) -> BarNeed:
    """The bar that a member of a family takes. The first part of a bar takes as much as every other one."""
    stock = part.stock
    bar = part.feature_of(Bar)
    cut = next((operation for operation in part.operations.values() if isinstance(operation, CutOff)), None)
    blade = family.catalogues.tools[cut.tool].width_mm if cut else None
    front = float(bar.allowance_mm) if bar else 0.0
    back = float(cut.allowance_mm) if cut else 0.0
    pulls = [o.pull_mm for o in part.operations.values() if isinstance(o, BarPull) and o.pull_mm is not None]
    whole = float(part.length_mm) + front + back + float(blade or 0.0)
    pitch = float(pulls[0]) if pulls else whole
    return BarNeed(
        material=str(part.material),
        shape=stock.shape,
        size_mm=float(stock.size_mm),
        part_mm=float(part.length_mm),
        front_mm=front,
        back_mm=back,
        blade_mm=float(blade or 0.0),
        pitch_mm=pitch,
        bar_mm=float(stock.bar_mm),
        remnant_mm=float(stock.remnant_mm),
        parts=int(pieces_from_bar(stock.bar_mm, pitch, 0.0, stock.remnant_mm)),
        kg_m=float(mass_kg_m(_section_mm2(stock), family.catalogues.materials[part.material].density_kg_m3)),
    )


def _section_mm2(stock: StockBar) -> float:
    if stock.shape in _CORNERS:
        return polygon_area_mm2(stock.size_mm, _CORNERS[stock.shape])
    return circle_area_mm2(stock.size_mm)
