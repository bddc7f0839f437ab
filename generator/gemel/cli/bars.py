"""`gemel bars`."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from gemel.cli import complete, options
from gemel.cli.screen import complain, say, say_table

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.shop.bars import BarAnswer, BarRow, StockPlan
    from gemel.timing.sawing import StockLength

__all__ = ["register"]

_EPILOG = """Examples:

  gemel bars   parts and mass of a bar, every member

  gemel bars port-block/35 --lot 500

  gemel bars port-block/20=300 port-block/65=120 --bar 6000x4 --bar 3000

Lengths are in mm. With `--bar`, or where new bars are longer than the feeder takes, gemel says what to saw them into
so that the least is left; parts of one stock share bars.
Exit status: 0 done, 2 a family has faults or it cannot be done as asked, 3 a fault of gemel."""

_BAR = re.compile(r"(?P<length>[0-9]+(?:\.[0-9]+)?)(?:[xX](?P<number>[0-9]{1,5}))?\Z")


_Words = Annotated[
    list[str] | None,
    typer.Argument(
        metavar="[FAMILY[/MEMBER][=PARTS]]...",
        help="Families or members, with a lot of their own where `=` gives one; all when left out.",
        autocompletion=complete.families,
    ),
]
_Lot = Annotated[int, typer.Option("--lot", "-l", min=0, metavar="PARTS", help="Parts wanted of every member.")]
_Bars = Annotated[
    list[str] | None,
    typer.Option("--bar", "-b", metavar="MM[xN]", help="A length of bar at hand, and how many of it; may be repeated."),
]
_Kerf = Annotated[float, typer.Option("--kerf", min=0, metavar="MM", help="Width of the saw cut.")]
_Cycle = Annotated[
    float | None,
    typer.Option("--cycle", min=0.1, metavar="SECONDS", help="From part to part; else as the programs take."),
]


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(bars)


def bars(  # noqa: PLR0913, PLR0917 # one option each
    words: _Words = None,
    lot: _Lot = 0,
    at_hand: _Bars = None,
    kerf: _Kerf = 3.0,
    cycle: _Cycle = None,
    form: options.FormatOption = options.Format.TEXT,
) -> int:
    """Say how many parts a bar gives, what a lot takes in bars and kilograms, and what to saw long bars into."""
    from gemel.shop.bars import BarQuestion, as_json, bars_of  # noqa: PLC0415 # heavy
    from gemel.shop.layout import find_shop  # noqa: PLC0415 # heavy

    names, lots = _lots(words or ())
    lengths = tuple(_lengths(at_hand or ()))
    if lengths and not (lot or any(lots.values())):
        raise typer.BadParameter("`--bar` is sawn for a lot, and none is given: `--lot 500` or `port-block/35=500`")
    question = BarQuestion(lot, lots, lengths, kerf, cycle)
    answer = bars_of(find_shop(Path.cwd()), names, question)
    if form is options.Format.JSON:
        say(as_json(answer))
    elif answer.rows:
        _say(answer)
    else:
        complain("there is no family yet; describe one in `families/`")
    return 0


def _lots(words: list[str] | tuple[()]) -> tuple[list[str], dict[str, int]]:
    """Names, and the lots given with them."""
    names, lots = [], {}
    for word in words:
        name, equals, number = word.partition("=")
        name = name.removeprefix("families/").removesuffix(".yaml")
        names.append(name)
        if equals:
            if not (number.isdecimal() and len(number) < 10):
                raise typer.BadParameter(f"`{word}`: expected a number of parts behind `=`, as in `{name}=500`")
            lots[name] = int(number)
    return names, lots


def _lengths(words: list[str] | tuple[()]) -> Iterator[StockLength]:
    from gemel.timing.sawing import StockLength  # noqa: PLC0415 # with the other heavy ones

    seen = set()
    for word in words:
        match = _BAR.match(word)
        length = float(match["length"]) if match else 0.0
        if match is None or not 0 < length <= 100_000:
            raise typer.BadParameter(f"`{word}` is no length of bar: expected mm, as in `6000` or `6000x4`")
        if length in seen:
            raise typer.BadParameter(f"bars of {length:g} mm are given twice; give their number once")
        seen.add(length)
        yield StockLength(length, int(match["number"]) if match["number"] else None)


def _say(answer: BarAnswer) -> None:
    rows = answer.rows
    head = ("pair", "bar", "part", "front", "back", "blade", "a part takes", "parts a bar", "left", "kg a bar")
    say_table(head, (_need(row) for row in rows))
    for row in rows:
        if row.is_sawn:
            say(f"{row.name}: a bar of {row.need.bar_mm:g} is longer than the feeder of {row.machine} takes: saw it")
    if any(row.lot for row in rows):
        say()
        titles = ("pair", "lot", "bars", "in the last", "metres", "kg", "time", "changes an hour")
        say_table(titles, (_lot(row, answer) for row in rows if row.lot))
    for plan in answer.plans:
        say()
        _say_plan(plan)


def _need(row: BarRow) -> tuple[str, ...]:
    need = row.need
    bar = f"{need.material} {need.shape} {need.size_mm:g} x {need.bar_mm:g}"
    lengths = (need.part_mm, need.front_mm, need.back_mm, need.blade_mm, need.pitch_mm)
    return row.name, bar, *(f"{x:.6g}" for x in lengths), str(need.parts), f"{need.left_mm:.1f}", f"{need.kg:.2f}"


def _lot(row: BarRow, answer: BarAnswer) -> tuple[str, ...]:
    lot, need = row.lot, row.need
    assert lot is not None, "rows without a lot are left out"
    planned = any((p.material, p.shape, p.size_mm) == row.stock for p in answer.plans)
    metres = lot.bars * need.bar_mm / 1000
    amounts = ("see below", "see below") if planned else (f"{metres:.1f}", f"{metres * need.kg_m:.1f}")
    time = "-" if lot.seconds is None else _hours(lot.seconds)
    hourly = "-" if row.changes_per_hour is None else f"{row.changes_per_hour:.2f}"
    return row.name, str(lot.parts), str(lot.bars), str(lot.last_parts), *amounts, time, hourly


def _hours(seconds: float) -> str:
    minutes = round(seconds / 60)
    return f"{minutes // 60} h {minutes % 60:02} min"


def _say_plan(stock: StockPlan) -> None:
    from gemel.timing.sawing import same_bars  # noqa: PLC0415 # with the other heavy ones

    plan = stock.plan
    share = 100 * plan.left_mm / plan.used_mm if plan.used_mm else 0.0
    proof = "no way of sawing takes less" if plan.proved else f"no way takes less than {plan.least_mm / 1000:.1f} m"
    bars = "1 bar" if len(plan.bars) == 1 else f"{len(plan.bars)} bars"
    say(
        f"{stock.material} {stock.shape} {stock.size_mm:g}: {bars}, {plan.used_mm / 1000:.1f} m, "
        f"{stock.kg:.1f} kg; {share:.1f} % of it goes into no part; {proof}"
    )
    rows = []
    for bar, number in same_bars(plan):
        pieces = " + ".join(f"{p.length_mm:.1f} ({p.name} x {p.parts})" for p in bar.pieces)
        rows.append((str(number), f"{bar.length_mm:g}", pieces, f"{bar.left_mm:.1f}"))
    say_table(("bars", "of", "saw into", "left"), rows)
