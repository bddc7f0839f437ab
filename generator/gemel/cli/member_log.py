"""`gemel log`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from gemel.cli import options
from gemel.cli.screen import say, say_findings, say_table
from gemel.cli.status import status_of

__all__ = ["register"]

_EPILOG = """Examples:

  gemel log port-block/35

  gemel log port-block/35 --machine twin-turnmill --format json

Every writing, copy from a control, decision, sending and release, the oldest first. With plain git:
git log at-control/<machine> -- <family>-<member>
Exit status: 0 told, 1 part of it cannot be read, 2 nothing is known of it, 3 a fault of gemel."""


_Pair = Annotated[str, typer.Argument(metavar="FAMILY/MEMBER", help="Which pair.")]
_Machine = Annotated[str, options.machine("One machine; all when left out.")]


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(log)


def log(pair: _Pair, *, machine: _Machine = "", form: options.FormatOption = options.Format.TEXT) -> int:
    """Tell what became of a pair: what was at which control when, every decision, every release."""
    from gemel.shop.layout import find_shop  # noqa: PLC0415 # heavy
    from gemel.shop.member_log import log_of  # noqa: PLC0415 # heavy

    found = log_of(find_shop(Path.cwd()), pair, machine or None)
    if form is options.Format.JSON:
        import json  # noqa: PLC0415 # needed by this branch alone
        from dataclasses import asdict  # noqa: PLC0415 # the same

        say(json.dumps([asdict(event) for event in found.events], indent=2))
    else:
        head = ("when", "what", "machine", "by", "said", "see")
        rows = (
            (e.at[:16].replace("T", " "), e.what.value, e.machine, e.by, e.said, _short(e.ref)) for e in found.events
        )
        say_table(head, rows)
    say_findings(found.findings)
    return status_of(found.findings)


def _short(ref: str) -> str:
    """A commit by its first twelve digits; tags and ids of edits as they are."""
    return ref[:12] if len(ref) in (40, 64) else ref
