"""Decide about edits from the control: into the family, kept, or dropped; on record, with name and reason."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from gemel.edits.keeping import Circumstances, kept_edit
from gemel.edits.model import Verb
from gemel.edits.records import Record, append_records, read_records
from gemel.findings import Findings, Label, Span, printable
from gemel.history import hold_shop, read_repository
from gemel.history.files import raw_file, replace_file
from gemel.history.git import blob_id
from gemel.shop import decide_codes as codes
from gemel.shop.edited import edited_pair
from gemel.shop.inputs import load_machine_of
from gemel.shop.release import named_pair
from gemel.shop.tracing import Tracer

if TYPE_CHECKING:
    from collections.abc import Sequence

    from gemel.edits.model import Edit
    from gemel.findings import Finding
    from gemel.history import PairName, Repository
    from gemel.shop.edited import EditedPair
    from gemel.shop.layout import Shop
    from gemel.shop.tracing import Proposal

__all__ = ["Decided", "Wish", "decide", "open_pair"]


@dataclass(frozen=True, slots=True)
class Wish:
    """What is wanted.

    Attributes:
        pair: `FAMILY/MEMBER`.
        machine: whose control; the only one the pair is written for when left out.
        edits: ids, or as many digits of each as it takes; empty for all that are undecided.
        verb: what becomes of them.
        by, why: who decides, and the reason.
        on: day, ISO 8601.
        candidate: which of the values that explain an edit, from 1.
        alike: the undecided edits of which the same is said are meant too.
    """

    pair: str
    machine: str | None
    edits: tuple[str, ...]
    verb: Verb
    by: str
    why: str
    on: str
    candidate: int = 1
    alike: bool = False


@dataclass(frozen=True, slots=True)
class Decided:
    """What was decided.

    Attributes:
        pair: which pair.
        records: in the order of the edits; into the family, one decision may cover more edits than were named.
        files: what was changed, relative to the shop.
        commit: that holds it; empty where nothing was committed.
        uncommitted: files that somebody was at work on, and that were changed but not committed.
        undecided: how many edits of the pair are left.
    """

    pair: PairName
    records: tuple[Record, ...]
    files: tuple[str, ...]
    commit: str
    uncommitted: tuple[str, ...]
    undecided: int


def open_pair(shop: Shop, pair: str, machine: str | None) -> EditedPair:
    """The latest copy of a pair, compared.

    Raises:
        Findings: `decide:no-copy`, `release:no-pair`, `release:which-machine`, faults of files.
    """
    name = named_pair(shop, pair, machine)
    found = edited_pair(shop, read_repository(shop.root), load_machine_of(shop, name.machine), name)
    if found is None:
        cause = f"no copy of {pair} ever came back from {name.machine}"
        raise Findings([codes.NO_COPY.found(cause, Label(Span(f"at-control/{name.machine}")))])
    return found


def decide(shop: Shop, wish: Wish) -> Decided:
    """Put decisions on record and, into the family, change the value; commit both.

    Raises:
        Findings: `decide:` faults, or what else is wrong; nothing was changed.
        OSError: the disk; each file is the old one or the new one.
    """
    _require_person(wish)
    repository = read_repository(shop.root)
    with hold_shop(shop.root, "deciding about edits"):
        repository.check_ready()
        found = open_pair(shop, wish.pair, wish.machine)
        edits = _meant(found, wish)
        records, changes = _records(shop, found, edits, wish)
        files = _texts(shop, found.name, records, changes)
        committable = {name: data for name, data in files.items() if _is_ours(shop, repository, name)}
        for name, data in files.items():
            replace_file(shop.root, name, data)
        commit = repository.commit(committable, (), _message(found.name, records)) if committable else None
        left = {edit.id for edit in found.undecided} - {record.edit.id for record in records}
        rest = tuple(name for name in files if name not in committable)
        return Decided(found.name, tuple(records), tuple(files), commit or "", rest, len(left))


def _require_person(wish: Wish) -> None:
    label = Label(Span("gemel decide"))
    found = []
    if not wish.by.strip() or not wish.why.strip():
        found.append(codes.NOBODY.found("a decision needs a name and a reason", label))
    try:
        date.fromisoformat(wish.on)
    except ValueError:
        found.append(codes.NOBODY.found(f"`{printable(wish.on)}` is no day; write it as 2024-03-01", label))
    if found:
        raise Findings(found)


def _meant(found: EditedPair, wish: Wish) -> list[Edit | Record]:
    """The edits that are meant; a kept edit that is in no copy any more is known by its record."""
    if not wish.edits:
        return list(found.undecided)
    known: dict[str, Edit | Record] = {**found.decided, **{edit.id: edit for edit in found.edits}}
    meant: dict[str, Edit | Record] = {}
    faults = []
    for word in wish.edits:
        fitting = [edit for edit in known if edit.startswith(word.lower())] if word else []
        if len(fitting) == 1:
            meant[fitting[0]] = known[fitting[0]]
            continue
        what = "no edit" if not fitting else f"{len(fitting)} edits"
        cause = f"{wish.pair} has {what} whose id begins with `{printable(word)}`"
        faults.append(codes.NO_EDIT.found(cause, Label(Span("gemel decide"), printable(word))))
    if faults:
        raise Findings(faults)
    if wish.alike:
        said = {edit.said for edit in meant.values()}
        meant |= {edit.id: edit for edit in found.undecided if edit.said in said}
    return list(meant.values())


def _records(
    shop: Shop, found: EditedPair, edits: Sequence[Edit | Record], wish: Wish
) -> tuple[list[Record], list[Proposal]]:
    """A record for each edit, and the values to change."""
    if wish.verb is not Verb.INTO_FAMILY:
        return [_record(found, edit, wish) for edit in edits], []
    tracer = Tracer(shop, found)
    records: dict[str, Record] = {}
    proposals: list[Proposal] = []
    faults: list[Finding] = []
    by_id = {edit.id: edit for edit in found.edits}
    for edit in edits:
        if isinstance(edit, Record) or edit.id in records:
            continue
        if edit.id in tracer.settled:
            records[edit.id] = _record(found, edit, wish, ("the family says so already",))
            continue
        try:
            proposal = _proposal(tracer, edit, wish)
        except Findings as error:
            faults.extend(error.findings)
            continue
        proposals.append(proposal)
        for other in proposal.explains:
            records[other] = _record(found, by_id[other], wish, (proposal.shown(),))
    if faults:
        raise Findings(faults)
    return list(records.values()), proposals


def _proposal(tracer: Tracer, edit: Edit, wish: Wish) -> Proposal:
    proposals = tracer.proposals(edit, others=False)
    label = Label(Span(wish.pair), edit.id)
    if not proposals:
        searched = " among the first guesses; there are more" if tracer.exhausted else ""
        raise Findings([codes.NO_VALUE.found(f"no value explains edit {edit.id}: {edit.said}{searched}", label)])
    if not 1 <= wish.candidate <= len(proposals):
        cause = f"edit {edit.id} is explained by {len(proposals)} values, there is no number {wish.candidate}"
        raise Findings([codes.NO_SUCH_VALUE.found(cause, label)])
    return proposals[wish.candidate - 1]


def _record(found: EditedPair, edit: Edit | Record, wish: Wish, changes: tuple[str, ...] = ()) -> Record:
    by, why = printable(wish.by.strip()), wish.why.strip()
    if isinstance(edit, Record):
        return Record(replace(edit.edit, by=by, when=wish.on, why=why), wish.verb, edit.said, changes)
    channel = found.channels[edit.anchor.channel]
    here = Circumstances(found.name.member, found.name.machine, channel.stamp, by, wish.on, why)
    return Record(kept_edit(edit, channel.baseline, here), wish.verb, edit.said, changes)


def _texts(shop: Shop, name: PairName, records: list[Record], proposals: list[Proposal]) -> dict[str, bytes]:
    """The files as they will be. Values come first: a decision is on record only when its value stands."""
    texts: dict[str, str] = {}
    # From the end of each file on, so that no place moves before its turn.
    places = sorted((p.guess for p in proposals), key=lambda g: (not g.path, g.at.line, g.at.column), reverse=True)
    for guess in places:
        file = f"families/{name.family}.yaml" if guess.path else guess.at.file
        texts[file] = guess.applied(texts.get(file) or _decoded(shop, file), file)
    kept = f"families/{name.family}.edits.yaml"
    texts[kept] = append_records(_decoded(shop, kept), name.family, records)
    read_records(texts[kept].replace("\r\n", "\n"), kept)
    return {file: text.encode() for file, text in texts.items()}


def _decoded(shop: Shop, file: str) -> str:
    """A file as it stands, line ends and all; empty where there is none."""
    return (raw_file(shop.root, file) or b"").decode("utf-8")


def _is_ours(shop: Shop, repository: Repository, name: str) -> bool:
    """Whether the file is as the last commit has it, or neither has it: nobody else's work would be committed."""
    data = raw_file(shop.root, name)
    committed = repository.tracked(name.rpartition("/")[0]).get(name)
    return committed == (None if data is None else blob_id(data, repository.zero))


def _message(name: PairName, records: list[Record]) -> str:
    verbs = sorted({record.verb.value for record in records})
    many = "1 edit" if len(records) == 1 else f"{len(records)} edits"
    head = f"{name.family} {name.member}: {many} from {name.machine}: {', '.join(verbs)}"
    rows = [f"{record.edit.id} {record.verb.value}: {record.said}" for record in records[:50]]
    first = records[0].edit if records else None
    who = [f"decided by {first.by} on {first.when}: {first.why}"] if first else []
    return "\n".join([head, "", *(printable(row) for row in (*rows, *who)), ""])
