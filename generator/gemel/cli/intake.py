"""`gemel intake`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from gemel.cli import options
from gemel.cli.screen import say, say_findings, say_styled
from gemel.cli.status import status_of

if TYPE_CHECKING:
    from gemel.shop.intake import Result
    from gemel.shop.place_copies import TakenIn

__all__ = ["register", "say_taken"]

_EPILOG = """Examples:

  gemel intake /media/stick --machine twin-turnmill   what the control wrote

  gemel intake O1202 --machine twin-turnmill --as port-block/35:lower

  gemel intake --machine twin-turnmill   what waits from earlier

Every file is stored first, byte for byte, on the branch at-control/<machine>; working tree, index and current branch
are left alone. Taking the same copy in twice is one intake.
Exit status: 0 all put to their pairs, 1 something is stored and needs you, 2 nothing was taken in,
3 a fault of gemel."""


_Paths = Annotated[
    list[str] | None,
    typer.Argument(metavar="[FILE|DIR]...", help="What the control wrote; what waits from earlier when left out."),
]
_Machine = Annotated[str, options.machine("Whose control wrote it.")]
_As = Annotated[
    list[str] | None,
    typer.Option(
        "--as",
        metavar="[FILE=]MEMBER:CHANNEL",
        help="Say what a program is that does not say it itself, `port-block/35:upper`.",
    ),
]


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(intake)


def intake(
    paths: _Paths = None, *, machine: _Machine = "", told: _As = None, form: options.FormatOption = options.Format.TEXT
) -> int:
    """Take in programs as they come back from a control: stored untouched, then put to their pairs."""
    from gemel.shop.intake import Request, take_in  # noqa: PLC0415 # heavy
    from gemel.shop.layout import find_shop  # noqa: PLC0415 # heavy
    from gemel.shop.prove_files import only_machine  # noqa: PLC0415 # heavy

    shop = find_shop(Path.cwd())
    result = take_in(shop, Request(tuple(paths or ()), machine or only_machine(shop), tuple(told or ())))
    if form is options.Format.JSON:
        _say_json(result)
    else:
        _say(result)
    return status_of(result.findings)


def _say(result: Result) -> None:
    for one in result.taken:
        say_taken(one)
    say_findings(result.findings)
    pairs = len(result.taken)
    rows = [
        f"{result.stored} file{'' if result.stored == 1 else 's'} stored",
        f"{pairs} pair{'' if pairs == 1 else 's'}",
    ]
    if result.waiting:
        rows.append(f"{len(result.waiting)} not recognised yet")
    say(", ".join(rows))


def say_taken(one: TakenIn) -> None:
    """One pair that programs were put to."""
    word, colour = ("taken in", "green") if one.commit else ("unchanged", "")
    channels = ", ".join(sorted(one.files))
    name = f"{one.pair.family}/{one.pair.member}"
    say_styled(((f"{word:<12} ", colour), (name, "bold"), (f"  {channels}  {_what_changed(one, name)}", "")))


def _what_changed(one: TakenIn, name: str) -> str:
    if not one.changed:
        return "as gemel wrote it"
    changed = f"other bytes than its baseline: {', '.join(one.changed)}"
    if one.undecided is None:
        return changed
    if not one.undecided:
        return f"{changed}; no undecided edit"
    return f"{changed}; {one.undecided} undecided: gemel edits {name}"


def _say_json(result: Result) -> None:
    import json  # noqa: PLC0415 # needed by this function alone

    value = {
        "stored": result.stored,
        "taken": [
            {
                "family": one.pair.family,
                "member": one.pair.member,
                "machine": one.pair.machine,
                "files": one.files,
                "changed": list(one.changed),
                "commit": one.commit,
                "undecided": one.undecided,
            }
            for one in result.taken
        ],
        "waiting": [{"id": one.id, "file": one.file, "received_at": one.received_at} for one in result.waiting],
        "findings": [
            {"code": f.name, "severity": f.severity.value, "cause": f.cause, "remedy": f.remedy}
            for f in result.findings
        ],
    }
    say(json.dumps(value, indent=2))
