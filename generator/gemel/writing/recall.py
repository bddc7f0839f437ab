"""Traced blocks that have been written before, put together again with the values of an equal step.

A macro sees its step, the machine and the modes in force; equal ones give equal text. Equal numbers may have other
origins, so a recipe keeps the pieces of the text and takes their values from the step at hand. A block of one line gets
one mark that holds step and recipe; it is taken apart when somebody asks.
"""

from __future__ import annotations

from dataclasses import fields
from typing import TYPE_CHECKING, Any, NamedTuple

from gemel.documents import PlacedText
from gemel.numbers import Number, Rule
from gemel.numbers.origin import Step as Operation
from gemel.writing.marks import PIECE, Address, site_index, value_index

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from gemel.operations.steps import Step
    from gemel.writing.marks import Trace

__all__ = ["Recalled", "Recipe", "is_told", "recipe_of", "retraced"]


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


class Recipe(NamedTuple):
    """How the traced text of a step is put together.

    Attributes:
        pieces: in order.
        line: the text without marks where it is one line, else empty.
        names: the step's attributes that are written.
    """

    pieces: tuple[_Piece, ...]
    line: str
    names: tuple[str, ...]


class Recalled(NamedTuple):
    """The value behind the mark of a whole line: whose it is, the step it was written for, and how.

    Attributes:
        stage, operation, place: address of the step.
    """

    stage: int
    operation: str
    place: int
    step: Step
    recipe: Recipe

    @property
    def address(self) -> Address:
        """Whose text it is."""
        return Address(self.stage, self.operation, self.place, self.step.kind)

    def pieces(self) -> Iterator[tuple[str, int, object]]:
        """Text, index of the template line, and value of every piece of the line."""
        for piece in self.recipe.pieces:
            text = piece.text.rstrip("\n")
            if piece.site < 0:
                yield text[1:], site_index(text[0]), None
            else:
                yield text, piece.site, _value(piece, self.step)


def _value(piece: _Piece, step: Step) -> object:
    if not piece.name:
        return piece.constant
    value: Any = getattr(step, piece.name)
    return value if piece.conversion is None else piece.conversion(value)


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
    plain = "".join(piece.text if piece.site >= 0 else piece.text[1:] for piece in pieces)
    line = plain if plain.find("\n") == len(plain) - 1 else ""
    return Recipe(tuple(pieces), line, tuple(piece.name for piece in pieces if piece.name))


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
    for piece in recipe.pieces:
        written += piece.text if piece.site < 0 else trace.placed(piece.text, _value(piece, step), piece.site)
    return written


def is_told(recipe: Recipe, step: Step) -> bool:
    """Whether every number of the step that is written has an origin."""
    return not any(type(getattr(step, name)) is float for name in recipe.names)
