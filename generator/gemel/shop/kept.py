"""Kept edits carried into a pair that has just been written from its family."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

from gemel.edits import codes
from gemel.edits.model import Verb
from gemel.edits.normal import normalise
from gemel.edits.records import standing
from gemel.edits.replay import replay
from gemel.edits.sections import mapped_outline
from gemel.edits.spelling import Speller
from gemel.findings import Findings, Label, Span
from gemel.history import PairName, read_repository
from gemel.history.baselines import known_baselines, load_baseline
from gemel.machines.dialect import dialect_of
from gemel.writing import stamp_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from pathlib import Path

    from gemel.edits.model import KeptEdit, Stranded
    from gemel.edits.records import Record
    from gemel.edits.replay import Replayed
    from gemel.findings import Finding
    from gemel.history.baselines import Known
    from gemel.machines.schema import Machine
    from gemel.shop.pipeline import Rendered

__all__ = ["Carried", "carry", "titles_of", "told"]


@dataclass(frozen=True, slots=True)
class Carried:
    """A pair with its kept edits in it.

    Attributes:
        texts: program by file name.
        stamp: that they bear.
        programs: by file name where each line comes from, and which edits are in it.
        records: the kept edits by id.
    """

    texts: Mapping[str, bytes]
    stamp: str
    programs: Mapping[str, Replayed]
    records: Mapping[str, Record]


def carry(root: Path, made: Rendered, machine: Machine, records: Iterable[Record]) -> Carried | None:
    """The kept edits of this pair set into its programs; None where none is kept.

    Args:
        root: the shop.
        made: the pair as the family gives it.
        machine: that it is written for.
        records: all decisions of the family.

    Raises:
        Findings: `edit:stranded` for each edit that cannot be set in, with both sides.
    """
    name = PairName(machine.machine, str(made.part.family), str(made.part.member))
    kept = {
        record.edit.id: record
        for record in standing(records, name.member, name.machine).values()
        if record.verb is Verb.KEEP
    }
    if not kept:
        return None
    edits = [record.edit for record in kept.values()]
    bases = _bases(root, name, {edit.baseline for edit in edits if edit.baseline})
    programs = {
        file: replay(
            made.texts[file],
            made.channels[file].map,
            Speller(dialect_of(machine, channel)),
            edits,
            {stamp: texts[file] for stamp, texts in bases.items() if file in texts},
        )
        for file, channel in made.names.items()
    }
    stranded = [(file, one) for file, program in programs.items() for one in program.stranded]
    if stranded:
        raise Findings([_finding(name, kept[one.edit.id], file, one) for file, one in stranded])
    texts, stamp = _stamped({file: program.data for file, program in programs.items()}, made, machine)
    return Carried(texts, stamp, {f: replace(p, data=texts[f]) for f, p in programs.items()}, kept)


def titles_of(made: Rendered) -> dict[str, dict[str, str]]:
    """By file the id of each operation by its title in that program."""
    found: dict[str, dict[str, str]] = {}
    for file, written in made.channels.items():
        if written.map is not None:
            speller = Speller(dialect_of(made.loaded.machine, made.names[file]))
            normal = normalise(written.text.encode(made.loaded.machine.lines.encoding))
            found[file] = mapped_outline(normal, speller, written.map).titles()
    return found


def _stamped(texts: Mapping[str, bytes], made: Rendered, machine: Machine) -> tuple[dict[str, bytes], str]:
    """The programs with the stamp of what is in them now; the stamp stands in their headers, once each."""
    encoding = machine.lines.encoding
    stamp = stamp_of({made.names[file]: data.decode(encoding) for file, data in texts.items()}, machine)
    old, new = made.stamp.encode(), stamp.encode()
    return {file: data.replace(old, new, 1) for file, data in texts.items()}, stamp


def _finding(name: PairName, record: Record, file: str, stranded: Stranded) -> Finding:
    edit = record.edit
    where = ", ".join(p for p in (edit.anchor.channel, f"stage {edit.anchor.stage}", edit.anchor.operation) if p)
    cause = f"{name.family}/{name.member}, {where}: {told(record)}; it finds no place now: {stranded.reason}"
    program = Span(f"{file} as it would be written", stranded.line or 0)
    now = Label(program, stranded.ours, f"now: {stranded.ours}" if stranded.ours else "gone from here")
    return codes.STRANDED.found(cause, Label(Span(f"families/{name.family}.edits.yaml"), edit.id), now)


def told(record: Record) -> str:
    """A kept edit in one sentence: what, by whom, when, why."""
    edit = record.edit
    return f"edit {edit.id}, {_change(edit)}, kept by {edit.by} on {edit.when}: {edit.why}"


def _change(edit: KeptEdit) -> str:
    old, new = (text.replace("\n", " / ") for text in (edit.old, edit.new))
    if not old or not new:
        return f"`{new}` put in" if new else f"`{old}` taken out"
    return f"`{old}` moved" if old == new else f"`{old}` to `{new}`"


def _bases(root: Path, name: PairName, stamps: set[str]) -> dict[str, Mapping[str, bytes]]:
    """By stamp the programs that edits were found against, as far as they can still be read."""
    try:
        repository = read_repository(root)
    except Findings:
        return {}  # without git only blocks that stand once in their operation are found
    found: dict[str, Mapping[str, bytes]] = {}
    for known in _known(root, repository.tip()):
        if known.name == name and not stamps.isdisjoint(known.stamps):
            try:
                texts = load_baseline(root, repository, known).texts
            except Findings:
                continue
            found |= dict.fromkeys(known.stamps & stamps - found.keys(), texts)
    return found


@lru_cache(maxsize=2)
def _known(root: Path, tip: str) -> tuple[Known, ...]:
    """Every baseline that git remembers; asked once for all pairs, since the answer is the same while `tip` stands."""
    del tip
    return tuple(known_baselines(root, read_repository(root))[0])
