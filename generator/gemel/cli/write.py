"""`gemel write`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from gemel.cli import options
from gemel.cli.interrupted import Interrupted
from gemel.cli.progress import progress
from gemel.cli.screen import say, say_block, say_findings, say_styled
from gemel.cli.status import status_of

if TYPE_CHECKING:
    from gemel.findings import Finding
    from gemel.shop.changes import TextChange
    from gemel.shop.write_pairs import Outcome, Writing

__all__ = ["register"]

_EPILOG = """Examples:

  gemel write                         every member of every family

  gemel write port-block              every member of one family

  gemel write port-block/35 valve-stem --dry-run

Nothing is written for a pair that is as it should be already. A program that was changed by hand is never overwritten.
Exit status: 0 all done, 1 a pair does not pass the proof, 2 files or words cannot be used, 3 a fault of gemel."""

_MOST_ROWS = 6

_Families = Annotated[list[str] | None, options.pairs("What to write; everything when left out.")]
_DryRun = Annotated[bool, typer.Option("--dry-run", "-n", help="Show the difference; change nothing.")]
_Machine = Annotated[str, options.machine("Write for this machine instead of the family's own.")]
_NoCommit = Annotated[bool, typer.Option("--no-commit", help="Write without git.")]
_Unproved = Annotated[
    bool, typer.Option("--unproved", help="What does not pass the proof goes to unproved/, marked, for looking at.")
]


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(write)


def write(
    families: _Families = None,
    *,
    dry_run: _DryRun = False,
    machine: _Machine = "",
    no_commit: _NoCommit = False,
    unproved: _Unproved = False,
) -> int:
    """Write the pair of programs of each member, prove it, and commit what changed."""
    from gemel.shop.layout import find_shop  # noqa: PLC0415 # heavy
    from gemel.shop.write_pairs import Order, prepare  # noqa: PLC0415 # heavy

    order = Order(tuple(families or ()), machine or None, dry_run=dry_run, commit=not no_commit, unproved=unproved)
    writing = prepare(find_shop(Path.cwd()), order)
    return _carry_out(writing)


def _carry_out(writing: Writing) -> int:
    from gemel.shop.write_pairs import Done  # noqa: PLC0415 # heavy

    counts = dict.fromkeys(Done, 0)
    findings: list[Finding] = []
    as_before: dict[str, int] = {}
    cited: dict[str, str] = {}
    with progress(writing.total) as line:
        for outcome in writing.outcomes():
            counts[outcome.done] += 1
            if outcome.as_before and not any(finding.is_error for finding in outcome.findings):
                as_before |= {outcome.name: len(outcome.findings)} if outcome.findings else {}
            else:
                findings.extend(outcome.findings)
            cited.update(outcome.cited)
            if outcome.done is not Done.UNCHANGED:
                line.clear()
                _say_outcome(outcome)
            line.step(outcome.name)
    findings.extend(writing.orphans())
    if findings:
        # What was proved may stand in no file: a refused pair leaves the old one there.
        say_findings(findings, _sources(writing, findings, cited))
    for name, number in as_before.items():
        say(f"{name} has {number} warnings, as before: gemel prove {name}")
    if counts[Done.WRITTEN]:
        for name in writing.uncommitted():
            say(f"{name} is not committed as it is now; the pairs made from it are")
    say(", ".join(f"{number} {what.value}" for what, number in counts.items() if number) or "nothing to write")
    if writing.interrupted:
        raise Interrupted(_interrupted(writing))
    return status_of(findings)


def _interrupted(writing: Writing) -> str:
    """How far it came, and what is not done."""
    left = writing.left()
    missing = left[0] if len(left) == 1 else f"{left[0]} to {left[-1]}" if left else "nothing"
    done = f"interrupted: {writing.total - len(left)} of {writing.total} pairs are done"
    return f"{done}, not {missing}; each pair is whole, and the same command does the rest"


def _say_outcome(outcome: Outcome) -> None:
    colour = {"written": "green", "refused": "red", "committed": "green"}.get(outcome.done.value, "yellow")
    where = f"  {outcome.folder}" if outcome.folder else ""
    say_styled(((f"{outcome.done.value:<12} ", colour), (outcome.name, "bold"), (where, "dim")))
    for change in outcome.changes:
        _say_change(outcome, change)
    for row in outcome.difference.splitlines():
        say_block(row)


def _say_change(outcome: Outcome, change: TextChange) -> None:
    """What changed in one program: what it means, as far as it goes on a screen, and how to see the rest."""
    from gemel.shop.compare_rows import meaning_rows  # noqa: PLC0415 # heavy

    say(f"    {change.file}: {change.shown()}")
    if change.found is None:
        return
    rows, left = meaning_rows(change.found, _MOST_ROWS)
    for row in rows:
        say(f"      {row}")
    if left:
        before = f"{outcome.commit[:10]}~1" if outcome.commit else "HEAD"
        rest = "" if outcome.difference else f": gemel compare {before} {outcome.name}"
        say(f"      and {left} more{rest}")


def _sources(writing: Writing, findings: list[Finding], cited: dict[str, str]) -> dict[str, str]:
    """The texts that the findings point into, so that the lines can be shown; those of pairs are known already."""
    from gemel.shop.layout import sources_of  # noqa: PLC0415 # heavy

    files = [f for f in findings if any(label.span.source not in cited for label in f.labels)]
    return sources_of(writing.shop, files) | cited
