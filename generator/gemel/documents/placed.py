"""Scalars that remember where they stand in a YAML document."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Self

from gemel.findings import Label, Span

if TYPE_CHECKING:
    from gemel.numbers import Source

__all__ = ["PlacedFloat", "PlacedInt", "PlacedText", "label_of", "place_of", "span_of"]


class PlacedText(str):
    """A text and its place."""

    __slots__ = ("place",)
    place: Source

    def __new__(cls, value: str, place: Source) -> Self:
        """Attach a place to a text."""
        self = str.__new__(cls, value)
        self.place = place
        return self

    def __reduce__(self) -> tuple[Any, ...]:
        return (type(self), (str(self), self.place))


class PlacedInt(int):
    """A whole number and its place."""

    place: Source

    def __new__(cls, value: int, place: Source) -> Self:
        """Attach a place to a whole number."""
        self = int.__new__(cls, value)
        self.place = place
        return self

    def __reduce__(self) -> tuple[Any, ...]:
        return (type(self), (int(self), self.place))


class PlacedFloat(float):
    """A number with a fraction, and its place."""

    __slots__ = ("place",)
    place: Source

    def __new__(cls, value: float, place: Source) -> Self:
        """Attach a place to a number."""
        self = float.__new__(cls, value)
        self.place = place
        return self

    def __reduce__(self) -> tuple[Any, ...]:
        return (type(self), (float(self), self.place))


def place_of(value: object) -> Source | None:
    """Where a scalar stands, or None for one that came from elsewhere (a default)."""
    return getattr(value, "place", None)


def span_of(place: Source) -> Span:
    """The characters of a place."""
    return Span(place.file, place.line, place.column, place.column + max(1, len(place.text)))


def label_of(place: Source, words: str = "") -> Label:
    """A label on a place, for a finding."""
    return Label(span_of(place), place.text, words)
