"""The integer programs behind a saw plan.

A bar's *pattern* is how many parts of each kind it gives. Where the patterns that cannot take one more part can be
listed, the plan is a choice among them (Gilmore and Gomory's formulation, with every pattern there from the start);
where there are too many, each bar is filled by itself. Both are solved by CP-SAT. The solver's work is bounded by its
own measure, so that the outcome does not depend on how fast the machine is. Lengths are in micrometres.
"""

from __future__ import annotations

from itertools import pairwise
from math import ceil
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from ortools.sat.python.cp_model import CpModel, CpSolver, IntVar

__all__ = ["Filled", "Item", "Size", "Work", "solve", "units"]

_UNITS_MM = 1000
_MOST_PATTERNS = 20_000
_WORK = 20.0
_WORK_FOR_FEWEST = 2.0


def units(length_mm: float) -> int:
    """A length as the solver counts it."""
    return round(float(length_mm) * _UNITS_MM)


class Item(NamedTuple):
    """Parts of one kind that are wanted.

    Attributes:
        parts: how many. pitch: length that one takes.
        remnant: length that every piece takes besides, with the kerf beside it.
        most: parts of one piece.
    """

    parts: int
    pitch: int
    remnant: int
    most: int

    def needs(self, parts: int) -> int:
        """Length of bar for so many parts, kerfs included."""
        return self.pitch * parts + self.remnant * ceil(parts / self.most)

    def fits(self, room: int) -> int:
        """The most parts that a length of bar gives."""
        whole, rest = divmod(room, self.needs(self.most))
        more = max(0, (rest - self.remnant) // self.pitch)
        return min(self.parts, whole * self.most + min(more, self.most))


class Size(NamedTuple):
    """Bars of one length; `number` None: as many as are needed."""

    length: int
    number: int | None


class Work(NamedTuple):
    """The problem in the solver's units."""

    items: tuple[Item, ...]
    sizes: tuple[Size, ...]
    kerf: int

    def room(self, size: Size) -> int:
        """Length to be filled: the last piece on a bar needs no kerf behind it."""
        return size.length + self.kerf

    def most_bars(self, size: Size) -> int:
        """Bars of a size that any plan could use: each demand alone on bars of that size."""
        bars = sum(ceil(item.parts / max(item.fits(self.room(size)), 1)) for item in self.items)
        return bars if size.number is None else min(size.number, bars)

    def patterns(self) -> list[tuple[int, tuple[int, ...]]] | None:
        """Index of the size and parts of each kind, of every pattern that cannot take one more; None: too many."""
        found: list[tuple[int, tuple[int, ...]]] = []
        for index, size in enumerate(self.sizes):
            for pattern in _fill(self.items, self.room(size)):
                if any(pattern):
                    found.append((index, pattern))
                if len(found) > _MOST_PATTERNS:
                    return None
        return found


def _fill(items: tuple[Item, ...], room: int) -> Iterator[tuple[int, ...]]:
    """Fillings of a length in which no kind can have one more part; the last kind takes what is left."""
    head, rest = items[0], items[1:]
    if not rest:
        yield (head.fits(room),)
        return
    for parts in range(head.fits(room), -1, -1):
        left = room - head.needs(parts)
        for more in _fill(rest, left):
            used = sum(item.needs(n) for item, n in zip(rest, more, strict=True))
            if parts == head.fits(room) or head.needs(parts + 1) - head.needs(parts) > left - used:
                yield (parts, *more)


Filled = list[tuple[float, tuple[int, ...]]]
"""Length in mm and parts of each kind, of every bar."""


def solve(work: Work) -> tuple[Filled, bool, float] | None:
    """Bars of the least total length, whether that is proved, and what no plan goes below, mm; None: not enough."""
    patterns = work.patterns()
    found = by_bar(work) if patterns is None else by_pattern(work, patterns)
    if found is None:
        return None
    filled, proved, least = found
    return fewest(work, filled), proved, least


def by_pattern(work: Work, patterns: list[tuple[int, tuple[int, ...]]]) -> tuple[Filled, bool, float] | None:
    from ortools.sat.python.cp_model import CpModel  # noqa: PLC0415 # heavy

    model = CpModel()
    bars = [model.new_int_var(0, work.most_bars(work.sizes[size]), f"p{n}") for n, (size, _) in enumerate(patterns)]
    for kind, item in enumerate(work.items):
        given = (pattern[kind] * bar for (_, pattern), bar in zip(patterns, bars, strict=True) if pattern[kind])
        model.add(sum(given) >= item.parts)
    for index, size in enumerate(work.sizes):
        if size.number is not None:
            model.add(sum(bar for (at, _), bar in zip(patterns, bars, strict=True) if at == index) <= size.number)
    solver = _solve(model, sum(work.sizes[at].length * bar for (at, _), bar in zip(patterns, bars, strict=True)), _WORK)
    if solver is None:
        return None
    filled: Filled = []
    for (at, pattern), bar in zip(patterns, bars, strict=True):
        filled += [(work.sizes[at].length / _UNITS_MM, pattern)] * solver.value(bar)
    return _trimmed(filled, work), *_proof(solver)


def by_bar(work: Work) -> tuple[Filled, bool, float] | None:
    """The bars when each is filled by itself."""
    from ortools.sat.python.cp_model import CpModel  # noqa: PLC0415 # heavy

    model = CpModel()
    rows = _rows(model, work, {size: work.most_bars(size) for size in work.sizes})
    solver = _solve(model, sum(row.size.length * row.used for row in rows), _WORK)
    return None if solver is None else (_trimmed(_filled(rows, solver), work), *_proof(solver))


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
    solver = _solve(model, pieces, _WORK_FOR_FEWEST)
    return filled if solver is None else _filled(rows, solver)


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


def _filled(rows: list[_Row], solver: CpSolver) -> Filled:
    used = [row for row in rows if solver.value(row.used)]
    return [(row.size.length / _UNITS_MM, tuple(solver.value(n) for n in row.parts)) for row in used]


def _one_bar(model: CpModel, work: Work, size: Size) -> _Row:
    row = _Row(size, model.new_bool_var(""), [], [])
    needed = []
    for item in work.items:
        most = item.fits(work.room(size))
        parts = model.new_int_var(0, most, "")
        pieces = model.new_int_var(0, ceil(most / item.most), "")
        model.add(parts <= item.most * pieces)
        row.parts.append(parts)
        row.pieces.append(pieces)
        needed.append(item.pitch * parts + item.remnant * pieces)
    model.add(sum(needed) <= work.room(size) * row.used)
    return row


def _solve(model: CpModel, least: object, work: float) -> CpSolver | None:
    """The solver behind the best plan that it found; None when there is none."""
    from ortools.sat.python import cp_model  # noqa: PLC0415 # heavy

    model.minimize(least)  # type: ignore[arg-type] # a sum of products, whose class is the solver's own
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = work
    status = solver.solve(model)
    return solver if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None


def _proof(solver: CpSolver) -> tuple[bool, float]:
    least = solver.best_objective_bound
    return solver.objective_value - least < 0.5, least / _UNITS_MM


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
