"""One row for every pair of the shop: is it current, what runs at the control, is it proved, released, how long."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, NamedTuple

from gemel.findings import Findings
from gemel.history import PairName, Record, facts_of, look_aside, machines_aside, read_pair, read_repository
from gemel.history.received import received
from gemel.history.record import RECORD
from gemel.history.releases import releases
from gemel.history.sent import last_sent
from gemel.shop.edit_counts import NONE, EditCount, count_edits
from gemel.shop.pair_facts import FamilyFacts, Proof, derived_of, family_facts, proofs
from gemel.shop.pair_state import State, States

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.findings import Finding
    from gemel.history import IntakeFacts, Repository, StoredPair
    from gemel.history.derived import Derived
    from gemel.history.received import Received
    from gemel.history.releases import Release
    from gemel.history.sent import Sent
    from gemel.shop.layout import Shop

__all__ = ["AtControl", "PairStatus", "ShopStatus", "State", "status_of_shop"]


class AtControl(NamedTuple):
    """What came back last from the control.

    Attributes:
        facts: when, by whom.
        other: whether the copy descends from another writing than the one in `output/`.
        replaced: whether a sending has replaced it since.
    """

    facts: IntakeFacts
    other: bool
    replaced: bool


@dataclass(frozen=True, slots=True)
class PairStatus:
    """One pair.

    Attributes:
        pair: which.
        program: its number; None where nobody knows.
        drawing, revision: of the pair as it was written.
        state: how it stands to the files that it is made from.
        reasons: for `stale` the files that changed since, for `unreadable` the fault.
        at_control: the latest copy; None when none came back.
        sent: what was sent there last; None when nothing was.
        edits: how many edits of that copy are undecided, and what stands decided.
        proof: of the texts in `output/`; None without texts.
        release: the latest release; None without one.
        released: whether that release is of the texts in `output/`.
    """

    pair: PairName
    program: int | None
    drawing: str
    revision: str
    state: State
    reasons: tuple[str, ...] = ()
    at_control: AtControl | None = None
    sent: Sent | None = None
    edits: EditCount = NONE
    proof: Proof | None = None
    release: Release | None = None
    released: bool = False

    @property
    def needs(self) -> tuple[str, ...]:
        """What somebody has to do about it; empty where all is well. A missing release is not among it."""
        rows = [] if self.state is State.CURRENT else [self.state.value]
        if self.proof is not None and (self.proof.errors or self.proof.fault):
            rows.append("not proved")
        if self.edits.undecided:
            rows.append("undecided edits")
        return tuple(rows)


@dataclass(slots=True)
class ShopStatus:
    """All pairs, sorted by machine, family and the family's own order of members.

    Attributes:
        pairs: a row each.
        waiting: what came from a control and is not recognised, by machine.
        findings: what git or the disk could not tell.
    """

    pairs: list[PairStatus] = field(default_factory=list)
    waiting: dict[str, list[Received]] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)

    @property
    def needs(self) -> bool:
        """Whether anything needs somebody."""
        return any(row.needs for row in self.pairs) or any(self.waiting.values())


def status_of_shop(shop: Shop) -> ShopStatus:
    """How every pair of the shop stands. Reads only; what is worked out is remembered in git's folder.

    Raises:
        OSError: the shop cannot be read.
    """
    return _Survey(shop).run()


class _Survey:
    """One look at a shop; files are read and hashed once."""

    def __init__(self, shop: Shop) -> None:
        self.shop = shop
        self.status = ShopStatus()
        self._faults: dict[PairName, str] = {}
        self._repository: Repository | None = None
        try:
            self._repository = read_repository(shop.root)
        except Findings as error:
            self.status.findings.extend(error.findings)
        self.derived: Derived = derived_of(shop, self._repository)
        self._states = States(shop, self.derived)

    def run(self) -> ShopStatus:
        """Every row."""
        families = {name: family_facts(self.shop, name, self.derived) for name in self.shop.family_names()}
        for family, facts in families.items():
            if facts.fault:
                self.status.findings.extend(_fault_of(self.shop, family))
        names = self._names(families)
        stored = {name: self._stored(name) for name in names}
        proved = proofs(self.shop, [pair for pair in stored.values() if pair is not None], self.derived)
        copies, sent = self._at_controls(names)
        counts, faults = count_edits(self.shop, copies, names, self.derived)
        self.status.findings.extend(faults)
        released = self._releases()
        for name in names:
            row = self._row(name, stored[name], families.get(name.family))
            at_control = _at(copies.get(name), stored[name], sent.get(name))
            row = replace(row, proof=proved.get(name), edits=counts[name], at_control=at_control, sent=sent.get(name))
            self.status.pairs.append(_with_release(row, stored[name], released.get(name, [])))
        self.derived.save()
        return self.status

    def _names(self, families: Mapping[str, FamilyFacts]) -> list[PairName]:
        """Every pair that is described, in the families' order, then those that only stand in `output/`."""
        described = [PairName(f.machine, name, member) for name, f in families.items() for member in f.members]
        written = []
        for path in sorted((self.shop.root / "output").glob(f"*/*/{RECORD}")):
            record = Record.from_bytes(path.read_bytes()) if not path.parent.name.startswith(".") else None
            if record is not None:
                written.append(PairName(record.machine, record.family, record.member))
        names = list(dict.fromkeys([*described, *written]))
        return sorted(names, key=lambda name: (name.machine, name.family))

    def _stored(self, name: PairName) -> StoredPair | None:
        """The pair as it stands; None where there is none, or it cannot be read."""
        try:
            return read_pair(self.shop.root, name)
        except Findings as error:
            self._faults[name] = error.findings[0].cause
            return None

    def _row(self, name: PairName, stored: StoredPair | None, family: FamilyFacts | None) -> PairStatus:
        number = family.members.get(name.member) if family else None
        if stored is None:
            fault = self._faults.get(name, "")
            state = State.UNREADABLE if fault else State.NOT_WRITTEN
            about = (family.drawing, family.revision) if family else ("", "")
            return PairStatus(name, number, *about, state, (fault,) if fault else ())
        record = stored.record
        state, reasons = self._states.of(stored, family)
        return PairStatus(name, record.program, record.drawing, record.revision, state, reasons)

    def _at_controls(self, names: list[PairName]) -> tuple[dict[PairName, IntakeFacts], dict[PairName, Sent]]:
        """The latest copies of all pairs from all controls, and what was sent there last."""
        found: dict[PairName, IntakeFacts] = {}
        sent: dict[PairName, Sent] = {}
        for machine in self._machines_aside():
            try:
                assert self._repository is not None, "something came from a control, so there is one"
                side = look_aside(self._repository, machine)
                self.status.findings.extend(side.findings)
                found |= facts_of(side)
                sent |= last_sent(side, (name for name in names if name.machine == machine))
                self.status.waiting[machine] = received(side)
            except Findings as error:
                self.status.findings.extend(error.findings)
        return found, sent

    def _machines_aside(self) -> list[str]:
        if self._repository is None:
            return []
        try:
            return machines_aside(self._repository)
        except Findings as error:
            self.status.findings.extend(error.findings)
            return []

    def _releases(self) -> dict[PairName, list[Release]]:
        found: dict[PairName, list[Release]] = {}
        try:
            for release in releases(self._repository) if self._repository else ():
                found.setdefault(release.pair, []).append(release)
        except Findings as error:
            self.status.findings.extend(error.findings)
        return found


def _fault_of(shop: Shop, name: str) -> tuple[Finding, ...]:
    """The findings of a family's file that cannot be read."""
    from gemel.documents import compose  # noqa: PLC0415 # heavy, and only for a file with a fault

    try:
        file = shop.family(name)
        compose(file.text, file.name)
    except Findings as error:
        return error.findings
    return ()


def _at(facts: IntakeFacts | None, stored: StoredPair | None, sent: Sent | None) -> AtControl | None:
    """The latest copy, held against the writing in `output/`."""
    if facts is None:
        return None
    stamps = set(stored.record.stamp.values()) if stored is not None else set()
    replaced = sent is not None and sent.sent_at > facts.taken_at
    return AtControl(facts, any(given.stamp not in stamps for given in facts.given.values()), replaced)


def _with_release(row: PairStatus, stored: StoredPair | None, released: list[Release]) -> PairStatus:
    """The row with the latest release of the texts in `output/`, else the latest of any."""
    texts = dict(stored.record.texts) if stored is not None else {}
    same = [release for release in released if release.texts == texts]
    if not released:
        return row
    return replace(row, release=(same or released)[-1], released=bool(same) and row.state is not State.EDITED)
