"""Patterns worth having, and a length that no plan goes below: column generation (Gilmore and Gomory).

The linear program over the patterns known so far gives each part a worth; the best filling of one bar at that worth
is the next pattern, until none is worth more than its bar costs. The bound is made from whole numbers: each worth is
rounded down, the best filling is solved to proof, and the worths are scaled so that no bar gives more than it costs
(Farley's bound; where the bars of a length are limited, their shadow price goes off).
"""

from __future__ import annotations

from math import ceil, floor, gcd
from typing import TYPE_CHECKING, NamedTuple

from gemel.timing.saw_models import best_filling

if TYPE_CHECKING:
    from collections.abc import Sequence

    from gemel.timing.saw_work import Pattern, Work

__all__ = ["Columns", "columns_of"]

_FINE = 1_000_000
"""Worths are counted in this part of a unit of length for each part."""

_MOST_ROUNDS = 200
_SHORT = 1e3
"""Cost of a part that no bar gives, in lengths of the longest bar: dearer than any bar."""


class Columns(NamedTuple):
    """What was generated.

    Attributes:
        patterns: to choose from.
        least: length that no plan goes below.
        enough: whether the bars give the parts at all, fractions of bars allowed.
    """

    patterns: list[Pattern]
    least: int
    enough: bool


def columns_of(work: Work) -> Columns:
    """The patterns that a plan of least length is likely made of, and the bound."""
    known: dict[Pattern, None] = dict.fromkeys(_first(work))
    least, short = 0.0, 1.0
    for _ in range(_MOST_ROUNDS):
        prices, short = _prices(work, list(known))
        worth = [floor(price * _FINE) for price in prices]
        found = [(at, *best_filling(work, size, worth)) for at, size in enumerate(work.sizes)]
        least = max(least, _bound(work, worth, [most for _, _, most in found]))
        new = {(at, pattern): None for at, pattern, _ in found if any(pattern)}
        if new.keys() <= known.keys():
            break
        known |= new
    return Columns(list(known), _stepped(work, least), short < 0.5)


def _first(work: Work) -> list[Pattern]:
    """Bars that give one kind alone."""
    found = []
    for at, size in enumerate(work.sizes):
        for kind, item in enumerate(work.items):
            parts = item.fits(work.room(size))
            if parts:
                found.append((at, tuple(parts if k == kind else 0 for k in range(len(work.items)))))
    return found


def _prices(work: Work, patterns: Sequence[Pattern]) -> tuple[list[float], float]:
    """What one more part of each kind would cost, in units of length; and how many parts no bar gives."""
    from ortools.linear_solver.python import model_builder  # noqa: PLC0415 # heavy

    model = model_builder.Model()  # type: ignore[no-untyped-call] # the library has no types there
    longest = max(size.length for size in work.sizes)
    bars = [model.new_num_var(0.0, float("inf"), "") for _ in patterns]
    missing = [model.new_num_var(0.0, float("inf"), "") for _ in work.items]
    given = [
        model.add(sum(p[kind] * bar for (_, p), bar in zip(patterns, bars, strict=True)) + missing[kind] >= item.parts)
        for kind, item in enumerate(work.items)
    ]
    for index, size in enumerate(work.sizes):
        if size.number is not None:
            model.add(sum(bar for (at, _), bar in zip(patterns, bars, strict=True) if at == index) <= size.number)
    length = sum(work.sizes[at].length * bar for (at, _), bar in zip(patterns, bars, strict=True))
    model.minimize(length + sum(_SHORT * longest * part for part in missing))
    solver = model_builder.Solver("glop")
    solver.solve(model)
    return [max(solver.dual_value(row), 0.0) for row in given], sum(solver.value(part) for part in missing)


def _bound(work: Work, worth: Sequence[int], most: Sequence[int]) -> float:
    """A length that no plan goes below, from any worths: weak duality, with the best filling of each length proved."""
    scale = 1.0
    for size, value in zip(work.sizes, most, strict=True):
        if size.number is None and value > size.length * _FINE:
            scale = min(scale, size.length * _FINE / value)
    total = sum(price * item.parts for price, item in zip(worth, work.items, strict=True)) * scale / _FINE
    for size, value in zip(work.sizes, most, strict=True):
        if size.number is not None:
            total += size.number * min(0.0, size.length - scale * value / _FINE)
    return total


def _stepped(work: Work, least: float) -> int:
    """The bound raised to the next length that whole bars can have; a hair is left for the last digits."""
    step = gcd(*(size.length for size in work.sizes))
    return ceil((least - 1.0) / step) * step
