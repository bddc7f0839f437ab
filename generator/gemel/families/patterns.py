"""Evenly spaced positions and angles: a list, or `{first, step, count}`."""

from __future__ import annotations

from typing import Annotated, Any, Union

from pydantic import Discriminator, Tag

from gemel.documents import Strict
from gemel.families.formula import Count, Formula, Length

__all__ = ["AnglePattern", "Angles", "Pattern", "Positions", "angles_of"]


class Pattern(Strict):
    """Evenly spaced positions: `first`, then `count` - 1 more, each `step` further.

    Attributes:
        first: the first position (a length along the part).
        step: the distance to the next.
        count: how many there are; a whole number once resolved.
    """

    first: Length = 0.0
    step: Length
    count: Count

    def positions(self) -> list[float]:
        """The positions of a resolved pattern."""
        return [self.first + self.step * index for index in range(round(self.count))]


class AnglePattern(Strict):
    """Evenly spaced angles in degrees: `first`, then `count` - 1 more, each `step` further.

    Attributes:
        first: the first angle.
        step: the angle to the next; default: a full turn divided by the count.
        count: how many there are; a whole number once resolved.
    """

    first: Formula = 0.0
    step: Formula | None = None
    count: Count

    def angles(self) -> list[float]:
        """The angles of a resolved pattern."""
        step = 360.0 / self.count if self.step is None else self.step
        return [self.first + step * index for index in range(round(self.count))]


def _shape(value: Any) -> str:
    return "a pattern" if isinstance(value, dict | Strict) else "a list"


Positions = Annotated[
    Union[Annotated[list[Length], Tag("a list")], Annotated[Pattern, Tag("a pattern")]],  # noqa: UP007 # pydantic reads the tags off a Union
    Discriminator(_shape),
]
Angles = Annotated[
    Union[Annotated[list[Formula], Tag("a list")], Annotated[AnglePattern, Tag("a pattern")]],  # noqa: UP007 # see above
    Discriminator(_shape),
]


def angles_of(angle: list[float] | AnglePattern | None) -> list[float]:
    """The angles of a resolved `angle:` field, degrees; 0 when it was left out."""
    if angle is None:
        return [0.0]
    return angle.angles() if isinstance(angle, AnglePattern) else angle
