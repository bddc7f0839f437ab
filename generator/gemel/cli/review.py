"""`gemel review`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from gemel.cli import complete
from gemel.cli.screen import say
from gemel.cli.status import FOUND, OK

__all__ = ["register"]

_EPILOG = """Examples:

  gemel review port-block/35                   a page in reviews/, to look at, print, send

  gemel review port-block/35 --out monday.html

The page stands alone: no network, legible without colour and without scripts. It ends nothing: `gemel decide` does,
with the commands that the page holds.
Exit status: 0 none undecided, 1 undecided edits or new errors, 2 not usable as asked, 3 a fault of gemel."""

_Pair = Annotated[str, typer.Argument(metavar="FAMILY/MEMBER", help="The pair.", autocompletion=complete.families)]
_Out = Annotated[
    Path | None, typer.Option("--out", "-o", metavar="FILE", help="Where the page goes; into `reviews/` of the shop.")
]
_Machine = Annotated[
    str,
    typer.Option("--machine", "-m", metavar="NAME", help="From whose control.", autocompletion=complete.machines),
]


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(review)


def review(pair: _Pair, *, out: _Out = None, machine: _Machine = "") -> int:
    """Make the page on which the edits of a pair at its control are looked at and decided."""
    from gemel.shop.layout import find_shop  # noqa: PLC0415 # heavy
    from gemel.shop.review import store_review  # noqa: PLC0415 # heavy

    shop = find_shop(Path.cwd())
    made = store_review(shop, pair, machine, Path.cwd() / out if out is not None else None)
    judged = made.judged
    found, errors = judged.pair, len(judged.change.errors)
    say(f"{len(found.edits)} edits, {len(found.undecided)} undecided, {errors} new errors")
    say(str(made.path))
    return FOUND if judged.needs_somebody else OK
