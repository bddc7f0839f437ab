"""Release a pair: put on record who proved it out at the machine. Everything is looked at anew, nothing remembered."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from gemel.findings import Finding, Findings, Label, Severity, Span, did_you_mean, printable
from gemel.history import facts_of, look_aside, read_pair, read_repository
from gemel.history.derived import Derived
from gemel.history.git import blob_id
from gemel.history.record import RECORD, PairName
from gemel.history.releases import ProveOut, make_release
from gemel.shop import release_codes as codes
from gemel.shop.edit_counts import count_edits
from gemel.shop.pair_facts import derived_of
from gemel.shop.pair_state import State, States
from gemel.shop.prove_files import Proved, pair_names, prove_stored

if TYPE_CHECKING:
    from gemel.history import Repository, StoredPair
    from gemel.shop.layout import Shop

__all__ = ["Released", "Wish", "named_pair", "passes", "release", "undecided_edits", "whole_pair"]


@dataclass(frozen=True, slots=True)
class Wish:
    """What is wanted.

    Attributes:
        pair: `FAMILY/MEMBER`.
        machine: on which it was proved out; the only one it is written for when left out.
        by: who proved it out.
        on: ISO date of the prove-out.
        note: what else there is to say.
    """

    pair: str
    machine: str | None
    by: str
    on: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Released:
    """A new release.

    Attributes:
        pair: which pair.
        tag: its name.
        commit: that it names.
        findings: warnings.
    """

    pair: PairName
    tag: str
    commit: str
    findings: tuple[Finding, ...]


def release(shop: Shop, wish: Wish) -> Released:
    """Put a prove-out on record.

    Raises:
        Findings: `release:` faults, all that stand against it, and `git:` faults; nothing was recorded.
    """
    found = _person_faults(wish)
    pair = named_pair(shop, wish.pair, wish.machine)
    repository = read_repository(shop.root)
    stored = whole_pair(shop, pair)
    commit = _commit_of(repository, stored)
    if not commit:
        cause = f"{pair.folder} is not what the last commit of {repository.branch} holds"
        found.append(codes.NOT_COMMITTED.found(cause, Label(Span(pair.folder))))
    proof = passes(shop, pair)
    found.extend(proof)
    undecided = undecided_edits(shop, repository, pair)
    if undecided:
        cause = f"what came back of {wish.pair} from {pair.machine} holds undecided edits: {undecided}"
        found.append(codes.UNDECIDED.found(cause, Label(Span(f"at-control/{pair.machine}"))))
    if any(finding.is_error for finding in found):
        raise Findings(found)
    repository.check_identity()
    state, reasons = States(shop, derived_of(shop, repository)).now(stored)
    warnings = []
    if state is not State.CURRENT:
        cause = f"{wish.pair} is {state.value}: {', '.join(reasons)}"
        warnings.append(codes.STALE.found(cause, Label(Span(pair.folder))))
    said = f"no errors, {sum(f.severity is Severity.WARNING for f in proof)} warnings"
    prove_out = ProveOut(printable(wish.by.strip()), wish.on, printable(wish.note.strip()), said)
    tag = make_release(repository, commit, stored.record, prove_out)
    return Released(pair, tag, commit, tuple(warnings))


def _person_faults(wish: Wish) -> list[Finding]:
    label = Label(Span("gemel release"))
    found = []
    if not wish.by.strip():
        found.append(codes.NOBODY.found("nobody is named as having proved it out", label))
    try:
        late = date.fromisoformat(wish.on) > date.today()  # noqa: DTZ011 # a day at the machine, not a moment
    except ValueError:
        found.append(codes.NOBODY.found(f"`{printable(wish.on)}` is no day; write it as 2024-03-01", label))
    else:
        if late:
            found.append(codes.NOBODY.found(f"{wish.on} is in the future", label))
    return found


def named_pair(shop: Shop, name: str, machine: str | None) -> PairName:
    """The pair in `output/` of that name.

    Raises:
        Findings: `release:no-pair`, `release:which-machine`.
    """
    pairs = pair_names(shop)
    fitting = [pair for pair in pairs if f"{pair.family}/{pair.member}" == name]
    if not fitting:
        raise Findings([_no_pair(shop, name, pairs)])
    chosen = [pair for pair in fitting if machine in (None, pair.machine)]
    if len(chosen) != 1:
        machines = ", ".join(pair.machine for pair in fitting)
        cause = f"{name} is written for {machines}" + (f", not for {printable(machine)}" if machine else "")
        raise Findings([codes.WHICH_MACHINE.found(cause, Label(Span("output")))])
    return chosen[0]


def _no_pair(shop: Shop, name: str, pairs: list[PairName]) -> Finding:
    family = name.partition("/")[0]
    names = dict.fromkeys(f"{pair.family}/{pair.member}" for pair in pairs)
    members = ", ".join(f"`{one}`" for one in names if one.partition("/")[0] == name)
    remedy = codes.NO_PAIR.remedy
    if members:
        remedy = f"name a member: {members}"
    elif names and family not in shop.family_names():
        remedy = did_you_mean(name, names)
    cause = f"there is no pair {printable(name)} in output/"
    return codes.NO_PAIR.found(cause, Label(Span("output"), printable(name)), remedy=remedy)


def whole_pair(shop: Shop, pair: PairName) -> StoredPair:
    """The pair as it stands, if it is as gemel wrote it.

    Raises:
        Findings: `pair:` faults: changed by hand, a program missing, unreadable.
    """
    stored = read_pair(shop.root, pair)
    if stored is None:
        raise Findings([codes.NO_PAIR.found(f"{pair.folder} is not there", Label(Span(pair.folder)))])
    if stored.edited:
        raise Findings(stored.hand_edits())
    missing = sorted(set(stored.record.texts) - set(stored.texts))
    if missing:
        raise Findings([codes.NO_PAIR.found(f"{pair.folder}/{missing[0]} is not there", Label(Span(pair.folder)))])
    return stored


def _commit_of(repository: Repository, stored: StoredPair) -> str:
    """The commit that wrote the pair as it stands; empty when the branch's last commit holds another one."""
    held = repository.tracked(stored.name.folder)
    files = dict(stored.texts) | {RECORD: stored.raw_record}
    wanted = {f"{stored.name.folder}/{file}": blob_id(data, repository.zero) for file, data in files.items()}
    if held != wanted:
        return ""
    words = ("log", "-1", "--format=%H", repository.tip(), "--", stored.name.folder)
    return repository.run(*words).out.decode().strip()


def passes(shop: Shop, pair: PairName) -> list[Finding]:
    """What proving the pair as it stands gives, with `release:not-proved` where it has errors."""
    proved = prove_stored((str(shop.root), pair))
    if not isinstance(proved, Proved):
        return list(proved)
    findings: list[Finding] = list(proved.verdict.findings)
    if not proved.verdict.passes:
        cause = f"{pair.family}/{pair.member} does not pass the proof"
        findings.append(codes.NOT_PROVED.found(cause, Label(Span(pair.folder))))
    return findings


def undecided_edits(shop: Shop, repository: Repository, pair: PairName) -> int:
    """How many edits of the pair's latest copy nobody has decided about; counted anew.

    Raises:
        Findings: a copy or the file of decisions cannot be read.
    """
    facts = {name: one for name, one in facts_of(look_aside(repository, pair.machine)).items() if name == pair}
    counts, faults = count_edits(shop, facts, [pair], Derived())
    if faults:
        raise Findings(faults)
    return counts[pair].undecided
