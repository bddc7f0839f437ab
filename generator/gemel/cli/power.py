"""`gemel power`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from gemel.cli import options
from gemel.cli.screen import complain_of_no_pair, say, say_findings, say_table

if TYPE_CHECKING:
    from collections.abc import Sequence

    from gemel.history import PairName
    from gemel.shop.power import PairPower, PowerRow

__all__ = ["register"]

_EPILOG = """Examples:

  gemel power port-block/35   every operation against its drive

  gemel power                 every pair in output/

  gemel power port-block/35 --copy a.upper.nc --copy a.lower.nc

Depths are measured on the workpiece that the programs leave; constants are those of the material catalogue.
Figures are for sharp tools; `!` marks what the drive cannot do, or a surface that cannot be as smooth as drawn.
Exit status: 0 done, 1 a family has faults, 2 not usable as asked, 3 a fault of gemel."""


_Words = Annotated[list[str] | None, options.pairs("Pairs in output/; all when left out.")]
_Copies = Annotated[
    list[str] | None,
    typer.Option(
        "--copy", metavar="FILE", help="A copy of one pair instead: a file for each channel, in the machine's order."
    ),
]
_Machine = Annotated[str, options.machine("Pairs of this machine only.")]


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(power)


def power(
    words: _Words = None,
    copies: _Copies = None,
    machine: _Machine = "",
    form: options.FormatOption = options.Format.TEXT,
) -> int:
    """Say what every operation asks of its drive: depth, force, torque, power, removal rate, and the feed's marks."""
    from gemel.cli.status import status_of  # noqa: PLC0415 # with the other ones
    from gemel.shop.layout import find_shop  # noqa: PLC0415 # heavy
    from gemel.shop.power import PairPower, as_json, power_of_files, power_of_pair  # noqa: PLC0415 # heavy
    from gemel.shop.time_pairs import named_pairs  # noqa: PLC0415 # heavy

    shop = find_shop(Path.cwd())
    names = named_pairs(shop, words or (), machine)
    if copies:
        if len(names) != 1:
            raise typer.BadParameter(f"`--copy` is a copy of one pair: {_name_one(names)}")
        answers = [power_of_files(shop, names[0], copies)]
        findings = []
    else:
        found = [power_of_pair((str(shop.root), name)) for name in names]
        answers = [one for one in found if isinstance(one, PairPower)]
        findings = [finding for one in found if not isinstance(one, PairPower) for finding in one]
    if form is options.Format.JSON:
        say(as_json(answers))
    for number, answer in enumerate(answers if form is options.Format.TEXT else ()):
        if number:
            say()
        _say(answer)
    if not names:
        complain_of_no_pair(machine)
    say_findings(findings)
    return status_of(findings)


def _name_one(names: Sequence[PairName]) -> str:
    if len({(name.family, name.member) for name in names}) == 1:
        return f"this one is written for {' and '.join(n.machine for n in names)}; say which with `--machine`"
    return "name its FAMILY/MEMBER"


def _say(answer: PairPower) -> None:
    say(f"{answer.machine}  {answer.name}  {answer.material} ({answer.source})")
    head = ("", "operation", "drive", "tool", "cut", "feed", "rpm", "m/min", "N", "N m", "kW", "cm3/min", "load", "Rz")
    say_table(head, (_row(row) for row in answer.rows))
    for row in answer.rows:
        if row.is_too_much:
            say(_too_much(row))
        if row.is_rough:
            say(f"! {row.operation}: the feed leaves Rz {row.rz_um:.1f} um; the drawing allows {_asked(row)}")
    for channel, line, why in answer.gaps:
        say(f"? {channel} line {line} is not reckoned with: {why}")


def _row(row: PowerRow) -> tuple[str, ...]:
    cut, load = row.cut, row.cut.load
    size = f"{cut.depth_mm:.2f}" if cut.width_mm is None else f"{cut.depth_mm:.2f} x {cut.width_mm:.1f}"
    drive = f"{cut.channel} tool" if cut.drive == "tool" else cut.drive
    marks = "" if row.rz_um is None else f"{row.rz_um:.1f}"
    asked = f" of {_asked(row)}" if marks and _asked(row) else ""
    return (
        "!" if row.is_too_much or row.is_rough else "",
        row.operation,
        drive,
        cut.tool,
        size,
        f"{cut.feed_mm:.3f}",
        f"{load.rpm:.0f}",
        f"{load.surface_m_min:.0f}",
        f"{load.force_n:.0f}",
        f"{load.torque_nm:.2f}",
        f"{load.power_kw:.2f}",
        f"{load.removal_cm3_min:.1f}",
        f"{100 * cut.share:.0f} %",
        f"{marks}{asked}",
    )


def _asked(row: PowerRow) -> str:
    surface = row.surface
    if surface is None:
        return ""
    asked = (("Rz", surface.asked_rz_um), ("Ra", surface.asked_ra_um))
    return ", ".join(f"{name} {limit:g}" for name, limit in asked if limit is not None)


def _too_much(row: PowerRow) -> str:
    load = row.cut.load
    asked = f"{load.power_kw:.1f} kW and {load.torque_nm:.1f} N m at {load.rpm:.0f} rpm"
    has = f"{row.drive} brings {row.power_kw:.1f} kW and {row.torque_nm:.1f} N m to the cut there"
    instead = f"; {row.instead[0]} could do it" if row.instead else ""
    return f"! {row.operation}: line {row.cut.line} of {row.cut.channel} asks for {asked}; {has}{instead}"
