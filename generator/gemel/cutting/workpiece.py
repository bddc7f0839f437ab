"""The workpiece as the texts have left it so far, in the frame of the spindle that holds it. Lengths in mm.

It is round with boxes milled off. What it does not follow: tool noses, the walls that a drill's point leaves,
threads (their depths are kept by place instead).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from gemel.cutting.milled import NOTHING, Box, height
from gemel.cutting.profile import Profile

if TYPE_CHECKING:
    from gemel.cutting.facts import CuttingFacts

__all__ = ["Workpiece"]


@dataclass(slots=True)
class Workpiece:
    """A workpiece, changed in place.

    Attributes:
        outside: its radius over Z.
        inside: the negative of its bore's radius over Z; 0 where it is solid.
        milled: boxes cut away by rotating tools.
        threads: depth of the deepest pass by place of a thread.
    """

    outside: Profile
    inside: Profile
    milled: list[Box] = field(default_factory=list)
    threads: dict[tuple[str, float], float] = field(default_factory=dict)

    @classmethod
    def bar(cls, facts: CuttingFacts) -> Workpiece:
        """A new bar, its raw front where the family's allowance puts it."""
        front = facts.front_mm
        return cls(Profile.bar(facts.stock_mm / 2.0, front), Profile.bar(-facts.bore_mm / 2.0, front))

    @property
    def front(self) -> float:
        """Z of its front."""
        return self.outside.front

    def move(self, distance: float) -> None:
        """Draw it out by a distance, the bar behind it following."""
        self.outside = self.outside.moved(distance)
        self.inside = self.inside.moved(distance)
        self.milled = [b._replace(z_low=b.z_low + distance, z_high=b.z_high + distance) for b in self.milled]
        self.threads = {(name, z + distance): depth for (name, z), depth in self.threads.items()}

    def cut_through(self, low: float, high: float, back: float) -> Workpiece:
        """Part off what lies in front of `high` and give it as the other spindle sees it, its cut face at `back`.

        What lies behind `low` stays; between them was the blade.
        """
        outside, inside = self.outside.copy(), self.inside.copy()
        outside.begin_at(high)
        inside.begin_at(high)
        turned = [
            b._replace(angle=-b.angle % 360.0, z_low=back + high - b.z_high, z_high=back + high - b.z_low)
            for b in self.milled
        ]
        piece = Workpiece(outside.turned_round(high, back), inside.turned_round(high, back), turned)
        self.outside.end_at(low)
        self.inside.end_at(low)
        self.milled = [b for b in self.milled if b.z_low < low]
        self.threads = {place: depth for place, depth in self.threads.items() if place[1] < low}
        return piece

    def stands(self, angle: float, y: float, z: float) -> float:
        """How high material stands under a radial tool, from the axis; NOTHING where there is none."""
        radius = self.outside.at(z)
        if radius <= 0.0:
            return NOTHING
        near = [box for box in self.milled if box.z_low < z < box.z_high]
        return height(near, angle, y, radius)
