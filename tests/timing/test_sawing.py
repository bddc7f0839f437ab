"""The saw plan: which pieces to saw long bars into."""

from __future__ import annotations

from functools import cache
from itertools import product
from math import ceil

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gemel.timing import saw_work
from gemel.timing.sawing import Demand, NotEnough, SawPlan, StockLength, same_bars, saw_plan

# Cutting-stock example with master rolls of 5600 mm: width and number of the orders. Published on a news group and in
# an encyclopaedia (two copies agree): the bound is 72.7 rolls, and 73 are optimal, with 0.401 % waste.
ROLLS = {
    1380: 22,
    1520: 25,
    1560: 12,
    1710: 14,
    1820: 18,
    1880: 18,
    1930: 20,
    2000: 10,
    2050: 12,
    2100: 14,
    2140: 16,
    2150: 18,
    2200: 20,
}


def _check(plan: SawPlan, demands: list[Demand], stock: list[StockLength], kerf: float) -> None:
    """Every part is there, every piece fits its bar and the feeder, no bar is used that is not there."""
    for demand in demands:
        pieces = [piece for bar in plan.bars for piece in bar.pieces if piece.name == demand.name]
        assert sum(piece.parts for piece in pieces) == demand.parts
        assert all(piece.parts <= (demand.most or demand.parts) for piece in pieces)
        for piece in pieces:
            assert piece.length_mm == pytest.approx(piece.parts * demand.pitch_mm + demand.remnant_mm)
    for bar in plan.bars:
        taken = sum(piece.length_mm for piece in bar.pieces) + kerf * (len(bar.pieces) - 1)
        assert taken <= bar.length_mm + 1e-6
        assert bar.left_mm == pytest.approx(max(0.0, bar.length_mm - taken - kerf))
    for size in stock:
        used = sum(1 for bar in plan.bars if bar.length_mm == size.length_mm)
        assert size.number is None or used <= size.number


def test_published_example_needs_73_rolls() -> None:
    """The optimum and its waste are the published ones, and proved."""
    demands = [Demand(str(width), number, width, 0.0, 1) for width, number in ROLLS.items()]
    plan = saw_plan(demands, [StockLength(5600)], 0.0)
    _check(plan, demands, [StockLength(5600)], 0.0)
    assert len(plan.bars) == 73
    assert plan.proved
    assert plan.parts_mm == 407_160
    assert 100 * plan.left_mm / plan.used_mm == pytest.approx(0.401, abs=0.0005)


