"""Integer programs of a saw plan, solved by CP-SAT; its work is bounded by its own measure, not by time."""

from __future__ import annotations

from itertools import pairwise
from math import ceil
from typing import TYPE_CHECKING, NamedTuple

from gemel.timing.saw_work import UNITS_MM, units

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from ortools.sat.python.cp_model import CpModel, CpSolver, IntVar

    from gemel.timing.saw_work import Filled, Item, Pattern, Size, Work

__all__ = ["Solution", "best_filling", "by_bar", "by_pattern", "fewest"]

_WORK = 20.0
_WORK_FOR_PROOF = 2.0
_WORK_FOR_FEWEST = 1.0


class Solution(NamedTuple):
    """Bars of a total length (in the solver's units), and what no such plan goes below.

    Attributes:
        filled: empty where no plan was found.
        impossible: whether there is none, which is more than that none was found.
    """

    filled: Filled
    length: int
    least: int
    impossible: bool = False

    @property
    def is_proved(self) -> bool:
        """Whether nothing shorter exists."""
        return bool(self.filled) and self.length <= self.least


def by_pattern(work: Work, patterns: Sequence[Pattern]) -> Solution:
    """The best plan of bars filled by these patterns; its bound holds for these patterns alone."""
    from ortools.sat.python.cp_model import CpModel  # noqa: PLC0415 # heavy

    model = CpModel()
    bars = [model.new_int_var(0, work.most_bars(work.sizes[at]), "") for at, _ in patterns]
    used = list(zip(patterns, bars, strict=True))
    for kind, item in enumerate(work.items):
        model.add(sum(pattern[kind] * bar for (_, pattern), bar in used if pattern[kind]) >= item.parts)
    for index, size in enumerate(work.sizes):
        if size.number is not None:
            model.add(sum(bar for (at, _), bar in used if at == index) <= size.number)
    solver, impossible = _solve(model, sum(work.sizes[at].length * bar for (at, _), bar in used), _WORK)
    if solver is None:
        return Solution([], 0, 0, impossible)
    filled: Filled = []
    for (at, pattern), bar in used:
        filled += [(work.sizes[at].length / UNITS_MM, pattern)] * solver.value(bar)
    return _solution(_trimmed(filled, work), solver)


def by_bar(work: Work, below: int | None = None) -> Solution:
    """The best plan when each bar is filled by itself; `below`: only one that is shorter than this is of use."""
    from ortools.sat.python.cp_model import CpModel  # noqa: PLC0415 # heavy

    model = CpModel()
    rows = _rows(model, work, {size: work.most_bars(size) for size in work.sizes})
    length = sum(row.size.length * row.used for row in rows)
    if below is not None:
        model.add(length < below)
    solver, impossible = _solve(model, length, _WORK if below is None else _WORK_FOR_PROOF)
    return (
        Solution([], 0, 0, impossible) if solver is None else _solution(_trimmed(_filled(rows, solver), work), solver)
    )


def fewest(work: Work, filled: Filled) -> Filled:
    """The same parts from as many bars of each length, in fewer pieces where such a way is found."""
    from ortools.sat.python.cp_model import CpModel  # noqa: PLC0415 # heavy

    now = sum(ceil(n / item.most) for _, parts in filled for n, item in zip(parts, work.items, strict=True))
    if now <= sum(ceil(item.parts / item.most) for item in work.items):
        return filled
    model = CpModel()
    lengths = [units(length) for length, _ in filled]
    rows = _rows(model, work, {size: lengths.count(size.length) for size in work.sizes})
    pieces = sum(piece for row in rows for piece in row.pieces)
    model.add(pieces < now)
    solver, _ = _solve(model, pieces, _WORK_FOR_FEWEST)
    return filled if solver is None else _filled(rows, solver)


