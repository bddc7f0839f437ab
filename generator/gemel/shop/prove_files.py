"""Prove programs given as files, or every pair of the shop."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from gemel.findings import Findings, Label, Span
from gemel.history import PairName, Record, read_pair
from gemel.history.record import RECORD
from gemel.proving import Verdict, prove
from gemel.shop import codes, prove_codes
from gemel.shop.layout import Shop
from gemel.shop.machine_file import machine_of
from gemel.shop.program_files import LARGEST_PROGRAM, looks_binary, misfit, programs_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from gemel.cutting.facts import CuttingFacts
    from gemel.findings import Finding
    from gemel.machines.schema import Machine

__all__ = [
    "LARGEST_PROGRAM",
    "Proved",
    "looks_binary",
    "machine_of",
    "only_machine",
    "other_machines",
    "pair_names",
    "programs_of",
    "prove_files",
    "prove_stored",
    "stored_programs",
]


@dataclass(frozen=True, slots=True)
class Proved:
    """What proving one pair gave.

    Attributes:
        name: the pair.
        programs: name and bytes of each channel's file.
        verdict: what was found.
    """

    name: str
    programs: Mapping[str, tuple[str, bytes]]
    verdict: Verdict


def only_machine(shop: Shop) -> str:
    """The machine of a shop that has one.

    Raises:
        Findings: it has several, or none.
    """
    known = shop.machine_names()
    if len(known) != 1:
        cause = "the shop has several machines, and none was named" if known else "the shop has no machine file"
        names = " or ".join(f"`--machine {machine}`" for machine in known)
        remedy = f"name it: {names}" if known else codes.NO_MACHINE.remedy
        raise Findings([codes.NO_MACHINE.found(cause, Label(Span("templates")), remedy=remedy)])
    return known[0]


def prove_files(
    machine: Machine, files: Sequence[str], cutting: CuttingFacts | None = None, others: Iterable[Machine] = ()
) -> Proved:
    """The verdict on programs given as files: one for each channel in the machine's order, then ones with subprograms.

    Args:
        machine: the machine they are for.
        files: their names.
        cutting: what is known of material and tools.
        others: more machines, asked only where this one knows few of the codes.

    Raises:
        Findings: as `programs_of`; or they are written for another machine.
    """
    programs, further = programs_of(machine, files, "gemel prove")
    finding = misfit(machine, programs, others)
    if finding is not None:
        raise Findings([finding])
    return Proved(" ".join(files), programs, prove(programs, machine, further, cutting))


def other_machines(shop: Shop, name: str) -> Iterator[Machine]:
    """The machines of a shop but one, each read when it is asked for; those whose file is at fault are left out."""
    for other in shop.machine_names():
        if other != name:
            with suppress(Findings):
                yield machine_of(shop, other)


def pair_names(shop: Shop) -> list[PairName]:
    """Every pair in `output/`, sorted by its folder; what is no pair is left out."""
    names = []
    for path in sorted((shop.root / "output").glob(f"*/*/{RECORD}")):
        machine, stem = path.parent.parent.name, path.parent.name
        record = Record.from_bytes(path.read_bytes())
        if record is not None and PairName(machine, record.family, record.member).stem == stem:
            names.append(PairName(machine, record.family, record.member))
            continue
        # A spoilt record: the name of the folder tells, so that the fault can be said.
        family = next((family for family in shop.family_names() if stem.startswith(f"{family}-")), None)
        if family is not None:
            names.append(PairName(machine, family, stem.removeprefix(f"{family}-")))
    return names


def prove_stored(task: tuple[str, PairName]) -> Proved | tuple[Finding, ...]:
    """The verdict on a pair in `output/`, or why it cannot be proved. May run in another process."""
    root, name = task
    shop = Shop(Path(root))
    try:
        machine = machine_of(shop, name.machine)
        programs = stored_programs(shop, name, machine)
    except Findings as error:
        return error.findings
    from gemel.shop.known_cuts import perhaps_known_cuts  # noqa: PLC0415 # families are read for this alone

    cutting = perhaps_known_cuts(shop, name.machine, name.family, name.member)
    return Proved(f"{name.family}/{name.member}", programs, prove(programs, machine, (), cutting))


def stored_programs(shop: Shop, name: PairName, machine: Machine) -> dict[str, tuple[str, bytes]]:
    """Name and bytes of each channel's program of a pair in `output/`.

    Raises:
        Findings: the pair cannot be read, or a channel has no program.
    """
    stored = read_pair(shop.root, name)
    texts = stored.texts if stored else {}
    programs = {
        channel: (f"{name.folder}/{file}", data)
        for channel, facts in machine.channels.items()
        for file, data in texts.items()
        if file.endswith(facts.suffix)
    }
    if len(programs) < len(machine.channels):
        cause = f"{name.folder} does not hold a program for every channel"
        raise Findings([prove_codes.TOO_FEW.found(cause, Label(Span(name.folder)))])
    return programs
