"""`gemel check`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from gemel.cli import complete
from gemel.cli.screen import say, say_findings, say_table

__all__ = ["register"]

_EPILOG = """Examples:

  gemel check                                  every family and machine file

  gemel check port-block twin-turnmill

  gemel check families/port-block.yaml

Exit status: 0 nothing found, 1 findings, 2 not usable as asked, 3 a fault of gemel."""

_Files = Annotated[
    list[str] | None,
    typer.Argument(
        metavar="[FILE|NAME]...",
        help="Families or machines, by file or name; all when left out.",
        autocompletion=complete.families,
    ),
]


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(check)


def check(files: _Files = None) -> int:
    """Check families and machine files: every fault with file, line, column and remedy."""
    from gemel.shop.check import check as look  # noqa: PLC0415 # heavy
    from gemel.shop.check import files_of  # noqa: PLC0415 # heavy
    from gemel.shop.layout import find_shop, sources_of  # noqa: PLC0415 # heavy

    shop = find_shop(Path.cwd())
    checked = list(look(shop, files_of(shop, files or ())))
    findings = [finding for one in checked for finding in one.findings]
    if findings:
        say_findings(findings, sources_of(shop, findings), error=False)
        say()
    rows = [(one.file, str(one.members) if one.members else "-", _verdict(len(one.findings))) for one in checked]
    say_table(("file", "members", "findings"), rows)
    return 1 if findings else 0


def _verdict(number: int) -> str:
    return str(number) if number else "none"