def best_filling(work: Work, size: Size, worth: Sequence[int]) -> tuple[tuple[int, ...], int]:
    """Parts of each kind on one bar that are worth the most, and a worth that no bar goes beyond."""
    from ortools.sat.python.cp_model import CpModel  # noqa: PLC0415 # heavy

    model = CpModel()
    row = _one_bar(model, work, size)
    total = sum(price * parts for price, parts in zip(worth, row.parts, strict=True))
    solver, _ = _solve(model, -total, _WORK_FOR_PROOF)
    if solver is None:
        return tuple(0 for _ in work.items), sum(p * i.parts for p, i in zip(worth, work.items, strict=True))
    return tuple(solver.value(n) for n in row.parts), -round(solver.best_objective_bound)


class _Row(NamedTuple):
    """The variables of one bar: whether it is used, its parts and its pieces of each kind."""

    size: Size
    used: IntVar
    parts: list[IntVar]
    pieces: list[IntVar]


def _rows(model: CpModel, work: Work, numbers: Mapping[Size, int]) -> list[_Row]:
    """So many bars of each length, which together give the parts."""
    rows: list[_Row] = []
    for size, number in numbers.items():
        alike = [_one_bar(model, work, size) for _ in range(number)]
        for before, row in pairwise(alike):
            # Bars of one length are alike: those that are used come first.
            model.add_implication(row.used, before.used)
        rows += alike
    for kind, item in enumerate(work.items):
        model.add(sum(row.parts[kind] for row in rows) == item.parts)
    return rows


def _one_bar(model: CpModel, work: Work, size: Size) -> _Row:
    row = _Row(size, model.new_bool_var(""), [], [])
    needed = []
    for item in work.items:
        parts, pieces = _amounts(model, work, size, item)
        row.parts.append(parts)
        row.pieces.append(pieces)
        needed.append(item.pitch * parts + item.remnant * pieces)
    model.add(sum(needed) <= work.room(size) * row.used)
    return row


def _amounts(model: CpModel, work: Work, size: Size, item: Item) -> tuple[IntVar, IntVar]:
    """Parts of one kind on one bar, and the pieces that they come from."""
    most = item.fits(work.room(size))
    parts = model.new_int_var(0, most, "")
    pieces = model.new_int_var(0, ceil(most / item.most), "")
    model.add(parts <= item.most * pieces)
    return parts, pieces


def _filled(rows: list[_Row], solver: CpSolver) -> Filled:
    used = [row for row in rows if solver.value(row.used)]
    return [(row.size.length / UNITS_MM, tuple(solver.value(n) for n in row.parts)) for row in used]


def _solve(model: CpModel, least: object, work: float) -> tuple[CpSolver | None, bool]:
    """The solver behind the best solution that it found, None without one; and whether there is none at all."""
    from ortools.sat.python import cp_model  # noqa: PLC0415 # heavy

    model.minimize(least)  # type: ignore[arg-type] # a sum of products, whose class is the solver's own
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = work
    status = solver.solve(model)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return solver, False
    return None, status == cp_model.INFEASIBLE


def _solution(filled: Filled, solver: CpSolver) -> Solution:
    length = sum(units(length) for length, _ in filled)
    return Solution(filled, length, ceil(solver.best_objective_bound - 0.5))


def _trimmed(filled: Filled, work: Work) -> Filled:
    """The bars without the parts that nobody wants, taken off the emptiest bars so that a long end stays whole."""
    over = [sum(parts[kind] for _, parts in filled) - item.parts for kind, item in enumerate(work.items)]
    ordered = sorted(filled, key=lambda bar: (-bar[0], tuple(-n for n in bar[1])))
    kept: Filled = []
    for length, parts in reversed(ordered):
        less = [min(n, extra) for n, extra in zip(parts, over, strict=True)]
        over = [extra - n for extra, n in zip(over, less, strict=True)]
        kept.append((length, tuple(n - off for n, off in zip(parts, less, strict=True))))
    return [bar for bar in reversed(kept) if any(bar[1])]
