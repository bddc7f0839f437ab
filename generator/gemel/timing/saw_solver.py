"""Solves a saw plan: over all patterns where they can be listed, else over generated ones with a bound of their own."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from gemel.timing.saw_columns import columns_of
from gemel.timing.saw_models import Solution, by_bar, by_pattern, fewest
from gemel.timing.saw_work import UNITS_MM

if TYPE_CHECKING:
    from gemel.timing.saw_work import Filled, Work

__all__ = ["Answer", "solve"]

_FEW_BARS = 40
"""Up to so many bars it is worth trying to prove by filling each of them that nothing shorter exists."""


class Answer(NamedTuple):
    """Bars with the parts of each kind, whether no plan is shorter, and what none goes below, mm.

    Attributes:
        filled: empty where there is no plan.
        impossible: whether the bars cannot give the parts at all.
    """

    filled: Filled
    proved: bool = False
    least_mm: float = 0.0
    impossible: bool = False


def solve(work: Work) -> Answer:
    """The bars of least total length; among plans of that length one in few pieces."""
    patterns = work.patterns()
    found = _generated(work) if patterns is None else by_pattern(work, patterns)
    if not found.filled:
        return Answer([], impossible=found.impossible)
    return Answer(fewest(work, found.filled), found.is_proved, found.least / UNITS_MM)


def _generated(work: Work) -> Solution:
    """A plan of generated patterns; where its length is above their bound, filling bar by bar may do better."""
    columns = columns_of(work)
    if not columns.enough:
        return Solution([], 0, 0, impossible=True)
    found = by_pattern(work, columns.patterns)
    if found.filled and found.length <= columns.least:
        return found._replace(least=columns.least)
    if not found.filled:
        found = by_bar(work)
    if not found.filled or len(found.filled) > _FEW_BARS:
        return found._replace(least=columns.least)
    better = by_bar(work, below=found.length)
    if better.filled:
        return better._replace(least=max(better.least, columns.least))
    return found._replace(least=found.length if better.impossible else columns.least)
