"""Arguments and options that several commands take, so that they are called and completed the same everywhere."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, Annotated

import typer

from gemel.cli import complete

if TYPE_CHECKING:
    from typer.models import ArgumentInfo, OptionInfo

__all__ = ["Format", "FormatOption", "OverrideOption", "machine", "pairs"]


class Format(StrEnum):
    """How an answer is printed."""

    TEXT = "text"
    JSON = "json"


FormatOption = Annotated[Format, typer.Option("--format", "-f", help="`json` prints JSON and nothing else.")]
"""Text for people, or JSON for programs."""

OverrideOption = Annotated[
    float,
    typer.Option(
        "--override",
        "-o",
        min=1,
        max=500,
        metavar="PERCENT",
        help="Feed override, 50 for half. Threads, taps and rapids are not changed by it.",
    ),
]
"""The feed override at the control, in percent."""


def pairs(what: str) -> ArgumentInfo:
    """Any number of families or members; `what` says what is done with them, and what happens without."""
    info: ArgumentInfo = typer.Argument(metavar="[FAMILY[/MEMBER]]...", help=what, autocompletion=complete.families)
    return info


def machine(what: str) -> OptionInfo:
    """The machine, `--machine` or `-m`; `what` says what it is for."""
    info: OptionInfo = typer.Option("--machine", "-m", metavar="NAME", help=what, autocompletion=complete.machines)
    return info
