"""An edited number carried back to the YAML values that could explain it.

A guess says what one value would have to be for the word to read as it does at the control. Whether it does, and
whether nothing else moves, is found out by writing the pair again (`shop/tracing.py`); here is only the formula.
"""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING, NamedTuple

from gemel.edits.put_in import put_in
from gemel.edits.splice import splice
from gemel.numbers import Source, again, leaves, sensitivity, spelled_like

if TYPE_CHECKING:
    from gemel.numbers import Number

__all__ = ["Guess", "Wanted", "reach", "solved"]

_CUTTING = re.compile(r"^(?:materials|tools)\..*\bcutting\.(?:.+\.)?(\w+)$")
_STEPS = 12
_MOST_DECIMALS = 6


class Wanted(NamedTuple):
    """What a word should read as.

    Attributes:
        value: in the program's unit.
        tolerance: how far the number may be from it and still be spelled so: half its last decimal.
    """

    value: float
    tolerance: float


class Guess(NamedTuple):
    """One YAML value, and what it would have to be.

    Attributes:
        at: the value, with its text as it is now.
        new: its new spelling.
        value: its new value.
        path: where the family gets a value of its own instead; empty where the value itself is changed.
    """

    at: Source
    new: str
    value: float
    path: tuple[str, ...] = ()

    def shown(self) -> str:
        """`operations.turn.cutting.feed: 0.25 -> 0.2`."""
        if self.path:
            return f"{'.'.join(self.path)}: {self.new} put in ({self.at.file} has {self.at.text})"
        return f"{self.at.name}: {self.at.text} -> {self.new}"

    def applied(self, text: str, file: str) -> str:
        """The YAML text `file` with this change and no other.

        Raises:
            Findings: `edit:` faults; the value cannot be changed alone.
        """
        return put_in(text, file, self.path, self.new) if self.path else splice(text, self.at, self.new)

    def instead(self, operation: str) -> Guess | None:
        """For cutting data of a catalogue the same as the operation's own, which changes no other family."""
        field = _CUTTING.search(self.at.name)
        if field is None or not operation:
            return None
        return self._replace(path=("operations", operation, "cutting", field[1]))


def reach(number: Number) -> list[tuple[Source, float]]:
    """The YAML values behind a number that can be set, with how far it moves when they move by one; likeliest first.

    Likely is what moves the number most directly: a value that stands for it alone before one that moves it by a
    formula. Texts that are no plain number are left out.
    """
    slopes = sensitivity(number)
    found = [
        (leaf, slopes[leaf])
        for leaf in leaves(number)
        if isinstance(leaf, Source) and _is_plain(leaf.text) and slopes.get(leaf)
    ]
    return sorted(found, key=lambda pair: abs(math.log(abs(pair[1]))))


def solved(number: Number, leaf: Source, wanted: Wanted) -> Guess | None:
    """The roundest value of `leaf` that makes `number` read as wanted; None where none does, or it does already."""
    exact = _solve(number, leaf, leaves(number)[leaf], wanted)
    new = None if exact is None else _roundest(number, leaf, exact, wanted)
    return None if new is None or new[0] == leaf.text else Guess(leaf, *new)


def _is_plain(text: str) -> bool:
    """Whether the scalar is one number, not an expression, and so can be replaced by another."""
    try:
        return math.isfinite(float(text))
    except ValueError:
        return False


def _solve(number: Number, leaf: Source, value: float, wanted: Wanted) -> float | None:
    """The value of the leaf that gives the wanted number, by the secant; None where there is none near."""
    one, at_one = value, float(number) - wanted.value
    two = value + (abs(value) or 1.0) * 1e-3
    at_two = again(number, {leaf: two}) - wanted.value
    for _ in range(_STEPS):
        if not math.isfinite(at_two) or at_two == at_one:
            break
        if abs(at_two) <= wanted.tolerance * 1e-3:
            return two
        one, two, at_one = two, two - at_two * (two - one) / (at_two - at_one), at_two
        at_two = again(number, {leaf: two}) - wanted.value
    return two if abs(at_two) <= wanted.tolerance else None


def _roundest(number: Number, leaf: Source, exact: float, wanted: Wanted) -> tuple[str, float] | None:
    """The spelling with the fewest decimals that still gives the wanted number."""
    for decimals in range(_MOST_DECIMALS + 1):
        value = round(exact, decimals)
        if abs(again(number, {leaf: value}) - wanted.value) <= wanted.tolerance * (1 + 1e-9):
            return spelled_like(value, leaf.text), value
    return None
