"""Numeric fields of a family: a number or an expression, kept as written until a member is resolved.

The static type of every such field is `float`. When a document is read the field holds a `Written`; in a resolved
`Part` it holds a `Number`, lengths in mm, angles in degrees. Nothing else may read a field before it is resolved.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import PlainValidator, WithJsonSchema

from gemel.documents import place_of
from gemel.numbers import Source

__all__ = [
    "Allowance",
    "AtLeastOne",
    "Bounds",
    "Count",
    "Dimension",
    "Extent",
    "Formula",
    "Length",
    "Quantity",
    "Rate",
    "Surface",
    "Text",
    "ThreadName",
    "Written",
    "WrittenThread",
]

_NOISE = 1e-9
_MOST = 1000
Dimension = Literal["number", "length", "surface speed"]
"""What the family's unit means for a field: nothing, mm or inch (also per revolution or tooth), m/min or ft/min."""

Bounds = Literal["any number", "over 0", "0 or more", "a whole number, 1 to 1000", "a whole number up to 1000"]
"""Which numbers a field takes."""


@dataclass(frozen=True, slots=True)
class Written:
    """A numeric field as it stands in the document.

    Attributes:
        text: the scalar as written, `35` or `length / 2`.
        value: the number, when it is a plain one; None for an expression.
        place: where it stands.
        dimension: what becomes of it when the family's unit is not mm.
        bounds: which numbers it takes.
    """

    text: str
    value: float | None
    place: Source
    dimension: Dimension
    bounds: Bounds = "any number"

    def takes(self, number: float) -> bool:
        """Whether `number` lies within the bounds."""
        bounds = self.bounds
        if bounds == "any number":
            return True
        if bounds == "over 0":
            return number > 0
        if bounds == "0 or more":
            return number >= -_NOISE
        if number > _MOST:
            return False
        whole = math.isfinite(number) and abs(float(number) - round(float(number))) < _NOISE
        return whole and (number > 0 or bounds == "a whole number up to 1000") and number >= -_NOISE


@dataclass(frozen=True, slots=True)
class WrittenThread:
    """A thread as it stands in the document: its name, or that of a value which is a thread.

    Attributes:
        text: as written. place: where it stands.
    """

    text: str
    place: Source


class _Reader:
    """Takes a placed scalar into a `Written` of one dimension, with its bounds."""

    def __init__(self, dimension: Dimension, bounds: Bounds = "any number") -> None:
        self.dimension: Dimension = dimension
        self.bounds: Bounds = bounds

    def __call__(self, value: Any) -> Any:
        if isinstance(value, Written):
            return value
        if isinstance(value, bool) or not isinstance(value, int | float | str):
            raise ValueError("expected a number or an expression")  # noqa: TRY004 # pydantic turns ValueError alone into a finding
        place = place_of(value) or Source("", "", 0, 0, str(value))
        if isinstance(value, str):
            return Written(str(value), None, place, self.dimension, self.bounds)
        return Written(place.text, float(value), place, self.dimension, self.bounds)


def _text(value: Any) -> str:
    if not isinstance(value, str) or not value.strip():
        raise ValueError("expected a text")
    return value


def _thread(value: Any) -> Any:
    if isinstance(value, WrittenThread):
        return value
    text = _text(value)
    return WrittenThread(str(text), place_of(text) or Source("", "", 0, 0, str(text)))


_TEXT: dict[str, Any] = {"type": "string", "minLength": 1}
_SCHEMA: dict[str, Any] = {"anyOf": [{"type": "number"}, _TEXT]}
_OVER: dict[str, Any] = {"anyOf": [{"type": "number", "exclusiveMinimum": 0}, _TEXT]}
_FROM: dict[str, Any] = {"anyOf": [{"type": "number", "minimum": 0}, _TEXT]}
_WHOLE: dict[str, Any] = {"anyOf": [{"type": "integer", "minimum": 0, "maximum": 1000}, _TEXT]}
_WHOLE_1: dict[str, Any] = {"anyOf": [{"type": "integer", "minimum": 1, "maximum": 1000}, _TEXT]}

Formula = Annotated[float, PlainValidator(_Reader("number")), WithJsonSchema(_SCHEMA)]
"""A number without a unit, or in degrees: `4`, `"ports + 1"`."""

Rate = Annotated[float, PlainValidator(_Reader("number", "over 0")), WithJsonSchema(_OVER)]
"""A number over 0 without a unit, or in rpm, degrees, kg/m3."""

Quantity = Annotated[float, PlainValidator(_Reader("number", "0 or more")), WithJsonSchema(_FROM)]
"""A number of 0 or more without a unit, or in seconds, rpm, pitches."""

Count = Annotated[float, PlainValidator(_Reader("number", "a whole number up to 1000")), WithJsonSchema(_WHOLE)]
"""How many there are, perhaps none; a whole number once resolved."""

AtLeastOne = Annotated[float, PlainValidator(_Reader("number", "a whole number, 1 to 1000")), WithJsonSchema(_WHOLE_1)]
"""How many there are, at least one; a whole number once resolved."""

Length = Annotated[float, PlainValidator(_Reader("length")), WithJsonSchema(_SCHEMA)]
"""A position in the family's unit: `15`, `"7/8"`, `length - 2`; in mm once resolved."""

Extent = Annotated[float, PlainValidator(_Reader("length", "over 0")), WithJsonSchema(_OVER)]
"""A length over 0 in the family's unit, a diameter, width, depth or feed; in mm once resolved."""

Allowance = Annotated[float, PlainValidator(_Reader("length", "0 or more")), WithJsonSchema(_FROM)]
"""A length of 0 or more in the family's unit; in mm once resolved."""

Surface = Annotated[float, PlainValidator(_Reader("surface speed", "over 0")), WithJsonSchema(_OVER)]
"""A surface speed, m/min, or ft/min in a family in inches; in m/min once resolved."""

Text = Annotated[str, PlainValidator(_text), WithJsonSchema({"type": "string", "minLength": 1})]
"""A text that keeps its place (`PlacedText` once read): the name of a tool, a thread, a feature."""

ThreadName = Annotated[str, PlainValidator(_thread), WithJsonSchema({"type": "string", "minLength": 1})]
"""A thread, `M5`, `G1/8`, `1/4-20 UNC`, or a value that is one; a `WrittenThread` once read, a name once resolved."""
