"""Which pieces to saw long bars into so that the least is left: a cutting-stock problem, solved exactly.

A piece goes into the bar feeder and gives whole parts: `n` parts of one kind need `n` pitches and one remnant, and
no piece gives more parts than fit a piece that the feeder takes. Sawing costs the blade's kerf between two pieces.

The length of the bars that are used is proved to be the least; where the solver's work runs out first,
`SawPlan.proved` is false and `least_mm` says what no plan can go below. Among plans of that length one with few pieces
is taken, which is not proved.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING, NamedTuple

from gemel.timing.saw_solver import solve
from gemel.timing.saw_work import Item, Size, Work, units

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from gemel.timing.saw_work import Filled

__all__ = ["Demand", "NotEnough", "Piece", "SawPlan", "SawnBar", "StockLength", "same_bars", "saw_plan"]


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
    work = Work(tuple(_item(d, kerf_mm) for d in wanted), _sizes(stock), units(kerf_mm))
    _check(wanted, work)
    if not wanted:
        return SawPlan((), 0.0, 0.0, proved=True, least_mm=0.0)
    answer = solve(work)
    if not answer.filled:
        why = "do not give so many parts" if answer.impossible else "may do, but no plan was found: plan fewer at once"
        raise NotEnough(f"the bars that are there {why}")
    bars = _bars(wanted, answer.filled, kerf_mm)
    used = sum(bar.length_mm for bar in bars)
    parts = sum(demand.parts * demand.pitch_mm for demand in wanted)
    return SawPlan(bars, used, parts, answer.proved, min(answer.least_mm, used))


def _bars(demands: Sequence[Demand], filled: Filled, kerf_mm: float) -> tuple[SawnBar, ...]:
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


def _item(demand: Demand, kerf_mm: float) -> Item:
    most = demand.parts if demand.most is None else min(demand.most, demand.parts)
    return Item(demand.parts, units(demand.pitch_mm), units(demand.remnant_mm) + units(kerf_mm), max(most, 1))


def _sizes(stock: Sequence[StockLength]) -> tuple[Size, ...]:
    sizes = sorted(stock, key=lambda size: -size.length_mm)
    return tuple(Size(units(s.length_mm), s.number) for s in sizes if s.number is None or s.number > 0)


def _check(demands: Sequence[Demand], work: Work) -> None:
    for demand, item in zip(demands, work.items, strict=True):
        if demand.most == 0:
            raise NotEnough(f"no piece that the feeder takes gives a single {demand.name}")
        if not any(item.fits(work.room(size)) for size in work.sizes):
            raise NotEnough(f"no bar is long enough for a single {demand.name}")


def same_bars(plan: SawPlan) -> list[tuple[SawnBar, int]]:
    """The bars of a plan, those sawn alike once with how many there are."""
    return [(bar, len(list(group))) for bar, group in groupby(plan.bars)]
