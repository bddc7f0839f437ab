"""Which workpiece is where while a pair runs: fed, pulled, taken over, parted off. Lengths in mm."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.cutting.workpiece import Workpiece
from gemel.reading.dialect import ToolKind

if TYPE_CHECKING:
    from gemel.cutting.facts import CuttingFacts
    from gemel.machines.schema import Machine
    from gemel.reading.dialect import Function

__all__ = ["Holding"]


class Holding:
    """The workpieces in the spindles, changed as the texts say.

    Attributes:
        bar: name of the spindle that holds the bar. other: of the one that takes over, empty without.
        works: workpiece by spindle; a spindle that holds none is left out.
    """

    def __init__(self, facts: CuttingFacts, machine: Machine) -> None:
        self.facts = facts
        sides = {spindle.side: name for name, spindle in machine.spindles.items()}
        self.bar = sides.get("bar", "")
        self.other = sides.get("hand-over", "")
        self.works = {self.bar: Workpiece.bar(facts)}
        self._closed = {self.bar: True, self.other: False}

    def function(self, function: Function, kind: ToolKind | None, z: float | None) -> None:
        """A function code; `kind` and `z` are those of the tool of the channel that gives it."""
        if function.kind == "clamp" and function.which in self._closed:
            self._closed[function.which] = function.state == "close"
            if function.which == self.other and function.state == "open":
                self.works.pop(self.other, None)
        if function.kind == "bar-feed":
            stop = z if kind is ToolKind.BAR_STOP and z is not None else self.facts.front_mm
            self.works[self.bar].move(stop - self.works[self.bar].front)

    def slide(self, distance: float) -> None:
        """The slide moves: with the bar's clamp open and its own closed it draws the bar along."""
        if not self._closed[self.bar] and self._closed[self.other]:
            self.works[self.bar].move(distance)

    def pull(self, distance: float) -> None:
        """A bar puller moves along Z: with the clamp open it draws the bar along."""
        if not self._closed[self.bar]:
            self.works[self.bar].move(distance)

    def part_off(self, spindle: str, low: float, high: float) -> None:
        """A blade between `low` and `high` has gone through; what is in front of it goes where it is held."""
        if spindle != self.bar:
            return
        piece = self.works[self.bar].cut_through(low, high, self.facts.back_mm)
        if self._closed[self.other]:
            self.works[self.other] = piece
