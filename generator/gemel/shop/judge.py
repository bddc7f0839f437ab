"""The edits of a pair judged: what they do to proof and time, what explains them, and in which order to look at them.

Edits that one decision settles (equal ones in one operation, or all that one value of the YAML explains) are one row.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

from gemel.edits.judging import Before, Bench, between, concerns
from gemel.edits.model import Kind
from gemel.families.cutting_facts import cutting_facts
from gemel.families.resolve import resolve
from gemel.findings import Findings, Severity, printable
from gemel.shop.inputs import checked, gather
from gemel.shop.judge_rows import Row, rows_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from gemel.cutting.facts import CuttingFacts
    from gemel.edits.judging import Change
    from gemel.history import PairName
    from gemel.machines.schema import Machine
    from gemel.proving import Fault, Verdict
    from gemel.shop.edited import EditedChannel, EditedPair
    from gemel.shop.layout import Shop
    from gemel.shop.tracing import Proposal
    from gemel.timing import Timeline

__all__ = ["Judged", "judge", "program_names"]

_MOST_TIMED = 40
"""Rows that are timed alone: about a fortieth of a second each."""
_MOST_PROVED = 60
"""Proofs in the search for the edits that bring new errors: about a twentieth of a second each."""
_NO_TIME = frozenset({Kind.COMMENT, Kind.PROGRAM_NUMBER})
_LEAST_S = 0.05


class Pass(NamedTuple):
    """Proof and time of a pair."""

    verdict: Verdict
    timeline: Timeline


@dataclass(frozen=True, slots=True)
class Judged:
    """A pair at its control, judged.

    Attributes:
        pair: what was judged.
        rows: its edits, the gravest first.
        before, after: proof and time of the baselines, and of the programs at the control.
        change: what differs in the findings.
        notes: what must be known to read all this, one sentence each.
    """

    pair: EditedPair
    rows: tuple[Row, ...]
    before: Pass
    after: Pass
    change: Change
    notes: tuple[str, ...]

    @property
    def seconds(self) -> float | None:
        """What a part takes longer at the control; None where one of both has no cycle time."""
        return _longer(self.before.timeline, self.after.timeline)

    @property
    def needs_somebody(self) -> bool:
        """Whether an edit is undecided, or the pair has an error that its baseline had not."""
        return bool(self.pair.undecided or self.change.errors)


def judge(shop: Shop, pair: EditedPair, machine: Machine, *, single: bool = False) -> Judged:
    """Judge the edits of a pair.

    Args:
        shop: where the family is.
        pair: compared.
        machine: it runs on.
        single: make every edit a row of its own.
    """
    cutting = _cutting(shop, pair.name)
    names = program_names(pair)
    channels = {
        name: Before(names[name][0], channel.copy.baseline, channel.baseline) for name, channel in pair.channels.items()
    }
    bench = Bench(machine, channels, cutting)
    copies = {name: channel.copy.text for name, channel in pair.channels.items()}
    there = Bench(machine, {n: channels[n]._replace(name=names[n][1], data=copies[n]) for n in channels}, cutting)
    before = Pass(bench.verdict(), bench.timeline())
    after = Pass(there.verdict(), there.timeline()) if pair.edits else before
    change = between(before.verdict, after.verdict, {n: c.baseline.speller for n, c in pair.channels.items()})
    proposals, notes = _traced(shop, pair)
    trial = _Trial(bench, before, change, list(pair.channels))
    rows = trial.judged(rows_of(pair, proposals, single=single))
    return Judged(pair, rows, before, after, change, (*_notes(pair, after.verdict), *notes, *trial.notes))


def _cutting(shop: Shop, name: PairName) -> CuttingFacts | None:
    """Material and tools of the member; None where the files are not in order, which writing them says."""
    try:
        # Loaded as it is for tracing: one reading of the family serves both.
        family = checked(gather(shop, name.family, name.machine)).family
        return cutting_facts(family, resolve(family, name.member)) if name.member in family.members() else None
    except Findings:
        return None


def program_names(pair: EditedPair) -> dict[str, tuple[str, str]]:
    """By channel what its program is called: as gemel wrote it, and at the control."""
    return {name: _names(name, channel) for name, channel in pair.channels.items()}


def _names(channel: str, edited: EditedChannel) -> tuple[str, str]:
    copy = edited.copy
    files = [file for file in copy.record.texts if f".{channel}." in file] or list(copy.record.texts)
    ours = next(iter(files), channel)
    return ours, printable(copy.given.file.rpartition("/")[2]) if copy.given else ours


def _traced(shop: Shop, pair: EditedPair) -> tuple[dict[str, tuple[Proposal, ...]], list[str]]:
    """What explains each undecided edit, by its id, and what to know about that."""
    if not any(edit.old and edit.new for edit in pair.undecided):
        return {}, []
    from gemel.shop.tracing import Tracer  # noqa: PLC0415 # heavy, and of no use where only blocks came or went

    try:
        tracer = Tracer(shop, pair)
    except Findings as error:
        why = error.findings[0].cause
        return {}, [f"no value of the YAML is looked for: the family cannot be written as it stands ({why})"]
    found = {edit.id: tracer.proposals(edit) for edit in pair.undecided}
    said = "not every value was tried: edits without a proposal may have one; decide some, and ask again"
    return found, [said] if tracer.exhausted else []


def _notes(pair: EditedPair, after: Verdict) -> list[str]:
    found = []
    if pair.intake.mixed:
        stamps = ", ".join(f"{name} from {channel.stamp or '?'}" for name, channel in pair.channels.items())
        found.append(f"the channels descend from different writings ({stamps}): these were never proved together")
    absent = [name for name, channel in pair.channels.items() if channel.copy.copy is None]
    if absent:
        found.append(f"no copy of {', '.join(absent)} came back: its baseline is taken to stand at the control")
    if after.checked != "all":
        found.append(f"the proof of the copy goes only {after.checked}")
    return found


def _longer(before: Timeline, after: Timeline) -> float | None:
    if before.period_s is None or after.period_s is None:
        return None
    return after.period_s - before.period_s


class _Trial:
    """Tries rows alone on the baseline."""

    def __init__(self, bench: Bench, before: Pass, change: Change, channels: Sequence[str]) -> None:
        self._bench, self._before, self._change = bench, before, change
        self._channels = {name: rank for rank, name in enumerate(channels)}
        self._wanted: list[Fault] = []
        self._proofs = 0
        self.notes: list[str] = []

    def judged(self, rows: Iterable[Row]) -> tuple[Row, ...]:
        """The rows with what they bring, the gravest first."""
        named = sorted((replace(row, faults=self._naming(row)) for row in rows), key=self._order)
        guilty = sorted(self._guilty(named), key=self._order)
        return tuple(self._timed(guilty))

    def _order(self, row: Row) -> tuple[bool, int, int, int, int]:
        worst = min((_RANK[fault.severity] for fault in row.faults), default=len(_RANK))
        first = row.edits[0]
        line = first.where.baseline or first.where.copy or 0
        return (
            row.verb is not None,
            (-1 if row.alone else worst),
            row.kind.risk,
            self._channels[first.anchor.channel],
            line,
        )

    def _naming(self, row: Row) -> tuple[Fault, ...]:
        """New findings that name a line of the row; what may come from another finding accuses nobody."""
        new = (fault for fault in self._change.new if not self._change.may_follow(fault))
        return tuple(fault for fault in new if any(concerns(fault, edit) for edit in row.edits))

    def _guilty(self, rows: list[Row]) -> list[Row]:
        """The rows with the new errors that they bring without any other edit."""
        self._wanted = [fault for fault in self._change.errors if not self._change.may_follow(fault)]
        if not self._wanted:
            return rows
        brought = self._search([row for row in rows if self._bench.with_only(row.edits) is not None])
        if self._proofs >= _MOST_PROVED:
            self.notes.append(
                f"which edits bring the errors was looked for in {_MOST_PROVED} proofs; there may be more"
            )
        found = []
        for row in rows:
            mine = tuple(fault for fault in self._wanted if fault.name in brought.get(row.edits[0].id, ()))
            more = tuple(fault for fault in row.faults if fault not in mine)
            found.append(replace(row, faults=(*mine, *more), alone=bool(mine)))
        return found

    def _search(self, rows: list[Row]) -> dict[str, set[str]]:
        """By the first id of a row the codes that it brings alone: halves that bring nothing are not looked into."""
        codes = self._brought(rows)
        if not codes or len(rows) == 1:
            return {rows[0].edits[0].id: codes} if codes else {}
        half = len(rows) // 2
        return self._search(rows[:half]) | self._search(rows[half:])

    def _brought(self, rows: list[Row]) -> set[str]:
        """Codes of the pair's new errors that the baseline shows with these rows alone."""
        edits = [edit for row in rows for edit in row.edits]
        if not edits or self._proofs >= _MOST_PROVED:
            return set()
        self._proofs += 1
        spellers = {name: channel.side.speller for name, channel in self._bench.channels.items()}
        verdict = self._bench.verdict(self._bench.with_most(edits))
        codes = {fault.name for fault in between(self._before.verdict, verdict, spellers).errors}
        return codes & {fault.name for fault in self._wanted}

    def _timed(self, rows: list[Row]) -> list[Row]:
        """The rows with what they cost in time alone."""
        found, tried = [], 0
        for row in rows:
            tried += row.kind not in _NO_TIME
            can = row.kind not in _NO_TIME and tried <= _MOST_TIMED
            found.append(self._with_time(row) if can else row)
        if tried > _MOST_TIMED:
            self.notes.append(f"only the first {_MOST_TIMED} rows were timed alone")
        return found

    def _with_time(self, row: Row) -> Row:
        alone = self._bench.with_only(row.edits)
        if alone is None:
            return replace(row, time="not alone")
        longer = _longer(self._before.timeline, self._bench.timeline(alone))
        return replace(row, seconds=longer, time="hangs" if longer is None else seconds_said(longer))


_RANK = {Severity.ERROR: 0, Severity.WARNING: 1, Severity.NOTE: 2}


def seconds_said(longer: float) -> str:
    """`+4.1 s`; empty for what nobody notices."""
    return "" if abs(longer) < _LEAST_S else f"{longer:+.1f} s"
