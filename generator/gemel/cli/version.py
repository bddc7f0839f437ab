"""`gemel version`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.cli.screen import say

if TYPE_CHECKING:
    import typer

__all__ = ["register"]


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(version)


def version() -> None:
    """Print the version of gemel."""
    from gemel import __version__  # noqa: PLC0415 # beside the other lazy imports

    say(f"gemel {__version__}")
