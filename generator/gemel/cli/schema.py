"""`gemel schema`."""

from __future__ import annotations

from pathlib import Path  # noqa: TC003 # Typer reads the annotations at run time
from typing import Annotated

import typer

from gemel.cli.screen import say

__all__ = ["register"]

_EPILOG = """Example:  gemel schema family --out docs/schema/family.json

Editors find it by the first line of a file:  # yaml-language-server: $schema=../docs/schema/family.json"""


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(schema)


def schema(
    kind: Annotated[str, typer.Argument(metavar="KIND", help="family, machine, tools or materials.")],
    out: Annotated[Path | None, typer.Option("--out", "-o", metavar="FILE", help="Write it to a file.")] = None,
) -> None:
    """Print the JSON Schema of a kind of file, by which editors complete and check while you type."""
    from gemel.shop.schema import schema as schema_of  # noqa: PLC0415 # heavy

    text = schema_of(kind)
    if out is None:
        say(text.rstrip("\n"))
        return
    out.parent.mkdir(parents=True, exist_ok=True)
    out.write_text(text, encoding="utf-8", newline="\n")
    say(f"{out}: schema of {kind}")
