"""`gemel send`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from gemel.cli import options
from gemel.cli.screen import complain, say, say_findings, say_styled
from gemel.cli.status import UNUSABLE, status_of

if TYPE_CHECKING:
    from gemel.shop.send import SentPair

__all__ = ["register"]

_EPILOG = """Examples:

  gemel send port-block/35 /media/stick

  gemel send port-block/20 port-block/35 /mnt/control -m twin-turnmill

Both programs of a pair are put there, or neither; then they are read back. A program there that gemel does not know
is never overwritten: take it in first. Behind the program number stands RELEASED or NOT RELEASED.
Released means that a person proved the pair out on this machine; the shop's own rules come first.
Exit status: 0 sent, 1 a pair was not sent, 2 not usable as asked, 3 a fault of gemel."""

_Words = Annotated[list[str], typer.Argument(metavar="FAMILY/MEMBER... DIR", help="Which pairs, and where to.")]
_Machine = Annotated[str, options.machine("Whose control it is, where a pair is written for several.")]


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(send)


def send(words: _Words, *, machine: _Machine = "") -> int:
    """Put pairs into a control's folder: proved, whole, never over a change that was not taken in."""
    from gemel.shop.layout import find_shop  # noqa: PLC0415 # heavy
    from gemel.shop.send import send as send_pairs  # noqa: PLC0415 # heavy

    *names, folder = words
    if not names:
        complain("error: name the pairs, then the folder: gemel send FAMILY/MEMBER... DIR")
        return UNUSABLE
    sent = send_pairs(find_shop(Path.cwd()), names, Path(folder), machine or None)
    for one in sent:
        _say(one)
    findings = [finding for one in sent for finding in one.findings]
    say_findings(findings)
    return status_of(findings)


def _say(one: SentPair) -> None:
    if not one.files:
        say_styled((("not sent     ", "red"), (one.name, "bold"), (f"  {one.machine}", "")))
        return
    word, colour = ("sent", "green") if one.wrote else ("unchanged", "")
    mark = "released" if one.released else "not released"
    say_styled(((f"{word:<12} ", colour), (one.name, "bold"), (f"  {one.machine}  {mark}", "")))
    for channel, name in one.files.items():
        say(f"    {channel}: {name}")
