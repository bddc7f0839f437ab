"""What two states of the shop differ in, pair by pair: named changes, cycle time, pairs that came or went."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from gemel.edits.meaning import Meaning, Text, meaning
from gemel.findings import Finding, Findings, Label, Span, did_you_mean, printable
from gemel.history import PairName, read_repository
from gemel.history.derived import Derived
from gemel.machines.dialect import dialect_of
from gemel.shop import compare_codes as codes
from gemel.shop.compare_files import compare_files
from gemel.shop.pair_facts import derived_of
from gemel.shop.periods import Periods
from gemel.shop.revisions import revision
from gemel.shop.states import Machines, State, states_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from gemel.history import Record
    from gemel.shop.layout import Shop
    from gemel.shop.periods import Period
    from gemel.shop.revisions import Revision

__all__ = ["Asked", "ComparedPair", "ComparedProgram", "Comparison", "compare_revisions"]


class Asked(NamedTuple):
    """What is wanted.

    Attributes:
        first: the first state.
        words: perhaps the second one, and the pairs that are meant.
        machine: pairs for this machine only; of two files the machine.
        channel: of two files the channel.
    """

    first: str
    words: tuple[str, ...] = ()
    machine: str = ""
    channel: str = ""


class ComparedProgram(NamedTuple):
    """One program in both states: whose it is, and what differs; None where only one state has it."""

    channel: str
    found: Meaning | None


@dataclass(frozen=True, slots=True)
class ComparedPair:
    """One pair in both states, or two files.

    Attributes:
        title: `family/member`, or the names of the files.
        machine: which.
        name: the pair; None for two files.
        what: `compared`, `added`, `removed`.
        programs: in the machine file's order.
        records: of both states; None where a state has none.
        periods: what a part takes in both states; None where a program is missing, or nothing has changed.
    """

    title: str
    machine: str
    name: PairName | None
    what: str
    programs: tuple[ComparedProgram, ...] = ()
    records: tuple[Record | None, Record | None] = (None, None)
    periods: tuple[Period | None, Period | None] = (None, None)

    @property
    def same_meaning(self) -> bool:
        """Whether the machine would do the same."""
        return self.what == "compared" and all(p.found is not None and not p.found.changes for p in self.programs)

    @property
    def same_bytes(self) -> bool:
        """Whether nothing differs at all."""
        return self.what == "compared" and all(p.found == Meaning() for p in self.programs)


@dataclass(slots=True)
class Comparison:
    """Two states of the shop.

    Attributes:
        said: what the two states are.
        pairs: those of both, sorted by name.
        findings: what could not be compared.
    """

    said: tuple[str, str]
    pairs: list[ComparedPair] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)


def compare_revisions(shop: Shop, asked: Asked) -> Comparison:
    """What the second state differs in from the first; without a second one, what stands in `output/`.

    Raises:
        Findings: `compare:` faults of what was asked; git's own.
        OSError: the system does not let a file be read.
    """
    before, rest, second = revision(shop, asked.first), list(asked.words), None
    if rest and not _is_pair(shop, rest[0], before):
        second, *rest = rest
    after = revision(shop, second)
    if before.single and after.single and not rest:
        return _two_files(shop, before, after, asked)
    if asked.channel:
        cause = f"the channel {printable(asked.channel)} was named, and what is compared is no two programs"
        remedy = "leave `--channel` out, or name two programs"
        raise Findings([codes.CHANNEL.found(cause, Label(Span("gemel compare"), "--channel"), remedy=remedy)])
    found = Comparison((before.said, after.said), findings=[*before.findings, *after.findings])
    machines = Machines(shop)
    one, other = states_of(shop, (before, after), machines, found.findings)
    names = _chosen(rest, one.keys() | other.keys(), asked.machine)
    derived = _derived(shop)
    work = _Work(machines, Periods(shop, derived))
    for name in names:
        pair = work.pair(name, one.get(name), other.get(name))
        if pair is not None and not _left_out(pair, before, after):
            found.pairs.append(pair)
    derived.save()
    return found


def _is_pair(shop: Shop, word: str, state: Revision) -> bool:
    """Whether a word names a family or a pair, and no second state."""
    families = {name.family for name in state.pairs} | set(shop.family_names())
    return word in families or (word.partition("/")[0] in families and word.count("/") == 1)


def _left_out(pair: ComparedPair, before: Revision, after: Revision) -> bool:
    """Whether a pair is in one state only because the other is some loose programs."""
    return (pair.what == "added" and bool(before.loose)) or (pair.what == "removed" and bool(after.loose))


def _derived(shop: Shop) -> Derived:
    try:
        return derived_of(shop, read_repository(shop.root))
    except Findings:
        # Folders and files are compared without git too; nothing is remembered then.
        return Derived()


def _two_files(shop: Shop, before: Revision, after: Revision, asked: Asked) -> Comparison:
    [one], [other] = before.loose, after.loose
    use = compare_files(shop, (one, other), asked.machine, asked.channel)
    dialect = dialect_of(use.machine, use.channel)
    differs = meaning(Text(one.data, use.titles), Text(other.data, use.titles), dialect)
    title = " and ".join(dict.fromkeys(printable(Path(file.name).name) for file in (one, other)))
    pair = ComparedPair(title, use.machine.machine, None, "compared", (ComparedProgram(use.channel, differs),))
    return Comparison((before.said, after.said), [pair])


def _chosen(words: Iterable[str], names: Iterable[PairName], machine: str) -> list[PairName]:
    """The pairs that words mean, sorted; all without one.

    Raises:
        Findings: `compare:no-pair`.
    """
    every = list(names)
    known = sorted(name for name in every if machine in {"", name.machine})
    if machine and not known:
        label = Label(Span("gemel compare"), printable(machine))
        remedy = did_you_mean(machine, {name.machine for name in every}) if every else codes.NO_PAIR.remedy
        cause = f"neither state holds a pair for a machine `{printable(machine)}`"
        raise Findings([codes.NO_PAIR.found(cause, label, remedy=remedy)])
    wanted: set[PairName] = set()
    faults = []
    for word in words:
        meant = {name for name in known if word in {name.family, f"{name.family}/{name.member}"}}
        if not meant:
            near = {name.family for name in known} | {f"{name.family}/{name.member}" for name in known}
            cause = f"neither state holds a pair of `{printable(word)}`{f' for {machine}' if machine else ''}"
            remedy = did_you_mean(word, near) if near else codes.NO_PAIR.remedy
            label = Label(Span("gemel compare"), printable(word))
            faults.append(codes.NO_PAIR.found(cause, label, remedy=remedy))
        wanted |= meant
    if faults:
        raise Findings(faults)
    return sorted(wanted) or known


class _Work(NamedTuple):
    """Compares pairs."""

    machines: Machines
    periods: Periods

    def pair(self, name: PairName, before: State | None, after: State | None) -> ComparedPair | None:
        """One pair of two states."""
        machine = self.machines.get(name.machine)
        if machine is None:
            return None
        title = f"{name.family}/{name.member}"
        records = (before.record if before else None, after.record if after else None)
        if before is None or after is None:
            what = "removed" if after is None else "added"
            periods = (self._period(name, before), self._period(name, after))
            return ComparedPair(title, name.machine, name, what, (), records, periods)
        programs = []
        for channel in machine.channels:
            one, other = before.programs.get(channel), after.programs.get(channel)
            if one and other:
                found = meaning(one, other, dialect_of(machine, channel))
                programs.append(ComparedProgram(channel, found))
            elif (one and not after.partial) or (other and not before.partial):
                programs.append(ComparedProgram(channel, None))
        pair = ComparedPair(title, name.machine, name, "compared", tuple(programs), records)
        if pair.same_meaning:
            return pair
        filled = before.filled(after), after.filled(before)
        periods = (self._period(name, filled[0]), self._period(name, filled[1]))
        return ComparedPair(title, name.machine, name, "compared", tuple(programs), records, periods)

    def _period(self, name: PairName, state: State | None) -> Period | None:
        machine = self.machines.get(name.machine)
        if state is None or machine is None:
            return None
        return self.periods.of(machine, {channel: text.data for channel, text in state.programs.items()})
