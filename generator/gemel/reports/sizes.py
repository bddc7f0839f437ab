"""The sizes of a drawing with their limits: what the picture shows with a number, and the inspection list checks.

Lengths in mm; diameters and sizes across flats are full sizes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

from gemel.families.fits import Limits, UnknownTolerance
from gemel.families.general_tolerance import length_limits, radius_limits
from gemel.numbers import Named, Number, NumberForm, Rule, Step, leaves, sensitivity, spell
from gemel.reports.gauges import gauge

if TYPE_CHECKING:
    from gemel.families.part import Part

__all__ = ["CHAMFER", "DIAMETER", "RADIUS", "Anchor", "Asked", "Size", "Sizer", "exact", "numbered", "plain", "tenth"]

DIAMETER = "\N{DIAMETER SIGN}{}"
CHAMFER = "{} \N{MULTIPLICATION SIGN} 45\N{DEGREE SIGN}"
RADIUS = "R{}"

_PLAIN = NumberForm(decimals=3, point="needed", trailing="drop", leading="keep")

_TENTH = NumberForm(decimals=1, point="always", trailing="keep", leading="keep")
_EXACT = NumberForm(decimals=3, point="always", trailing="keep", leading="keep")


def plain(value: float, decimals: int = 3) -> str:
    """A number for people: rounded, without zeros that say nothing."""
    form = _PLAIN if decimals == 3 else NumberForm(decimals=decimals, point="needed", trailing="drop", leading="keep")
    return spell(value, form)


def exact(value: float) -> str:
    """A limit for people: always to a thousandth, so that a column lines up."""
    return spell(value, _EXACT)


def tenth(value: float) -> str:
    """A number to a tenth, also where that is 0."""
    return spell(value, _TENTH)


class Anchor(NamedTuple):
    """Where the picture shows a size.

    Attributes:
        view: `side` at a place and a height over the axis; `span` between two places; `front`, `back`: the end views
            at an angle and a radius.
        first: place, start of the span, or angle.
        second: height, end of the span, or radius.
    """

    view: str
    first: float
    second: float


class Asked(NamedTuple):
    """A size to be looked up.

    Attributes:
        feature: id of the feature it belongs to.
        what: what is measured, in words.
        kind: of measuring, see `gauges`.
        value: the number of the feature, with its origin, mm.
        anchor: where the picture shows it.
        form: its text, with `{}` for the nominal size.
    """

    feature: str
    what: str
    kind: str
    value: float
    anchor: Anchor
    form: str = "{}"


@dataclass(frozen=True, slots=True)
class Size:
    """One size of the drawing.

    Attributes:
        number: in the picture and in the list, from 1.
        feature: id of the feature it belongs to.
        what: what is measured, in words.
        text: as the picture has it, `⌀10 f9`.
        nominal_mm: without tolerance; degrees for an angle.
        aimed_mm: what the programs aim at.
        smallest_mm: smallest allowed, None without limits. largest_mm: likewise.
        tolerance: where the limits come from, `f9`, `ISO 2768-m`.
        gauge: what to measure it with.
        anchor: where the picture shows it.
    """

    number: int
    feature: str
    what: str
    text: str
    nominal_mm: float
    aimed_mm: float
    smallest_mm: float | None
    largest_mm: float | None
    tolerance: str
    gauge: str
    anchor: Anchor


class Sizer:
    """Makes the sizes of one part, with the limits that the family states or the general class gives."""

    def __init__(self, part: Part) -> None:
        self._part = part
        found: dict[str, set[float]] = {}
        for tolerance in part.tolerances.values():
            found.setdefault(f"middle of {tolerance.text}", set()).add(float(tolerance.middle_mm))
        # One name for two middles: a size that is computed from such values keeps what the programs aim at.
        self._ambiguous = {name for name, middles in found.items() if len(middles) > 1}

    def limits(self, size: float, *, edge: bool = False) -> tuple[float, Limits | None]:
        """Nominal size and limit deviations; no limits where the standard gives none.

        A size that is nothing but a named value has that value's tolerance, else the general class holds.
        """
        own = self._own(size)
        if own is not None:
            return float(size) - own.middle_mm, own
        nominal = self._nominal(size)
        try:
            return nominal, (radius_limits if edge else length_limits)(nominal, self._part.general)
        except UnknownTolerance:
            return nominal, None

    def _nominal(self, size: float) -> float:
        """The size as if every named value had its nominal size; values carry the middle of their tolerance.

        To first order, which is exact for sums and for products with constants.
        """
        value = float(size)
        middles = leaves(size)
        for leaf, slope in sensitivity(size).items():
            if isinstance(leaf, Rule) and leaf.name.startswith("middle of ") and leaf.name not in self._ambiguous:
                value -= slope * middles[leaf]
        return round(value, 9)

    def _own(self, size: float) -> Limits | None:
        origin = size.origin if isinstance(size, Number) else None
        if isinstance(origin, Step) and origin.symbol == "*" and isinstance(origin.args[0], Number):
            # A family in inches: the named value times the millimetres of an inch.
            origin = origin.args[0].origin
        if isinstance(origin, Named) and origin.source.name.startswith("values."):
            return self._part.tolerances.get(origin.source.name.removeprefix("values."))
        return None

    def size(self, asked: Asked) -> Size:
        """The size with its limits; its text has the tolerance if it is one of its own."""
        nominal, limits = self.limits(asked.value, edge=asked.kind == "edge")
        own = limits is not None and not limits.standard.startswith("ISO 2768")
        return Size(
            number=0,
            feature=asked.feature,
            what=asked.what,
            text=asked.form.format(plain(nominal) + (f" {limits.text}" if own and limits is not None else "")),
            nominal_mm=nominal,
            aimed_mm=float(asked.value),
            smallest_mm=None if limits is None else nominal + limits.lower_mm,
            largest_mm=None if limits is None else nominal + limits.upper_mm,
            tolerance="for reference" if limits is None else limits.text,
            gauge=gauge(asked.kind, None if limits is None else limits.width_mm),
            anchor=asked.anchor,
        )


def numbered(sizes: list[Size]) -> list[Size]:
    """The sizes with their numbers, in order."""
    return [replace(size, number=number) for number, size in enumerate(sizes, 1)]
