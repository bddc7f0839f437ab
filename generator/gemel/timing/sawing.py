"""Which pieces to saw long bars into so that the least is left: a cutting-stock problem, solved exactly.

A piece goes into the bar feeder and gives whole parts: `n` parts of one kind need `n` pitches and one remnant, and
no piece gives more parts than fit a piece that the feeder takes. Sawing costs the blade's kerf between two pieces.

A bar's *pattern* is how many parts of each kind it gives. Where the patterns that cannot take one more part can be
listed, the plan is a choice among them (Gilmore and Gomory's formulation, with every pattern there from the start);
where there are too many, each bar is filled by itself. Both are solved by CP-SAT to proof; where its work runs out
first, `SawPlan.proved` is false and `least_mm` says what no plan can go below.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from math import ceil
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from ortools.sat.python.cp_model import CpModel, CpSolver, IntVar

__all__ = ["Demand", "NotEnough", "Piece", "SawPlan", "SawnBar", "StockLength", "same_bars", "saw_plan"]

_UNITS_MM = 1000
"""The solver counts in micrometres."""

_MOST_PATTERNS = 20_000
_WORK = 20.0
"""The solver's own measure of work, so that the outcome does not depend on how fast the machine is."""


class Demand(NamedTuple):
    """Parts that are wanted.

    Attributes:
        name: of the part.
        parts: how many.
        pitch_mm: length of bar that one part takes: the part, its allowances, the cut-off.
        remnant_mm: what stays of each piece in the clamp.
        most: parts that the longest piece gives which the feeder takes; None: no limit.
    """

    name: str
    parts: int
    pitch_mm: float
    remnant_mm: float
    most: int | None = None


class StockLength(NamedTuple):
    """Bars of one length that may be sawn; `number` None: as many as are needed."""

    length_mm: float
    number: int | None = None


class Piece(NamedTuple):
    """A piece to saw: for which part, how many of them it gives, its length with its remnant."""

    name: str
    parts: int
    length_mm: float


@dataclass(frozen=True, slots=True)
class SawnBar:
    """One bar.

    Attributes:
        length_mm: as it was delivered.
        pieces: what is sawn off it, the longest first.
        left_mm: what is left of it when the pieces are off, kerfs taken off.
    """

    length_mm: float
    pieces: tuple[Piece, ...]
    left_mm: float


@dataclass(frozen=True, slots=True)
class SawPlan:
    """A plan.

    Attributes:
        bars: longest first, then fullest first.
        used_mm: length of all bars that are used.
        parts_mm: of it, what goes into parts and their cut-offs; the rest is remnants, kerfs and ends.
        proved: whether no plan uses less.
        least_mm: what no plan can go below, equal to `used_mm` where it is proved.
    """

    bars: tuple[SawnBar, ...]
    used_mm: float
    parts_mm: float
    proved: bool
    least_mm: float

    @property
    def left_mm(self) -> float:
        """Everything of the bars that does not go into parts."""
        return self.used_mm - self.parts_mm


class NotEnough(Exception):  # noqa: N818 # it is an answer, not a fault
    """The bars do not suffice, or a part fits none of them; the text says which."""


def saw_plan(demands: Sequence[Demand], stock: Sequence[StockLength], kerf_mm: float) -> SawPlan:
    """The bars to use and what to saw each into, so that the total length of the bars used is least.

    Args:
        demands: parts wanted, of which every name is given once; those of which none is wanted are passed over.
        stock: lengths to saw from, each given once.
        kerf_mm: width of the saw cut.

    Raises:
        NotEnough: the stock does not give the parts.
    """
    wanted = [demand for demand in demands if demand.parts > 0]
    work = _Work(tuple(_Item.of(d, kerf_mm) for d in wanted), _sizes(stock), _units(kerf_mm))
    _check(wanted, work)
    if not wanted:
        return SawPlan((), 0.0, 0.0, proved=True, least_mm=0.0)
    patterns = work.patterns()
    solution = _by_pattern(work, patterns) if patterns is not None else _by_bar(work)
    if solution is None:
        raise NotEnough("the bars that are there do not give so many parts")
    filled, proved, least = solution
    bars = _bars(wanted, filled, kerf_mm)
    used = sum(bar.length_mm for bar in bars)
    parts = sum(demand.parts * demand.pitch_mm for demand in wanted)
    return SawPlan(bars, used, parts, proved, min(least, used))


