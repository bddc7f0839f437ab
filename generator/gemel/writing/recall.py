"""Traced blocks that have been written before, put together again with the values of an equal step.

A macro sees its step, the machine and the modes in force; equal ones give equal text. Equal numbers may have other
origins, so a recipe keeps the pieces of the text and takes their values from the step at hand.
"""

from __future__ import annotations

from dataclasses import fields
from typing import TYPE_CHECKING, Any, NamedTuple

from gemel.documents import PlacedText
from gemel.numbers import Number, Rule
from gemel.numbers.origin import Step as Operation
from gemel.writing.marks import PIECE, value_index

if TYPE_CHECKING:
    from collections.abc import Callable

    from gemel.operations.steps import Step
    from gemel.writing.marks import Trace

__all__ = ["Recipe", "recipe_of", "retraced"]


class _Piece(NamedTuple):
    """One piece of a traced text.

    Attributes:
        text: literal text with its mark, or the text of a value without.
        site: index of the template line, -1 for literal text.
        name: the step's attribute that the value comes from, empty for a constant.
        constant: the value itself, where it does not come from the step.
        conversion: what was done with the attribute, None for nothing.
    """

    text: str
    site: int
    name: str = ""
    constant: object = None
    conversion: Callable[[float], float] | None = None


Recipe = tuple[_Piece, ...]

_NAMES: dict[str, tuple[str, ...]] = {}


def _told(step: Step) -> dict[int, str] | None:
    """Attributes of a step that have an origin, by identity; None when two of them are one object."""
    if step.kind not in _NAMES:
        _NAMES[step.kind] = tuple(field.name for field in fields(step))
    values = [(getattr(step, name), name) for name in _NAMES[step.kind]]
    told = [(id(value), name) for value, name in values if isinstance(value, Number | PlacedText)]
    by_identity = dict(told)
    # An equal step may have two numbers there, and nobody could say which of them was written.
    return by_identity if len(by_identity) == len(told) else None


def recipe_of(step: Step, text: str, trace: Trace) -> Recipe | None:
    """How `text`, which has just been traced for `step`, is put together; None where that cannot be known."""
    told = _told(step)
    if told is None:
        return None
    pieces: list[_Piece] = []
    for literal, low, high, tail in PIECE.findall(text):
        if literal:
            pieces.append(_Piece(literal + tail, -1))
            continue
        index = value_index(low, high)
        piece = _piece(trace.values[index], trace.sites[index], tail, told)
        if piece is None:
            return None
        pieces.append(piece)
    return tuple(pieces)


def _piece(value: object, site: int, text: str, told: dict[int, str]) -> _Piece | None:
    name = told.get(id(value))
    if name is not None:
        return _Piece(text, site, name)
    if not isinstance(value, float | int):
        return _Piece(text, site, constant=value)
    origin = value.origin if isinstance(value, Number) else None
    if not isinstance(origin, Operation) or origin.symbol not in ("/", "*"):
        return None
    given, by = origin.args
    name = told.get(id(given))
    # A conversion is the step's number by a constant of the trade. Anything else is traced each time.
    if name is None or not isinstance(by, Number) or not isinstance(by.origin, Rule):
        return None
    return _Piece(text, site, name, conversion=by.__rtruediv__ if origin.symbol == "/" else by.__rmul__)


def retraced(recipe: Recipe, step: Step, trace: Trace) -> str:
    """The traced text of a step that is equal to the one behind the recipe, with this step's own values."""
    written = ""
    placed = trace.placed
    for text, site, name, constant, conversion in recipe:
        if site < 0:
            written += text
        elif name:
            value: Any = getattr(step, name)
            written += placed(text, value if conversion is None else conversion(value), site)
        else:
            written += placed(text, constant, site)
    return written
