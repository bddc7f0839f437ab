"""`gemel chart`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from gemel.cli import complete, options
from gemel.cli.screen import say

__all__ = ["register"]

_EPILOG = """Examples:

  gemel chart port-block/35                    what is done when

  gemel chart port-block/35 --against HEAD~1   before and after

  gemel chart port-block/35 --against copies/monday

Exit status: 0 done, 1 a family has faults, 2 not usable as asked, 3 a fault of gemel."""

_Pair = Annotated[str, typer.Argument(metavar="FAMILY/MEMBER", help="The pair.", autocompletion=complete.families)]
_Against = Annotated[
    str,
    typer.Option(
        "--against", "-a", metavar="COMMIT|FOLDER", help="The state before: a commit, or a folder with its programs."
    ),
]
_To = Annotated[Path | None, typer.Option("--to", metavar="DIR", help="Where the page goes; `sheets/` of the shop.")]
_Machine = Annotated[str, options.machine("For this machine instead of the family's own.")]


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(chart)


def chart(
    pair: _Pair,
    *,
    against: _Against = "",
    to: _To = None,
    machine: _Machine = "",
    override: options.OverrideOption = 100.0,
) -> int:
    """Draw the time chart of a pair, or two states of it on one time scale."""
    from gemel.reports.times import duration, seconds  # noqa: PLC0415 # heavy
    from gemel.shop.charts import ChartOrder, store_chart  # noqa: PLC0415 # heavy
    from gemel.shop.layout import find_shop  # noqa: PLC0415 # heavy

    shop = find_shop(Path.cwd())
    folder = Path.cwd() / to if to is not None else shop.root / "sheets"
    made = store_chart(shop, ChartOrder(pair, machine or None, against, folder, override / 100))
    # Two states often differ by tenths.
    told = seconds if against else duration
    now = "does not run to its end" if made.period_s is None else told(made.period_s)
    if against:
        then = "did not run to its end" if made.before_s is None else told(made.before_s)
        say(f"from part to part {now}, before {then}")
    else:
        say(f"from part to part {now}")
    say(str(made.path))
    return 0
