"""`gemel edits`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from gemel.cli import options
from gemel.cli.screen import complain, say, say_findings, say_styled
from gemel.cli.status import FOUND, OK, UNUSABLE
from gemel.findings import printable

if TYPE_CHECKING:
    from collections.abc import Iterable

    from gemel.findings import Finding
    from gemel.shop.judge import Judged
    from gemel.shop.judge_rows import Row

__all__ = ["register"]

_EPILOG = """Examples:

  gemel edits                 every pair that came back

  gemel edits port-block/35   one pair

  gemel edits --copy a.upper.nc b.lower.nc port-block/35   without taking in

New errors come first, then the gravest edits. Equal edits of one operation, and all that one value of the YAML
explains, are one row. `>` stands between the lines of the baseline and those of the copy.
Exit status: 0 none undecided, 1 undecided edits or new errors, 2 not usable as asked, 3 a fault of gemel."""

_COLOURS = {"error": "bold red", "warning": "yellow"}
_MOST_SHOWN = 12
_HEAD = ("id", "risk", "verdict", "seconds", "lines", "place")


_Words = Annotated[list[str] | None, options.pairs("Pairs that came back; all when left out.")]
_Copies = Annotated[
    list[str] | None,
    typer.Option("--copy", metavar="FILE...", help="Look at these files of one pair; nothing is taken in."),
]
_Machine = Annotated[str, options.machine("From this machine's control only.")]
_All = Annotated[bool, typer.Option("--all", help="Every edit in a row of its own.")]


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(edits)


def edits(
    words: _Words = None,
    copies: _Copies = None,
    machine: _Machine = "",
    *,
    every: _All = False,
    form: options.FormatOption = options.Format.TEXT,
) -> int:
    """List what was changed at the control: in shop words, with its risk, seconds, and the value that explains it."""
    from gemel.shop.judged_pairs import Asked, as_object, judged_pairs  # noqa: PLC0415 # heavy
    from gemel.shop.layout import find_shop  # noqa: PLC0415 # heavy

    shop = find_shop(Path.cwd())
    asked = Asked(tuple(words or ()), machine, every)
    outcomes: Iterable[Judged | tuple[Finding, ...]]
    if copies:
        from gemel.shop.looked_at import judged_copies  # noqa: PLC0415 # heavy

        if not words:
            raise typer.BadParameter("name the pair that the copies are of: FAMILY/MEMBER", param_hint="--copy")
        files = [*copies, *words[:-1]]
        outcomes = [judged_copies(shop, files, asked._replace(words=(words[-1],)))]
    else:
        outcomes = judged_pairs(shop, asked)
    status, objects, number = OK, [], -1
    for number, one in enumerate(outcomes):
        if isinstance(one, tuple):
            say_findings(one)
            status = UNUSABLE
            continue
        status = max(status, FOUND if one.needs_somebody else OK)
        if form is options.Format.JSON:
            objects.append(as_object(one))
        else:
            _say(one, first=not number)
    if number < 0:
        complain("no copy came back from a control yet; `gemel intake` takes them in")
    if form is options.Format.JSON:
        import json  # noqa: PLC0415 # needed by this form alone

        say(json.dumps(objects, indent=2))
    return status


def _say(judged: Judged, *, first: bool) -> None:
    if not first:
        say()
    name = f"{judged.pair.name.family}/{judged.pair.name.member}"
    say_styled(((name, "bold"), (f" {_taken(judged)}", "")))
    if not judged.rows:
        say("  as gemel wrote it: no edits")
        return
    say_styled((("  " + _proof(judged), "bold red" if judged.change.errors else ""),))
    say("  " + _time(judged))
    new = [fault for fault in judged.change.new if fault.severity.value in _COLOURS]
    shown = [fault for fault in new if not judged.change.may_follow(fault)][:_MOST_SHOWN]
    for fault in shown:
        _say_fault("new ", fault)
    if len(new) > len(shown):
        say(f"  {len(new) - len(shown)} more, which may follow from these; `gemel review` shows all")
    gone = [fault for fault in judged.change.gone if fault.severity.value in _COLOURS]
    for fault in gone:
        say(f"  gone {fault.severity.value}: {printable(fault.cause)} [{fault.name}]")
    for note in judged.notes:
        say(f"  note: {printable(note)}")
    say()
    _say_rows(judged.rows)


def _say_fault(word: str, fault: Finding) -> None:
    weight = fault.severity.value
    place = fault.labels[0].span.shown() if fault.labels else ""
    rest = f": {printable(place)}: {printable(fault.cause)} [{fault.name}]"
    say_styled(((f"  {word}", ""), (weight, _COLOURS[weight]), (rest, "")))


def _taken(judged: Judged) -> str:
    facts, count = judged.pair.intake.facts, len(judged.pair.edits)
    undecided = len(judged.pair.undecided)
    when = f"taken in {facts.taken_at} by {printable(facts.taken_by)}" if facts.taken_at else "not taken in"
    said = f"{count} edit{'' if count == 1 else 's'}, {undecided} undecided" if count else ""
    return f"at {judged.pair.name.machine}, {when}" + (f": {said}" if said else "")


def _proof(judged: Judged) -> str:
    words = ["pass" if one.verdict.passes else "fail" for one in (judged.before, judged.after)]
    errors = len(judged.change.errors)
    warnings = sum(fault.severity.value == "warning" for fault in judged.change.new)
    new = [f"{n} new {word}{'' if n == 1 else 's'}" for n, word in ((errors, "error"), (warnings, "warning")) if n]
    return f"proof: {words[0]} as written, {words[1]} at the control" + (f": {', '.join(new)}" if new else "")


def _time(judged: Judged) -> str:
    before, after = judged.before.timeline.period_s, judged.after.timeline.period_s
    if before is None or after is None:
        return f"time: {_seconds(before)} as written, {_seconds(after)} at the control"
    apart = round(after, 1) - round(before, 1)  # of what is shown: a reader subtracts
    return f"time: {before:.1f} s a part as written, {after:.1f} s at the control ({apart:+.1f} s)"


def _seconds(value: float | None) -> str:
    return "does not come to its end" if value is None else f"{value:.1f} s a part"


def _say_rows(rows: Iterable[Row]) -> None:
    """Each row: what can be held in columns in one line, what it is about below."""
    cells = [(_id(row), row.risk, row.verdict, row.time, row.lines, row.place) for row in rows]
    widths = [max(len(row[i]) for row in [_HEAD, *cells]) for i in range(len(_HEAD))]
    say("  ".join(cell.ljust(size) for cell, size in zip(_HEAD, widths, strict=True)).rstrip())
    for row, values in zip(rows, cells, strict=True):
        padded = [printable(cell).ljust(size) for cell, size in zip(values, widths, strict=True)]
        colour = _COLOURS.get(row.risk, "")
        say_styled(((padded[0], "bold"), ("  ", ""), (padded[1], colour), ("  " + "  ".join(padded[2:]).rstrip(), "")))
        say(f"  {printable(row.said)}")
        if row.faults:
            say_styled(((f"  {row.accused}", colour),))
        for rank, change in enumerate(row.changes):
            word = "into the family" if row.record is None else "changed"
            say(f"  {word if not rank else 'or'}: {printable(change)}")
        if row.record is not None:
            kept = row.record.edit
            say(f"  {row.verdict} by {printable(kept.by)} on {kept.when}: {printable(kept.why)}")


def _id(row: Row) -> str:
    return row.edits[0].id + (f" +{len(row.edits) - 1}" if len(row.edits) > 1 else "")
