"""`gemel new`."""

from __future__ import annotations

from pathlib import Path  # noqa: TC003 # Typer reads the annotations at run time
from shlex import quote
from typing import Annotated

import typer

from gemel.cli.screen import complain, say

__all__ = ["register"]

_EPILOG = "Example:  gemel new shop && cd shop && gemel write"


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(new)


def new(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="A folder that does not exist yet, or is empty.")],
) -> None:
    """Lay out an empty shop: templates of a demo machine, one commented family, git."""
    from gemel.shop.new_shop import new_shop  # noqa: PLC0415 # heavy

    made = new_shop(folder)
    for name in made.files:
        say(f"{folder}/{name}")
    for note in made.notes:
        complain(f"note: the shop is not committed yet: {note.cause}")
        complain(f"  remedy: {note.remedy}")
    # A name that begins with `-` would be taken for an option, one with blanks for two names.
    place = f"./{folder}" if str(folder).startswith("-") else str(folder)
    say(f"The shop is laid out. Go on with:  cd {quote(place)} && gemel write")
