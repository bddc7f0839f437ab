"""Limit deviations of one size, and the fault of a tolerance that nobody knows.

The three ways of writing a tolerance (`fits`, `general_tolerance`, an own pair) all end in `Limits`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from gemel.numbers import Number, rule

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["Limits", "UnknownTolerance", "aim", "largest", "smallest"]


@dataclass(frozen=True, slots=True)
class Limits:
    """How far a finished size may lie from its nominal size.

    Attributes:
        lower_mm: signed deviation of the smallest allowed size (EI, ei).
        upper_mm: signed deviation of the largest allowed size (ES, es); never below `lower_mm`.
        text: the tolerance as it was written, `h9` or `+0.1 -0.05`.
        standard: where the figures come from, `ISO 286-1`.
    """

    lower_mm: float
    upper_mm: float
    text: str = ""
    standard: str = ""

    def __post_init__(self) -> None:
        if self.lower_mm > self.upper_mm:
            raise ValueError(f"lower deviation {self.lower_mm:g} is above the upper one {self.upper_mm:g}")

    @property
    def middle_mm(self) -> float:
        """Deviation half-way between the limits: what a program aims at."""
        return (self.lower_mm + self.upper_mm) / 2

    @property
    def width_mm(self) -> float:
        """The tolerance: largest minus smallest allowed size."""
        return self.upper_mm - self.lower_mm


class UnknownTolerance(ValueError):  # noqa: N818 # the fault is named by what the drawing says, not as a Python error
    """A tolerance that cannot be turned into limits.

    Attributes:
        text: the tolerance as written.
        known: valid names near to it, for a remedy; empty when the size, not the name, is the fault.
        reason: one sentence of cause.
    """

    def __init__(self, text: str, known: Sequence[str], reason: str) -> None:
        super().__init__(f"{text}: {reason}")
        self.text = text
        self.known = tuple(known)
        self.reason = reason


def aim(size: float, limits: Limits) -> Number:
    """The size that a program aims at: nominal size plus the middle of the deviations, mm.

    The origin shows both, also when the middle is zero: a reader sees that a tolerance was looked at.
    """
    return size + _deviation(limits.middle_mm, "middle", limits)


def smallest(size: float, limits: Limits) -> Number:
    """The smallest allowed size, mm."""
    return size + _deviation(limits.lower_mm, "lower deviation", limits)


def largest(size: float, limits: Limits) -> Number:
    """The largest allowed size, mm."""
    return size + _deviation(limits.upper_mm, "upper deviation", limits)


def _deviation(value_mm: float, what: str, limits: Limits) -> Number:
    name = f"{what} of {limits.text}" if limits.text else what
    return rule(value_mm, name, limits.standard or "given with the size")
