"""Numeric fields of a family: a number or an expression, kept as written until a member is resolved.

The static type of every such field is `float`. When a document is read the field holds a `Written`; in a resolved
`Part` it holds a `Number`, lengths in mm, angles in degrees. Nothing else may read a field before it is resolved.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import PlainValidator, WithJsonSchema

from gemel.documents import place_of
from gemel.numbers import Source

__all__ = ["Dimension", "Formula", "Length", "Surface", "Text", "ThreadName", "Written", "WrittenThread"]

Dimension = Literal["number", "length", "surface speed"]
"""What the family's unit means for a field: nothing, mm or inch (also per revolution or tooth), m/min or ft/min."""


@dataclass(frozen=True, slots=True)
class Written:
    """A numeric field as it stands in the document.

    Attributes:
        text: the scalar as written, `35` or `length / 2`.
        value: the number, when it is a plain one; None for an expression.
        place: where it stands.
        dimension: what becomes of it when the family's unit is not mm.
    """

    text: str
    value: float | None
    place: Source
    dimension: Dimension


@dataclass(frozen=True, slots=True)
class WrittenThread:
    """A thread as it stands in the document: its name, or that of a value which is a thread.

    Attributes:
        text: as written. place: where it stands.
    """

    text: str
    place: Source


class _Reader:
    """Takes a placed scalar into a `Written` of one dimension."""

    def __init__(self, dimension: Dimension) -> None:
        self.dimension: Dimension = dimension

    def __call__(self, value: Any) -> Any:
        if isinstance(value, Written):
            return value
        if isinstance(value, bool) or not isinstance(value, int | float | str):
            raise ValueError("expected a number or an expression")  # noqa: TRY004 # pydantic turns ValueError alone into a finding
        place = place_of(value) or Source("", "", 0, 0, str(value))
        if isinstance(value, str):
            return Written(str(value), None, place, self.dimension)
        return Written(place.text, float(value), place, self.dimension)


def _text(value: Any) -> str:
    if not isinstance(value, str) or not value.strip():
        raise ValueError("expected a text")
    return value


def _thread(value: Any) -> Any:
    if isinstance(value, WrittenThread):
        return value
    text = _text(value)
    return WrittenThread(str(text), place_of(text) or Source("", "", 0, 0, str(text)))


_SCHEMA: dict[str, Any] = {"anyOf": [{"type": "number"}, {"type": "string", "minLength": 1}]}

Formula = Annotated[float, PlainValidator(_Reader("number")), WithJsonSchema(_SCHEMA)]
"""A number without a unit, or in degrees, seconds, rpm: `4`, `"ports + 1"`."""

Length = Annotated[float, PlainValidator(_Reader("length")), WithJsonSchema(_SCHEMA)]
"""A length in the family's unit: `15`, `"7/8"`, `length - 2`; in mm once resolved."""

Surface = Annotated[float, PlainValidator(_Reader("surface speed")), WithJsonSchema(_SCHEMA)]
"""A surface speed, m/min, or ft/min in a family in inches; in m/min once resolved."""

Text = Annotated[str, PlainValidator(_text), WithJsonSchema({"type": "string", "minLength": 1})]
"""A text that keeps its place (`PlacedText` once read): the name of a tool, a thread, a feature."""

ThreadName = Annotated[str, PlainValidator(_thread), WithJsonSchema({"type": "string", "minLength": 1})]
"""A thread, `M5`, `G1/8`, `1/4-20 UNC`, or a value that is one; a `WrittenThread` once read, a name once resolved."""
