"""`gemel why`."""

from __future__ import annotations

from typing import Annotated

import typer

from gemel.cli.screen import say

__all__ = ["register"]

_EPILOG = """Examples:

  gemel why output/twin-turnmill/port-block-20/port-block-20.upper.nc:42

  gemel why output/twin-turnmill/port-block-20/port-block-20.upper.nc:42:7 --format json"""

_Place = Annotated[str, typer.Argument(metavar="FILE:LINE[:COLUMN]", help="A block of a program, or one word of it.")]
_Format = Annotated[str, typer.Option("--format", metavar="FORM", help="text or json.")]


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(why)


def why(place: _Place, form: _Format = "text") -> int:
    """Explain every word of a block: value, formula over the YAML, file and line of each."""
    from gemel.shop.why import as_json  # noqa: PLC0415 # heavy
    from gemel.shop.why import why as explain

    if form not in ("text", "json"):
        raise typer.BadParameter(f"`{form}` is neither text nor json", param_hint="--format")
    answer = explain(place)
    if form == "json":
        say(as_json(answer))
    else:
        _say(answer)
    return 0
