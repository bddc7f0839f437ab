"""The kinds of values that a machine file holds."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import PlainValidator, WithJsonSchema

from gemel.documents import PlacedFloat, PlacedInt, PlacedText
from gemel.numbers import sourced

__all__ = ["Amount", "Code", "Pair", "ToolKind"]


def _code(value: Any) -> PlacedText | str:
    if not isinstance(value, str) or not value:
        raise ValueError("expected a code word such as M68")
    return value


def _amount(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError("expected a number")  # noqa: TRY004 # pydantic turns ValueError alone into a finding
    return sourced(float(value), value.place) if isinstance(value, PlacedInt | PlacedFloat) else float(value)


Code = Annotated[str, PlainValidator(_code), WithJsonSchema({"type": "string", "minLength": 1})]
"""A word of a program, kept with its place in the machine file."""

Amount = Annotated[float, PlainValidator(_amount), WithJsonSchema({"type": "number"})]
"""A `Number` whose origin is its place in the machine file; in the machine's unit."""

Pair = Annotated[list[Amount], "two numbers"]

ToolKind = Literal["turning", "cut-off", "rotating", "bar stop", "bar puller"]
