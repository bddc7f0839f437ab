"""`gemel release`."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from gemel.cli import options
from gemel.cli.screen import say, say_findings
from gemel.cli.status import status_of

__all__ = ["register"]

_EPILOG = """Examples:

  gemel release port-block/35 --by "A. Setter"

  gemel release port-block/35 -m twin-turnmill --by "A. S." --on 2024-03-01

  gemel release port-block/35 --by "A. S." --note "first piece measured"

Only a pair that is committed, passes the proof and has no undecided edits. The record is an annotated tag,
release/<machine>/<family>-<member>/<n>; `git show` reads it.
A release says who proved a pair out. It does not replace the shop's own rules for running unattended.
Exit status: 0 on record, 1 something stands against it, 2 not usable as asked, 3 a fault of gemel."""

_Pair = Annotated[str, typer.Argument(metavar="FAMILY/MEMBER", help="Which pair.")]
_Machine = Annotated[str, options.machine("On which machine it was proved out.")]
_By = Annotated[str, typer.Option("--by", metavar="WHO", help="Who proved it out at the machine.")]
_On = Annotated[str, typer.Option("--on", metavar="DAY", help="The day, ISO 8601; today when left out.")]
_Note = Annotated[str, typer.Option("--note", metavar="TEXT", help="What else there is to say.")]


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(release)


def release(pair: _Pair, *, by: _By, machine: _Machine = "", on: _On = "", note: _Note = "") -> int:
    """Put on record who proved a pair out at the machine, and which texts those were."""
    from gemel.shop.layout import find_shop  # noqa: PLC0415 # heavy
    from gemel.shop.release import Wish  # noqa: PLC0415 # heavy
    from gemel.shop.release import release as put_on_record  # noqa: PLC0415 # heavy

    day = on or date.today().isoformat()  # noqa: DTZ011 # a day at the machine, not a moment
    released = put_on_record(find_shop(Path.cwd()), Wish(pair, machine or None, by, day, note))
    say_findings(released.findings)
    say(f"released: {pair} for {released.pair.machine}, proved out by {by.strip()} on {day}")
    say(f"  tag {released.tag}, commit {released.commit[:12]}")
    return status_of(released.findings)