class _Item(NamedTuple):
    """A demand in the solver's units; `remnant` has the kerf beside it."""

    parts: int
    pitch: int
    remnant: int
    most: int

    @classmethod
    def of(cls, demand: Demand, kerf_mm: float) -> _Item:
        most = demand.parts if demand.most is None else min(demand.most, demand.parts)
        return cls(demand.parts, _units(demand.pitch_mm), _units(demand.remnant_mm) + _units(kerf_mm), max(most, 1))

    def needs(self, parts: int) -> int:
        """Length of bar for so many parts, kerfs included."""
        return self.pitch * parts + self.remnant * ceil(parts / self.most)

    def fits(self, room: int) -> int:
        """The most parts that a length of bar gives."""
        whole, rest = divmod(room, self.needs(self.most))
        more = max(0, (rest - self.remnant) // self.pitch)
        return min(self.parts, whole * self.most + min(more, self.most))


class _Size(NamedTuple):
    """A stock length in the solver's units; `room` has the kerf that the last piece does not need beside it."""

    length: int
    number: int | None


class _Work(NamedTuple):
    """The problem in the solver's units."""

    items: tuple[_Item, ...]
    sizes: tuple[_Size, ...]
    kerf: int

    def room(self, size: _Size) -> int:
        """Length to be filled: the last piece on a bar needs no kerf behind it."""
        return size.length + self.kerf

    def most_bars(self, size: _Size) -> int:
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


def _fill(items: tuple[_Item, ...], room: int) -> Iterator[tuple[int, ...]]:
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


_Filled = list[tuple[float, tuple[int, ...]]]
"""Length in mm and parts of each kind, of every bar."""


def _by_pattern(work: _Work, patterns: list[tuple[int, tuple[int, ...]]]) -> tuple[_Filled, bool, float] | None:
    from ortools.sat.python.cp_model import CpModel  # noqa: PLC0415 # heavy

    model = CpModel()
    bars = [model.new_int_var(0, work.most_bars(work.sizes[size]), f"p{n}") for n, (size, _) in enumerate(patterns)]
    for kind, item in enumerate(work.items):
        given = (pattern[kind] * bar for (_, pattern), bar in zip(patterns, bars, strict=True) if pattern[kind])
        model.add(sum(given) >= item.parts)
    for index, size in enumerate(work.sizes):
        if size.number is not None:
            model.add(sum(bar for (at, _), bar in zip(patterns, bars, strict=True) if at == index) <= size.number)
    solver = _solve(model, sum(work.sizes[at].length * bar for (at, _), bar in zip(patterns, bars, strict=True)))
    if solver is None:
        return None
    filled: _Filled = []
    for (at, pattern), bar in zip(patterns, bars, strict=True):
        filled += [(work.sizes[at].length / _UNITS_MM, pattern)] * solver.value(bar)
    return _trimmed(filled, work), *_proof(solver)


def _by_bar(work: _Work) -> tuple[_Filled, bool, float] | None:
    from ortools.sat.python.cp_model import CpModel  # noqa: PLC0415 # heavy

    model = CpModel()
    rows: list[tuple[_Size, IntVar, list[IntVar]]] = []
    for size in work.sizes:
        before: IntVar | None = None
        for _ in range(work.most_bars(size)):
            used, parts = _one_bar(model, work, size)
            if before is not None:
                # Bars of one length are alike: those that are used come first.
                model.add_implication(used, before)
            before = used
            rows.append((size, used, parts))
    for kind, item in enumerate(work.items):
        model.add(sum(parts[kind] for _, _, parts in rows) == item.parts)
    solver = _solve(model, sum(size.length * used for size, used, _ in rows))
    if solver is None:
        return None
    filled = [
        (size.length / _UNITS_MM, tuple(solver.value(n) for n in parts))
        for size, used, parts in rows
        if solver.value(used)
    ]
    return _trimmed(filled, work), *_proof(solver)


def _one_bar(model: CpModel, work: _Work, size: _Size) -> tuple[IntVar, list[IntVar]]:
    used = model.new_bool_var("")
    parts, needed = [], []
    for item in work.items:
        most = item.fits(work.room(size))
        count = model.new_int_var(0, most, "")
        pieces = model.new_int_var(0, ceil(most / item.most), "")
        model.add(count <= item.most * pieces)
        parts.append(count)
        needed.append(item.pitch * count + item.remnant * pieces)
    model.add(sum(needed) <= work.room(size) * used)
    return used, parts


def _solve(model: CpModel, length: object) -> CpSolver | None:
    """The solver behind the best plan that it found; None when there is none."""
    from ortools.sat.python import cp_model  # noqa: PLC0415 # heavy

    model.minimize(length)  # type: ignore[arg-type] # a sum of products, whose class is the solver's own
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = _WORK
    status = solver.solve(model)
    return solver if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None


def _proof(solver: CpSolver) -> tuple[bool, float]:
    least = solver.best_objective_bound
    return solver.objective_value - least < 0.5, least / _UNITS_MM


def _trimmed(filled: _Filled, work: _Work) -> _Filled:
    """The bars without the parts that nobody wants, taken off the emptiest bars so that a long end stays whole."""
    over = [sum(parts[kind] for _, parts in filled) - item.parts for kind, item in enumerate(work.items)]
    ordered = sorted(filled, key=lambda bar: (-bar[0], tuple(-n for n in bar[1])))
    kept: _Filled = []
    for length, parts in reversed(ordered):
        less = [min(n, extra) for n, extra in zip(parts, over, strict=True)]
        over = [extra - n for extra, n in zip(over, less, strict=True)]
        kept.append((length, tuple(n - off for n, off in zip(parts, less, strict=True))))
    return [bar for bar in reversed(kept) if any(bar[1])]


def _bars(demands: Sequence[Demand], filled: _Filled, kerf_mm: float) -> tuple[SawnBar, ...]:
    bars = []
    for length, parts in filled:
        pieces: list[Piece] = []
        for demand, count in zip(demands, parts, strict=True):
            pieces += _pieces(demand, count)
        pieces.sort(key=lambda piece: -piece.length_mm)
        taken = sum(piece.length_mm for piece in pieces) + kerf_mm * (len(pieces) - 1)
        left = length - taken
        # The last cut takes what is left where that is less than a kerf.
        bars.append(SawnBar(length, tuple(pieces), max(0.0, left - kerf_mm)))
    return tuple(sorted(bars, key=lambda bar: (-bar.length_mm, bar.left_mm)))


def _pieces(demand: Demand, parts: int) -> Iterator[Piece]:
    """The pieces for so many parts: as many as the feeder allows in each, the last one shorter."""
    most = demand.most or parts
    while parts > 0:
        taken = min(most, parts)
        yield Piece(demand.name, taken, taken * demand.pitch_mm + demand.remnant_mm)
        parts -= taken


def _sizes(stock: Sequence[StockLength]) -> tuple[_Size, ...]:
    sizes = sorted(stock, key=lambda size: -size.length_mm)
    return tuple(_Size(_units(s.length_mm), s.number) for s in sizes if s.number is None or s.number > 0)


def _units(length_mm: float) -> int:
    return round(float(length_mm) * _UNITS_MM)


def _check(demands: Sequence[Demand], work: _Work) -> None:
    for demand, item in zip(demands, work.items, strict=True):
        if demand.most == 0:
            raise NotEnough(f"no piece that the feeder takes gives a single {demand.name}")
        if not any(item.fits(work.room(size)) for size in work.sizes):
            raise NotEnough(f"no bar is long enough for a single {demand.name}")


def same_bars(plan: SawPlan) -> list[tuple[SawnBar, int]]:
    """The bars of a plan, those sawn alike once with how many there are."""
    return [(bar, len(list(group))) for bar, group in groupby(plan.bars)]
