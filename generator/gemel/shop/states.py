"""The pairs of a state by channel: those with a record, and loose programs put to the pair that they are of."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from gemel.edits.meaning import Text
from gemel.findings import Findings, Label, Span, printable
from gemel.shop import compare_codes as codes
from gemel.shop.loose_programs import Known, channel_of, whose
from gemel.shop.machine_file import machine_of
from gemel.shop.revisions import revision

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.findings import Finding
    from gemel.history import PairName, Record
    from gemel.machines.schema import Machine
    from gemel.shop.layout import Shop
    from gemel.shop.revisions import Held, Revision

__all__ = ["Machines", "State", "standing_pairs", "states_of"]


@dataclass(frozen=True, slots=True)
class State:
    """A pair in one state.

    Attributes:
        record: what gemel wrote down with it; None for loose programs that bear no stamp of it.
        programs: by channel.
        partial: whether these are loose programs; a channel without one is not missing.
    """

    record: Record | None
    programs: Mapping[str, Text]
    partial: bool = False

    def filled(self, other: State) -> State:
        """The same with the other state's programs where loose programs are not all."""
        return replace(self, programs={**other.programs, **self.programs}) if self.partial else self


class Machines:
    """The machine files of a shop as they are today, each read when it is asked for."""

    def __init__(self, shop: Shop) -> None:
        self._shop = shop
        self._known: dict[str, Machine | None] = {}
        self.findings: list[Finding] = []

    def get(self, name: str) -> Machine | None:
        """A machine; None, and a finding, where there is none."""
        if name not in self._known:
            self._known[name] = None
            try:
                self._known[name] = machine_of(self._shop, name)
            except Findings as error:
                self.findings.extend(error.findings)
        return self._known[name]


def states_of(
    shop: Shop, revisions: tuple[Revision, Revision], machines: Machines, faults: list[Finding]
) -> tuple[dict[PairName, State], dict[PairName, State]]:
    """The pairs of both states. What cannot be told of them is added to `faults`."""
    known = [_known(one, machines, faults) for one in revisions]
    # Loose programs are of pairs of the other state; of those in `output/` where that has none either.
    reference = known[0] or known[1] or standing_pairs(shop)
    found = []
    for one, pairs in zip(revisions, known, strict=True):
        states = {name: State(pair.record, pair.programs) for name, pair in pairs.items()}
        found.append(states | _loose(one, reference, machines, faults))
    faults.extend(machines.findings)
    return found[0], found[1]


def standing_pairs(shop: Shop) -> dict[PairName, Known]:
    """The pairs in `output/` that can be read."""
    try:
        return _known(revision(shop, None), Machines(shop), [])
    except Findings:
        return {}


def _known(held: Revision, machines: Machines, faults: list[Finding]) -> dict[PairName, Known]:
    """The pairs with a record."""
    pairs = {}
    for name, pair in held.pairs.items():
        machine = machines.get(name.machine)
        if machine is not None:
            pairs[name] = Known(name, pair.record, _by_channel(pair, machine, faults))
    return pairs


def _by_channel(held: Held, machine: Machine, faults: list[Finding]) -> dict[str, Text]:
    titles = {channel_of(machine, file): known for file, known in held.record.titles.items()}
    programs = {}
    for file, data in held.texts.items():
        channel = channel_of(machine, file)
        if channel:
            programs[channel] = Text(data, titles.get(channel, {}))
            continue
        cause = f"{held.name.folder}/{printable(file)}: no channel of {machine.machine} has programs of such names"
        faults.append(codes.UNREADABLE.found(cause, Label(Span(held.name.folder))))
    return programs


def _loose(
    state: Revision, reference: Mapping[PairName, Known], machines: Machines, faults: list[Finding]
) -> dict[PairName, State]:
    """Loose programs by the pair that they are of."""
    files = {name: machine for name in {p.machine for p in reference} if (machine := machines.get(name)) is not None}
    programs: dict[PairName, dict[str, Text]] = {}
    for loose in state.loose:
        found = whose(loose.name, loose.data, reference.values(), files)
        if found is None:
            cause = f"{printable(loose.name)}: neither stamp, name nor number say whose program it is"
            faults.append(codes.UNRECOGNISED.found(cause, Label(Span(printable(loose.name)))))
            continue
        held = programs.setdefault(found.pair.name, {})
        if found.channel in held:
            cause = f"{printable(loose.name)} is a second {found.channel} program of {found.pair.name.stem}"
            faults.append(codes.TWICE.found(cause, Label(Span(printable(loose.name)))))
            continue
        held[found.channel] = Text(loose.data, {})
    return {name: State(_stamped(reference[name].record, held), held, partial=True) for name, held in programs.items()}


def _stamped(record: Record, programs: Mapping[str, Text]) -> Record | None:
    """The record, if the programs bear its stamp."""
    stamps = [stamp.encode() for stamp in record.stamp.values()]
    return record if all(any(stamp in text.data for stamp in stamps) for text in programs.values()) else None
