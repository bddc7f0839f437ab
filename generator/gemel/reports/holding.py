"""How the part is held: zero points, lengths out of the clamps, pressures; lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from gemel.families.features import Bar
from gemel.families.handover import BarFeed, TakeOver
from gemel.reports.sizes import plain

if TYPE_CHECKING:
    from gemel.families.part import Part
    from gemel.machines.schema import Machine

__all__ = ["Holding", "holdings", "length_text"]

_MM_PER_INCH = 25.4


@dataclass(frozen=True, slots=True)
class Holding:
    """One spindle as it is set up.

    Attributes:
        spindle: as the machine file titles it. offset: the code of its work offset.
        zero: where the offset's zero point lies.
        reach: what stands out of the clamp, with its length.
        grip: what the clamp holds.
        moves: other positions that the programs rely on, as that of the slide.
        jaws: what the clamp holds with, empty if the family does not say. pressure_bar: of it, likewise.
    """

    spindle: str
    offset: str
    zero: str
    reach: str
    grip: str
    moves: str = ""
    jaws: str = ""
    pressure_bar: str = ""


def length_text(value_mm: float, machine: Machine) -> str:
    """A length in mm; for a machine in inches also as its control shows it."""
    text = f"{plain(value_mm)} mm"
    if machine.unit == "inch":
        text += f" ({plain(value_mm / _MM_PER_INCH, 4)} in)"
    return text


def holdings(part: Part, machine: Machine) -> tuple[Holding, ...]:
    """A row for every spindle, in the machine file's order."""
    found = []
    for name, spindle in machine.spindles.items():
        offset = str(machine.codes.offset.get(spindle.offset, spindle.offset))
        row = _bar_side if spindle.side == "bar" else _hand_over
        if any(o.spindle == name for o in part.operations.values()):
            told = row(part, machine, str(spindle.title), offset)
            hold = part.holding.get(name)
            if hold is not None:
                pressure = "" if hold.pressure_bar is None else plain(hold.pressure_bar)
                told = replace(told, jaws=str(hold.jaws or ""), pressure_bar=pressure)
            found.append(told)
    return tuple(found)


def _bar_side(part: Part, machine: Machine, title: str, offset: str) -> Holding:
    bar = part.feature_of(Bar)
    zero = "X0 on the axis, Z0 at the finished front face"
    if bar is None:
        return Holding(title, offset, zero, "", "")
    front = bar.stick_out_mm - bar.allowance_mm
    zero += f", {length_text(front, machine)} from the clamp's face"
    reach = f"bar end {length_text(bar.stick_out_mm, machine)} out before the first cut"
    stop = next((o for o in part.operations.values() if isinstance(o, BarFeed)), None)
    moves = ""
    if stop is not None:
        at = bar.allowance_mm if stop.stop_mm is None else stop.stop_mm
        moves = f"the stop ends the bar at Z {length_text(at, machine)}"
    return Holding(title, offset, zero, reach, f"the bar, {plain(part.stock.size_mm)} mm {part.stock.shape}", moves)


def _hand_over(part: Part, machine: Machine, title: str, offset: str) -> Holding:
    zero = "X0 on the axis, Z0 at the finished back face"
    take = next((o for o in part.operations.values() if isinstance(o, TakeOver)), None)
    if take is None:
        return Holding(title, offset, zero, "", "")
    out = part.length_mm - take.grip_mm
    slide = machine.codes.slide
    return Holding(
        title,
        offset,
        f"{zero}, {length_text(out, machine)} from the clamp's face",
        f"back face {length_text(out, machine)} out",
        f"the front end, {length_text(take.grip_mm, machine)} of it",
        f"slide {slide} {length_text(take.slide_mm, machine)} where it takes the part",
    )
