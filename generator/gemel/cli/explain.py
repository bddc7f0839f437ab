"""`gemel explain`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from gemel.cli.screen import say, say_block, say_table

if TYPE_CHECKING:
    from gemel.findings import Explanation

__all__ = ["register"]

_EPILOG = "Examples:  gemel explain family:unknown-name   |   gemel explain waits:deadlock   |   gemel explain"


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(explain)


def explain(
    code: Annotated[str, typer.Argument(metavar="[CODE]", help="The name in brackets behind a finding.")] = "",
) -> None:
    """Say what a finding means, why it matters at the machine, and what to do.

    Without CODE, list all of them.
    """
    from gemel.shop.explain import all_codes  # noqa: PLC0415 # heavy
    from gemel.shop.explain import explain as look_up  # noqa: PLC0415 # heavy

    if not code:
        say_table(("finding", "severity", "what"), _rows(all_codes()))
        return
    entry = look_up(code)
    say(f"{entry.name} ({entry.severity.value})")
    for title, text in (("what", entry.what), ("why", entry.why), ("example", entry.example), ("remedy", entry.remedy)):
        say()
        say(f"{title}:")
        for row in text.splitlines():
            say_block(f"  {row}")


def _rows(codes: dict[str, Explanation]) -> list[tuple[str, str, str]]:
    return [(name, entry.severity.value, entry.what) for name, entry in codes.items()]