def test_a_long_bar_is_sawn_into_pieces_that_the_feeder_takes() -> None:
    """A bar of 6 m for a feeder of 3.2 m: two pieces, each with its remnant, with a kerf between (worked by hand).

    48 parts of 62.8 and a remnant of 180 are 3194.4, under 3200; the rest of 6000 - 3194.4 - 3 holds
    floor((2802.6 - 180) / 62.8) = 41 more.
    """
    demand = Demand("60", 89, 62.8, 180, int((3200 - 180) // 62.8))
    plan = saw_plan([demand], [StockLength(6000)], 3)
    [(bar, number)] = same_bars(plan)
    assert (number, [piece.parts for piece in bar.pieces]) == (1, [48, 41])
    assert bar.left_mm == pytest.approx(6000 - 3194.4 - 3 - (41 * 62.8 + 180) - 3)


def test_mixed_lengths_at_hand_are_used_within_their_number() -> None:
    """Short bars that are there are used where that leaves less than another long one."""
    stock = [StockLength(6000), StockLength(4000, 3), StockLength(3000, 2)]
    demand = Demand("60", 500, 62.8, 180, 48)
    plan = saw_plan([demand], stock, 3)
    _check(plan, [demand], stock, 3)
    assert plan.used_mm == 4 * 6000 + 4000 + 2 * 3000
    assert plan.proved


@cache
def _least_brute(demands: tuple[Demand, ...], stock: tuple[StockLength, ...], kerf: float) -> float | None:
    """Least length of bars that gives the parts, by trying every filling of every bar, one bar after the other."""
    if all(demand.parts <= 0 for demand in demands):
        return 0.0
    best: float | None = None
    for at, size in enumerate(stock):
        if not size.number:
            continue
        rest_stock = (*stock[:at], StockLength(size.length_mm, size.number - 1), *stock[at + 1 :])
        for filling in product(*(range(demand.parts + 1) for demand in demands)):
            needed = sum(
                n * d.pitch_mm + ceil(n / (d.most or n)) * (d.remnant_mm + kerf)
                for n, d in zip(filling, demands, strict=True)
                if n
            )
            if not any(filling) or needed > size.length_mm + kerf:
                continue
            left = tuple(d._replace(parts=d.parts - n) for n, d in zip(filling, demands, strict=True))
            more = _least_brute(left, rest_stock, kerf)
            if more is not None and (best is None or size.length_mm + more < best):
                best = size.length_mm + more
    return best


_demand = st.builds(
    Demand,
    st.just(""),
    st.integers(0, 4),
    st.integers(5, 40),
    st.integers(0, 10),
    st.none() | st.integers(1, 3),
)
_stock = st.lists(
    st.builds(StockLength, st.integers(30, 120), st.integers(0, 3)),
    min_size=1,
    max_size=2,
    unique_by=lambda size: size.length_mm,
)


@settings(max_examples=60, deadline=None)
@given(st.lists(_demand, min_size=1, max_size=2), _stock, st.integers(0, 3), st.booleans())
def test_plan_equals_brute_force(demands: list[Demand], stock: list[StockLength], kerf: int, each: bool) -> None:  # noqa: FBT001 # drawn
    """On small cases no way at all of filling bars uses less, whichever of the two formulations is solved."""
    named = [demand._replace(name=str(n)) for n, demand in enumerate(demands)]
    least = _least_brute(tuple(named), tuple(stock), float(kerf))
    with pytest.MonkeyPatch.context() as patch:
        if each:
            patch.setattr(saw_work, "_MOST_PATTERNS", 0)
        if least is None:
            with pytest.raises(NotEnough):
                saw_plan(named, stock, kerf)
            return
        plan = saw_plan(named, stock, kerf)
    _check(plan, named, stock, kerf)
    assert plan.proved
    assert plan.used_mm == pytest.approx(least)


def test_four_parts_from_one_bar_size_are_planned_together() -> None:
    """Lots of four lengths from one bar: too many patterns to list, still proved, by generated ones."""
    demands = [
        Demand(name, 500, pitch, 120, int((3200 - 120) // pitch))
        for name, pitch in (("20", 22.8), ("35", 37.8), ("50", 52.8), ("65", 67.8))
    ]
    plan = saw_plan(demands, [StockLength(6000)], 3)
    _check(plan, demands, [StockLength(6000)], 3)
    assert plan.proved
    # 500 x (22.8 + 37.8 + 52.8 + 67.8) = 90.6 m cannot come from 15 bars of 6 m, which would be 90 m.
    assert len(plan.bars) == 16


def test_large_lots_come_with_a_bound_where_they_are_not_proved() -> None:
    """Lots of thousands from three lengths, one of them not limited: the bound is at most one step of length away."""
    demands = [
        Demand(name, 5000, pitch, 120, int((3200 - 120) // pitch))
        for name, pitch in (("20", 22.8), ("35", 37.8), ("50", 52.8), ("65", 67.8))
    ]
    stock = [StockLength(6000, 60), StockLength(4000, 80), StockLength(3200)]
    plan = saw_plan(demands, stock, 3)
    _check(plan, demands, stock, 3)
    assert plan.parts_mm == pytest.approx(5000 * 181.2)
    assert plan.parts_mm < plan.least_mm <= plan.used_mm <= plan.least_mm + 400
    assert plan.proved == (plan.least_mm == plan.used_mm)


def test_what_cannot_be_sawn_says_why() -> None:
    """A part longer than every bar, a feeder too short for one part, too few bars: each says which."""
    with pytest.raises(NotEnough, match="no bar is long enough for a single long"):
        saw_plan([Demand("long", 1, 500, 100)], [StockLength(400)], 3)
    with pytest.raises(NotEnough, match="feeder takes gives a single short"):
        saw_plan([Demand("short", 1, 50, 100, 0)], [StockLength(400)], 3)
    with pytest.raises(NotEnough, match="do not give so many"):
        saw_plan([Demand("a", 100, 50, 100)], [StockLength(400, 2)], 3)


def test_nothing_wanted_uses_nothing() -> None:
    """A lot of none is an empty plan."""
    assert saw_plan([Demand("a", 0, 50, 100)], [StockLength(400)], 3).bars == ()
