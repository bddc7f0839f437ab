"""`gemel compare`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from gemel.cli import complete, options
from gemel.cli.screen import say, say_findings, say_styled
from gemel.cli.status import FOUND, OK, UNUSABLE

if TYPE_CHECKING:
    from gemel.shop.compare_revisions import Comparison

__all__ = ["register"]

_EPILOG = """Examples:

  gemel compare HEAD~1                      what the last commit changed

  gemel compare v1 v2 port-block/35         two tags, one pair

  gemel compare at-control/twin-turnmill    the control against output/

  gemel compare release/twin-turnmill/port-block-35/2 /media/stick

  gemel compare old.upper.nc new.upper.nc   two programs

`>` stands between the lines of the first and those of the second. What only looks different (sequence numbers,
blanks, how numbers are typed, comments, the header) is said and no difference. A word that is a family of the shop
names the pairs that are meant, never the second state; `refs/heads/NAME` is a branch whatever else has that name.
Exit status: 0 the same meaning, 1 differences, 2 not usable as asked, 3 a fault of gemel."""


_First = Annotated[str, typer.Argument(metavar="A", help="A commit, branch, tag, folder or program.")]
_Words = Annotated[
    list[str] | None,
    typer.Argument(
        metavar="[B] [FAMILY[/MEMBER]]",
        help="The second state, what stands in output/ when left out; then the pairs that are meant.",
        autocompletion=complete.families,
    ),
]
_Machine = Annotated[str, options.machine("Pairs for this machine only.")]
_Channel = Annotated[str, typer.Option("--channel", "-c", metavar="NAME", help="Of two programs: for this channel.")]
_All = Annotated[bool, typer.Option("--all", help="Every change in a row of its own, and pairs that are the same.")]


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(compare)


def compare(  # noqa: PLR0913 # one parameter for each option is how Typer reads them
    first: _First,
    words: _Words = None,
    *,
    machine: _Machine = "",
    channel: _Channel = "",
    every: _All = False,
    form: options.FormatOption = options.Format.TEXT,
) -> int:
    """Say what changed between two states, member by member: in shop words, with cycle times."""
    from gemel.shop.compare_revisions import Asked, compare_revisions  # noqa: PLC0415 # heavy
    from gemel.shop.layout import find_shop  # noqa: PLC0415 # heavy

    found = compare_revisions(find_shop(Path.cwd()), Asked(first, tuple(words or ()), machine, channel))
    if form is options.Format.JSON:
        import json  # noqa: PLC0415 # needed by this form alone

        from gemel.shop.compare_rows import as_object  # noqa: PLC0415 # heavy

        say(json.dumps(as_object(found), indent=2))
    else:
        _say(found, every=every)
    if found.findings:
        say_findings(found.findings)
        return UNUSABLE
    return OK if all(pair.same_meaning for pair in found.pairs) else FOUND


def _say(found: Comparison, *, every: bool) -> None:
    from gemel.shop.compare_rows import headline, program_rows, summary  # noqa: PLC0415 # heavy

    say(f"from {found.said[0]}")
    say(f"to   {found.said[1]}")
    say()
    for pair in found.pairs:
        if pair.same_bytes and not every:
            continue
        say_styled(((f"{pair.machine}  ", "dim"), (pair.title, "bold"), (headline(pair), "")))
        for program in pair.programs:
            for row in program_rows(program, single=every):
                say(row)
    say(summary(found))
