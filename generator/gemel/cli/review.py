"""`gemel review`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from gemel.cli import complete, options
from gemel.cli.screen import say, say_findings
from gemel.cli.status import FOUND, OK

if TYPE_CHECKING:
    from gemel.shop.layout import Shop

__all__ = ["register"]

_EPILOG = """Examples:

  gemel review port-block/35   a page in reviews/, to look at and print

  gemel review port-block/35 --out monday.html

  gemel review port-block/35 --from /media/stick   takes in, then the page

The page stands alone: no network, legible without colour and without scripts. It ends nothing: `gemel decide` does,
with the commands that the page holds.
Exit status: 0 none undecided, 1 undecided edits or new errors, 2 not usable as asked, 3 a fault of gemel."""

_Pair = Annotated[str, typer.Argument(metavar="FAMILY/MEMBER", help="The pair.", autocompletion=complete.families)]
_Out = Annotated[
    Path | None, typer.Option("--out", "-o", metavar="FILE", help="Where the page goes; into `reviews/` of the shop.")
]
_From = Annotated[
    list[str] | None,
    typer.Option("--from", metavar="FILE|DIR", help="Take these in first, as `gemel intake` does; may be repeated."),
]
_Machine = Annotated[str, options.machine("From whose control.")]


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(review)


def review(pair: _Pair, *, out: _Out = None, machine: _Machine = "", given: _From = None) -> int:
    """Make the page on which the edits of a pair at its control are looked at and decided."""
    from gemel.shop.layout import find_shop  # noqa: PLC0415 # heavy
    from gemel.shop.review import store_review  # noqa: PLC0415 # heavy

    shop = find_shop(Path.cwd())
    if given:
        _take_in(shop, given, machine)
    made = store_review(shop, pair, machine, Path.cwd() / out if out is not None else None)
    judged = made.judged
    found, errors = judged.pair, len(judged.change.errors)
    edits = "1 edit" if len(found.edits) == 1 else f"{len(found.edits)} edits"
    say(f"{edits}, {len(found.undecided)} undecided, {errors} new error{'s' * (errors != 1)}")
    say(str(made.path))
    return FOUND if judged.needs_somebody else OK


def _take_in(shop: Shop, given: list[str], machine: str) -> None:
    """Take files in and say what became of them; what was found stands in the way of no page."""
    from gemel.cli.intake import say_taken  # noqa: PLC0415 # needed by this option alone
    from gemel.shop.intake import Request, take_in  # noqa: PLC0415 # heavy
    from gemel.shop.prove_files import only_machine  # noqa: PLC0415 # heavy

    result = take_in(shop, Request(tuple(given), machine or only_machine(shop)))
    for one in result.taken:
        say_taken(one)
    say_findings(result.findings)
