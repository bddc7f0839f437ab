"""The bars that members take: of one, of some, or of the whole shop; and what to saw long bars into."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, replace
from typing import TYPE_CHECKING, Any, NamedTuple

from gemel.families.bar_need import BarNeed, bar_need
from gemel.families.resolve import resolve
from gemel.findings import Findings, Label, Span, did_you_mean
from gemel.history.record import PairName
from gemel.shop import bar_codes, codes, inputs
from gemel.shop.prove_files import stored_programs
from gemel.shop.targets import targets_of
from gemel.timing.lot import Lot, bar_changes_per_hour, lot_of, lot_of_pieces
from gemel.timing.sawing import Demand, NotEnough, SawPlan, StockLength, saw_plan

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from gemel.findings import Explanation, Finding
    from gemel.machines.schema import Machine
    from gemel.shop.layout import Shop
    from gemel.shop.targets import Target

__all__ = ["BarAnswer", "BarQuestion", "BarRow", "StockPlan", "as_json", "bars_of"]

_MM_PER_INCH = 25.4


class BarQuestion(NamedTuple):
    """What is asked.

    Attributes:
        lot: parts of every member without a number of its own; 0: no lot.
        lots: parts of single members by `family/member`, or of every member of a family by its name.
        bars: lengths at hand, mm; none: new bars as the family says, as many as are needed.
        kerf_mm: of the saw.
        cycle_s: seconds from part to part; None: as the programs in `output/` take, where there are some.
    """

    lot: int = 0
    lots: dict[str, int] = {}  # noqa: RUF012 # a NamedTuple's default is never changed
    bars: tuple[StockLength, ...] = ()
    kerf_mm: float = 3.0
    cycle_s: float | None = None


@dataclass(frozen=True, slots=True)
class BarRow:
    """The bar of one member.

    Attributes:
        longest_mm: longest bar that the machine's feeder takes; None: the machine file does not say.
        change_s: seconds from one bar to the next; 0 where the machine file does not say.
        per_bar: parts of a bar as it is put into the machine: a new bar, or the longest piece that the feeder takes.
        cycle_s: of a part, where it is known. changes_per_hour: how often a new bar comes then.
        lot: what the lot takes, None without one.
    """

    family: str
    member: str
    machine: str
    need: BarNeed
    longest_mm: float | None
    change_s: float
    per_bar: int
    cycle_s: float | None
    changes_per_hour: float | None
    lot: Lot | None = None

    @property
    def name(self) -> str:
        """`family/member`."""
        return f"{self.family}/{self.member}"

    @property
    def is_sawn(self) -> bool:
        """Whether a new bar is longer than the feeder takes."""
        return self.longest_mm is not None and self.need.bar_mm > self.longest_mm

    @property
    def stock(self) -> tuple[str, str, float]:
        """Material, shape and size: what parts share bars by."""
        return self.need.material, self.need.shape, self.need.size_mm


@dataclass(frozen=True, slots=True)
class StockPlan:
    """What to saw the bars of one stock into, for the lots of all parts that are made of it."""

    material: str
    shape: str
    size_mm: float
    kg: float
    plan: SawPlan


@dataclass(frozen=True, slots=True)
class BarAnswer:
    """A row for each member, and a plan for each stock whose bars have to be sawn or were given."""

    rows: tuple[BarRow, ...]
    plans: tuple[StockPlan, ...]


def bars_of(shop: Shop, words: Sequence[str], question: BarQuestion) -> BarAnswer:
    """The bars of the members that are named; of all without a word.

    Raises:
        Findings: a name is unknown, a family has faults, a bar gives no part, or the bars at hand do not suffice.
    """
    found: list[Finding] = []
    rows: list[BarRow] = []
    for target in targets_of(shop, words):
        try:
            rows += _rows(shop, target, question)
        except Findings as error:
            found.extend(error.findings)
    if found:
        raise Findings(found)
    plans = tuple(_plans(rows, question))
    return BarAnswer(tuple(_with_lot(row, plans, question) for row in rows), plans)


def _rows(shop: Shop, target: Target, question: BarQuestion) -> Iterator[BarRow]:
    family = inputs.load(shop, target.family).family
    known = family.members()
    for member in target.members or known:
        if member not in known:
            label = Label(Span(family.file), member)
            cause = f"{target.family} has no member `{member}`"
            raise Findings([codes.NO_MEMBER.found(cause, label, remedy=did_you_mean(member, known))])
        need = bar_need(family, resolve(family, member))
        longest = _longest_mm(family.machine)
        shortest = need.bar_mm if longest is None else min(need.bar_mm, longest)
        per_bar = need.parts_of(shortest)
        if per_bar < 1:
            raise _fault(
                bar_codes.NO_PART, f"{target.family}/{member}: a bar of {shortest:g} mm gives no part", family.file
            )
        change = float(family.machine.bar_feeder.change) if family.machine.bar_feeder else 0.0
        cycle = question.cycle_s
        if cycle is None and (question.lot or question.lots):
            cycle = _period_s(shop, family.machine, PairName(str(family.machine.machine), target.family, member))
        hourly = None if cycle is None else bar_changes_per_hour(per_bar, cycle, change)
        machine = str(family.machine.machine)
        yield BarRow(target.family, member, machine, need, longest, change, per_bar, cycle, hourly)


def _period_s(shop: Shop, machine: Machine, name: PairName) -> float | None:
    """Seconds from part to part of the programs in `output/`; None where there are none, or they do not run through."""
    from gemel.timing import time_pair  # noqa: PLC0415 # needed only where a lot is asked for

    try:
        return time_pair(stored_programs(shop, name, machine), machine).period_s
    except Findings:
        return None


def _longest_mm(machine: Machine) -> float | None:
    if machine.bar_feeder is None:
        return None
    longest = float(machine.bar_feeder.longest)
    return longest * _MM_PER_INCH if machine.unit == "inch" else longest


def _parts(row: BarRow, question: BarQuestion) -> int:
    return question.lots.get(row.name, question.lots.get(row.family, question.lot))


def _plans(rows: Sequence[BarRow], question: BarQuestion) -> Iterator[StockPlan]:
    """A plan for each stock of which bars were given, or whose new bars are longer than the feeder takes."""
    stocks: dict[tuple[str, str, float], list[BarRow]] = {}
    for row in rows:
        if _parts(row, question) > 0:
            stocks.setdefault(row.stock, []).append(row)
    if len(stocks) > 1 and any(bar.number is not None for bar in question.bars):
        names = ", ".join(f"{material} {shape} {size:g}" for material, shape, size in stocks)
        raise _fault(bar_codes.MIXED_STOCK, f"the parts are cut from different stock: {names}", "gemel bars")
    for (material, shape, size), users in stocks.items():
        if not question.bars and not any(row.is_sawn for row in users):
            continue
        stock = question.bars or tuple(StockLength(length) for length in dict.fromkeys(r.need.bar_mm for r in users))
        try:
            plan = saw_plan([_demand(row, question) for row in users], stock, question.kerf_mm)
        except NotEnough as error:
            raise _fault(bar_codes.NOT_ENOUGH, f"{material} {shape} {size:g}: {error}", "gemel bars") from None
        yield StockPlan(material, shape, size, users[0].need.kg_m * plan.used_mm / 1000, plan)


def _demand(row: BarRow, question: BarQuestion) -> Demand:
    most = None if row.longest_mm is None else row.need.parts_of(row.longest_mm)
    return Demand(row.name, _parts(row, question), row.need.pitch_mm, row.need.remnant_mm, most)


def _with_lot(row: BarRow, plans: Sequence[StockPlan], question: BarQuestion) -> BarRow:
    parts = _parts(row, question)
    if parts <= 0:
        return row
    pieces = [p.parts for s in plans for bar in s.plan.bars for p in bar.pieces if p.name == row.name]
    if pieces:
        return replace(row, lot=lot_of_pieces(sorted(pieces, reverse=True), row.cycle_s, row.change_s))
    return replace(row, lot=lot_of(parts, row.per_bar, row.cycle_s, row.change_s))


def _fault(code: Explanation, cause: str, file: str) -> Findings:
    return Findings([code.found(cause, Label(Span(file)))])


def as_json(answer: BarAnswer) -> str:
    """The answer as one JSON object; lengths in mm, masses in kg, times in seconds."""
    rows = [asdict(row) | {"kg": row.need.kg} | ({"lot": row.lot._asdict()} if row.lot else {}) for row in answer.rows]
    plans = [_plan(plan) for plan in answer.plans]
    return json.dumps({"members": rows, "plans": plans}, indent=2, ensure_ascii=False)


def _plan(stock: StockPlan) -> dict[str, Any]:
    plan = stock.plan
    bars = [
        {
            "length_mm": bar.length_mm,
            "pieces": [piece._asdict() for piece in bar.pieces],
            "left_mm": round(bar.left_mm, 3),
        }
        for bar in plan.bars
    ]
    return {
        "material": stock.material,
        "shape": stock.shape,
        "size_mm": stock.size_mm,
        "kg": round(stock.kg, 3),
        "used_mm": plan.used_mm,
        "parts_mm": round(plan.parts_mm, 3),
        "proved": plan.proved,
        "least_mm": plan.least_mm,
        "bars": bars,
    }
