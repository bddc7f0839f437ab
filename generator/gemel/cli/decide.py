"""`gemel decide`."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from gemel.cli import options
from gemel.cli.screen import say, say_block

if TYPE_CHECKING:
    from gemel.edits.model import Edit
    from gemel.shop.decide import Decided
    from gemel.shop.edited import EditedPair
    from gemel.shop.layout import Shop

__all__ = ["register"]

_EPILOG = """Examples:

  gemel decide port-block/35   asks about each (in a terminal)

  gemel decide port-block/35 3fa9 --into-family --by "A. S." --why chatter

  gemel decide port-block/35 3fa9 77b0 --keep --by "A. S." --why "this bar"

  gemel decide port-block/35 3fa9 --alike --keep --by "A. S." --why chatter

  gemel decide port-block/35 --all --drop --by "A. S." --why "no better"

An edit that is kept is set in again by every `gemel write`; one that goes into the family changes the value that
explains it, and no other character of the YAML. What is dropped stays on record too. Nothing that came from a control
is deleted.
Exit status: 0 done, 1 edits are left undecided (when asked about each), 2 not as asked, 3 a fault of gemel."""

_Pair = Annotated[str, typer.Argument(metavar="FAMILY/MEMBER", help="Which pair.")]
_Edits = Annotated[list[str] | None, typer.Argument(metavar="[EDIT]...", help="Ids, or their first digits.")]
_All = Annotated[bool, typer.Option("--all", help="All that are undecided.")]
_Alike = Annotated[bool, typer.Option("--alike", help="And the undecided ones of which the same is said.")]
_Keep = Annotated[bool, typer.Option("--keep", help="Carry the edit through every regeneration.")]
_Drop = Annotated[bool, typer.Option("--drop", help="The family is right; the edit goes.")]
_Family = Annotated[bool, typer.Option("--into-family", help="Change the value of the YAML that explains the edit.")]
_By = Annotated[str, typer.Option("--by", metavar="WHO", help="Who decides.")]
_Why = Annotated[str, typer.Option("--why", metavar="TEXT", help="The reason.")]
_On = Annotated[str, typer.Option("--on", metavar="DAY", help="The day, ISO 8601; today when left out.")]
_Candidate = Annotated[
    int, typer.Option("--candidate", metavar="N", min=1, help="Which of several values that explain an edit.")
]
_Machine = Annotated[str, options.machine("From whose control.")]


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(decide)


def decide(  # noqa: PLR0913 # one parameter for each option is how Typer reads them
    pair: _Pair,
    edits: _Edits = None,
    *,
    every: _All = False,
    alike: _Alike = False,
    keep: _Keep = False,
    drop: _Drop = False,
    into_family: _Family = False,
    by: _By = "",
    why: _Why = "",
    on: _On = "",
    candidate: _Candidate = 1,
    machine: _Machine = "",
) -> int:
    """Decide about edits from the control: into the family, kept, or dropped."""
    from gemel.edits.model import Verb  # noqa: PLC0415 # heavy
    from gemel.shop.decide import Wish  # noqa: PLC0415 # heavy
    from gemel.shop.decide import decide as put_on_record  # noqa: PLC0415 # heavy
    from gemel.shop.layout import find_shop  # noqa: PLC0415 # heavy

    shop = find_shop(Path.cwd())
    day = on or date.today().isoformat()  # noqa: DTZ011 # a day in the shop, not a moment
    verbs = [v for v, said in ((Verb.KEEP, keep), (Verb.DROP, drop), (Verb.INTO_FAMILY, into_family)) if said]
    if not verbs and not edits and not every and sys.stdin.isatty():
        return _ask(shop, pair, machine or None, by, day)
    if len(verbs) != 1:
        raise typer.BadParameter("say one of --keep, --drop, --into-family", param_hint="--keep")
    if bool(edits) == every:
        raise typer.BadParameter("name the edits, or say --all", param_hint="EDIT")
    wish = Wish(pair, machine or None, tuple(edits or ()), verbs[0], by, why, day, candidate, alike)
    _say_decided(put_on_record(shop, wish))
    return 0


def _say_decided(done: Decided) -> None:
    if not done.records:
        say("nothing to decide")
        return
    for (verb, said), records in _alike(done):
        more = f" and {len(records) - 1} like it" if len(records) > 1 else ""
        say_block(f"{records[0]}{more}  {verb}  {said}")
    changes = dict.fromkeys(change for record in done.records for change in record.changes)
    for change in changes:
        say_block(f"  {change}")
    say(f"on record in {', '.join(done.files)}" + (f", commit {done.commit[:12]}" if done.commit else ""))
    for name in done.uncommitted:
        say(f"  {name} holds other changes that are not committed; it was changed, and is yours to commit")
    name = f"{done.pair.family}/{done.pair.member}"
    say(f"  {done.undecided} undecided left; write the pair again: gemel write {name}")


def _alike(done: Decided) -> list[tuple[tuple[str, str], list[str]]]:
    """Ids of the edits that were decided, those together of which the same is said."""
    found: dict[tuple[str, str], list[str]] = {}
    for record in done.records:
        found.setdefault((record.verb.value, record.said), []).append(record.edit.id)
    return list(found.items())


def _ask(shop: Shop, pair: str, machine: str | None, by: str, day: str) -> int:
    """Ask about each undecided edit, and put each answer on record at once."""
    from gemel.edits.model import Verb  # noqa: PLC0415 # heavy
    from gemel.shop.decide import Wish, decide, open_pair  # noqa: PLC0415 # heavy

    found = open_pair(shop, pair, machine)
    if not found.undecided:
        say("nothing to decide")
        return 0
    who = by or typer.prompt("Who decides")
    done: set[str] = set()
    for place, edit in enumerate(found.undecided, 1):
        if edit.id in done:
            continue
        explained = _say_edit(shop, found, edit, f"{place} of {len(found.undecided)}")
        answers = {"k": Verb.KEEP, "d": Verb.DROP} | ({"f": Verb.INTO_FAMILY} if explained else {})
        answer = typer.prompt("k keep, d drop" + (", f into the family" if explained else "") + ", s skip, q stop")
        if answer == "q":
            break
        verb = answers.get(answer.strip().lower()[:1])
        if verb is None:
            continue
        decided = decide(shop, Wish(pair, machine, (edit.id,), verb, who, typer.prompt("Why"), day))
        done |= {record.edit.id for record in decided.records}
        _say_decided(decided)
    return 0 if len(done) == len(found.undecided) else 1


def _say_edit(shop: Shop, found: EditedPair, edit: Edit, place: str) -> bool:
    """Show one edit with the value that explains it; whether there is one."""
    from gemel.shop.tracing import Tracer  # noqa: PLC0415 # heavy

    say_block(f"\n{place}  {edit.id}  {edit.said}")
    say_block(f"    {edit.place}; baseline line {edit.where.baseline or '-'}, copy line {edit.where.copy or '-'}")
    for sign, text in (("-", edit.old), ("+", edit.new)):
        for row in text.splitlines():
            say_block(f"    {sign} {row}")
    tracer = Tracer(shop, found)
    proposals = tracer.proposals(edit)
    for proposal in proposals:
        others = ", ".join(f"{count} words in {member}" for member, count in proposal.others.items())
        say_block(
            f"    {proposal.shown()} explains {len(proposal.explains)}" + (f"; also changes {others}" if others else "")
        )
    return bool(proposals) or edit.id in tracer.settled
