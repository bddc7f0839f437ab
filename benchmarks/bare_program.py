"""The smallest program with a command; `start.py` compares with it."""

from __future__ import annotations

import typer

app = typer.Typer()


@app.command()
def greet(name: str) -> None:
    """Say a name."""
    typer.echo(name)


if __name__ == "__main__":
    app()
