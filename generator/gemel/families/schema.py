"""The schema of a family file: a part described once, with named values, and a row of values per member."""

from __future__ import annotations

from typing import Annotated, Any, Literal, Union

from pydantic import Discriminator, Field, Tag

from gemel.documents import Strict
from gemel.families.features import Feature
from gemel.families.formula import Allowance, Extent, Formula, Rate, Text
from gemel.families.processes import Operation

__all__ = ["Drawing", "FamilyFile", "Hold", "Member", "Stock", "Threaded", "Toleranced", "Value"]


class Drawing(Strict):
    """The drawing that the family follows.

    Attributes:
        number: of the drawing.
        revision: of the drawing.
    """

    number: Text
    revision: Text


class Stock(Strict):
    """The bar.

    Attributes:
        shape: cross-section.
        size: diameter of a round bar, across flats of the others.
        bar: length of a new bar.
        remnant: length that cannot be used.
    """

    shape: Literal["round", "hexagon", "square"] = "round"
    size_mm: Extent = Field(alias="size")
    bar_mm: Extent = Field(3000.0, alias="bar")
    remnant_mm: Allowance = Field(0.0, alias="remnant")


class Toleranced(Strict):
    """A size with its tolerance; programs aim at the middle of it.

    Attributes:
        size: nominal size.
        tolerance: ISO 286 letters (`h9`, `H8`), a pair (`+0.1 -0.05`, `+-0.1`), or a general class (`m`).
    """

    size: Rate
    tolerance: Text


class Threaded(Strict):
    """A thread; where a number is wanted it stands for its major diameter.

    Attributes:
        thread: by name, `M5`, `G1/8`, `1/4-20 UNC`.
    """

    thread: Text


def _value_form(value: Any) -> str:
    if isinstance(value, dict):
        return "a thread" if "thread" in value else "a size"
    if isinstance(value, Threaded):
        return "a thread"
    return "a size" if isinstance(value, Strict) else "a number"


Value = Annotated[
    Union[  # noqa: UP007 # pydantic reads the tags off a Union
        Annotated[Formula, Tag("a number")], Annotated[Toleranced, Tag("a size")], Annotated[Threaded, Tag("a thread")]
    ],
    Discriminator(_value_form),
]
"""A named value: a number, an expression over other values, a size with a tolerance, or a thread."""

Member = dict[Text, Value | None]
"""One row: `program` (the program number) and the values in which the member differs."""


class Hold(Strict):
    """How one spindle holds the part; for the setup sheet alone, no program depends on it.

    Attributes:
        pressure: of the clamp, bar (also in a family in inches).
        jaws: what it holds with, `collet 25` or `soft jaws, bored 15`.
    """

    pressure_bar: Formula | None = Field(None, alias="pressure")
    jaws: Text | None = None


class FamilyFile(Strict):
    """A family of parts.

    Attributes:
        family: its name, the first part of every program's file name.
        title: what the part is, for headers and sheets.
        drawing: number and revision.
        machine: the machine file it is written for, by its folder's name.
        material: from the material catalogue.
        unit: of every length in this file.
        general: ISO 2768 class for sizes without a tolerance of their own: f, m, c, v.
        stock: the bar.
        values: named values; every number may be an expression over them.
        members: one row per dash number: program number, and the values that differ.
        features: what the drawing shows.
        stations: tools that the family puts into free stations, channel by channel.
        operations: what each tool does.
        stages: what each channel does between two wait marks, in order.
        repeat: programs start again from the top instead of ending.
        holding: clamp pressure and jaws, spindle by spindle.
    """

    family: Text
    title: Text
    drawing: Drawing
    machine: Text
    material: Text
    unit: Literal["mm", "inch"] = "mm"
    general: Literal["f", "m", "c", "v"] = "m"
    stock: Stock
    values: dict[Text, Value] = Field(default_factory=dict)
    members: dict[Text, Member] = Field(min_length=1)
    features: dict[Text, Feature]
    stations: dict[Text, dict[Text, Text]] = Field(default_factory=dict)
    operations: dict[Text, Operation]
    stages: list[dict[Text, list[Text]]] = Field(min_length=1)
    repeat: bool = False
    holding: dict[Text, Hold] = Field(default_factory=dict)
