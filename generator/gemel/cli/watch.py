"""`gemel watch`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from gemel.cli import options
from gemel.cli.intake import say_taken
from gemel.cli.screen import say, say_findings

__all__ = ["register"]

_EPILOG = """Examples:

  gemel watch /mnt/control --machine twin-turnmill

  gemel watch /mnt/control --machine twin-turnmill --poll   a network drive

What lies there already is taken in first. A file is taken in when it has stood still for a while.
Ctrl-C ends it; nothing is lost by that.
Exit status: 0 ended by Ctrl-C, 2 not usable as asked, 3 a fault of gemel."""

_Folder = Annotated[Path, typer.Argument(metavar="DIR", help="The folder that the control writes to.")]
_Machine = Annotated[str, options.machine("Whose control it is.")]
_Quiet = Annotated[float, typer.Option("--quiet", metavar="SECONDS", min=0.1, help="How long a file must stand still.")]
_Poll = Annotated[bool, typer.Option("--poll", help="Look again and again instead of waiting to be told.")]


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(watch)


def watch(folder: _Folder, *, machine: _Machine = "", quiet: _Quiet = 2.0, poll: _Poll = False) -> int:
    """Watch a control's folder, and take copies in as they appear and are complete."""
    from threading import Event  # noqa: PLC0415 # needed by this function alone

    from gemel.shop.layout import find_shop  # noqa: PLC0415 # heavy
    from gemel.shop.prove_files import only_machine  # noqa: PLC0415 # heavy
    from gemel.shop.watch import Watching  # noqa: PLC0415 # heavy
    from gemel.shop.watch import watch as results_of  # noqa: PLC0415 # heavy

    shop = find_shop(Path.cwd())
    watching = Watching(folder, machine or only_machine(shop), quiet, poll)
    stop, intakes = Event(), 0
    results = results_of(shop, watching, stop)
    say(f"watching {folder} for {watching.machine}; Ctrl-C ends it")
    sys.stdout.flush()
    try:
        for result in results:
            for one in result.taken:
                if one.commit:
                    say_taken(one)
                    intakes += 1
            say_findings(result.findings)
            sys.stdout.flush()
    except KeyboardInterrupt:
        stop.set()
    say(f"watched; {intakes} intake{'s' * (intakes != 1)}")
    return 0
