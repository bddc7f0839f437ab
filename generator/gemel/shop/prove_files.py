"""Prove programs given as files, or every pair of the shop."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from gemel.documents import compose, validate
from gemel.findings import Findings, Label, Span
from gemel.history import PairName, read_pair
from gemel.machines.dialect import dialect_of
from gemel.machines.schema import Machine
from gemel.proving import Verdict, prove
from gemel.shop import codes, prove_codes
from gemel.shop.layout import Shop, TextFile

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from gemel.cutting.facts import CuttingFacts
    from gemel.findings import Finding

__all__ = [
    "LARGEST_PROGRAM",
    "Proved",
    "looks_binary",
    "machine_of",
    "only_machine",
    "pair_names",
    "programs_of",
    "prove_files",
    "prove_stored",
    "stored_programs",
]

LARGEST_PROGRAM = 40_000_000
"""Bytes of the largest program that is read; a posted program of 200,000 blocks has nine million."""

_T_WORD = re.compile(rb"(?<![A-Za-z])[Tt]\s*([0-9]{1,8})")
_SAMPLE = 65_536


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


def machine_of(shop: Shop, name: str) -> Machine:
    """The machine of that name. The layers that write programs are not needed for it, and not imported.

    Raises:
        Findings: there is none, or every fault of its file.
    """
    return _machine(shop.machine(name)["machine.yaml"])


@lru_cache(maxsize=4)
def _machine(file: TextFile) -> Machine:
    """The machine of this very text; each process reads it once for all pairs."""
    return validate(Machine, compose(file.text, file.name))


def only_machine(shop: Shop) -> str:
    """The machine of a shop that has one.

    Raises:
        Findings: it has several, or none.
    """
    known = shop.machine_names()
    if len(known) != 1:
        cause = "the shop has several machines, and none was named" if known else "the shop has no machine file"
        remedy = f"name it: `--machine {known[0]}`" if known else codes.NO_MACHINE.remedy
        raise Findings([codes.NO_MACHINE.found(cause, Label(Span("templates")), remedy=remedy)])
    return known[0]


def prove_files(machine: Machine, files: Sequence[str], cutting: CuttingFacts | None = None) -> Proved:
    """The verdict on programs given as files: one for each channel in the machine's order, then ones with subprograms.

    `cutting` is what is known of material and tools.

    Raises:
        Findings: as `programs_of`.
    """
    programs, further = programs_of(machine, files, "gemel prove")
    return Proved(" ".join(files), programs, prove(programs, machine, further, cutting))


def programs_of(
    machine: Machine, files: Sequence[str], command: str
) -> tuple[dict[str, tuple[str, bytes]], list[tuple[str, bytes]]]:
    """Name and bytes of each channel's program, and of the further files; `command` is named where files are missing.

    Raises:
        Findings: a file is missing, a folder, too large, no text, given twice, or another channel's.
    """
    channels = list(machine.channels)
    found: list[Finding] = []
    read: list[tuple[str, bytes]] = []
    for name in files:
        try:
            read.append((name, _bytes(Path(name), name)))
        except Findings as error:
            found.extend(error.findings)
    if len(files) < len(channels):
        cause = f"{len(files)} files for {len(channels)} channels: {', '.join(channels)}"
        found.append(prove_codes.TOO_FEW.found(cause, Label(Span(command))))
    if found:
        raise Findings(found)
    programs = dict(zip(channels, read, strict=False))
    found = [*_doubles(programs), *_strangers(programs, machine)]
    if found:
        raise Findings(found)
    return programs, read[len(channels) :]


def _bytes(path: Path, name: str) -> bytes:
    """The bytes of a program.

    Raises:
        Findings: there is no such file, or it is no program.
    """
    if path.is_dir() or not path.exists():
        cause = f"{name} is a folder" if path.is_dir() else f"{name} is not there"
        raise Findings([codes.NO_FILE.found(cause, Label(Span(name)))])
    # The size is asked first: a file of a gigabyte is refused without being read.
    size = path.stat().st_size
    if size > LARGEST_PROGRAM:
        cause = f"{name} has {size:,} bytes; gemel reads programs of up to {LARGEST_PROGRAM:,}"
        raise Findings([prove_codes.TOO_LARGE.found(cause, Label(Span(name)))])
    data = path.read_bytes()
    if looks_binary(data):
        raise Findings([prove_codes.NOT_A_PROGRAM.found(f"{name} is no text", Label(Span(name)))])
    return data


def looks_binary(data: bytes) -> bool:
    """Whether more than a tenth of the bytes are control characters; NUL and DEL are leader on a punched tape."""
    sample = data[:_SAMPLE]
    strange = sum(1 for b in sample if b & 0x7F < 32 and b & 0x7F not in (0, 9, 10, 11, 12, 13, 17, 18, 19, 20, 26))
    letters = sum(1 for b in sample if 32 <= b & 0x7F < 127)
    return bool(sample) and (strange * 10 > len(sample) or letters * 4 < len(sample))


def _doubles(programs: Mapping[str, tuple[str, bytes]]) -> list[Finding]:
    first: dict[Path, str] = {}
    found = []
    for channel, (name, _) in programs.items():
        place = Path(name).resolve()
        if place in first:
            cause = f"{name} is given for {first[place]} and for {channel}"
            found.append(prove_codes.SAME_FILE.found(cause, Label(Span(name))))
        first.setdefault(place, channel)
    return found


def _strangers(programs: Mapping[str, tuple[str, bytes]], machine: Machine) -> list[Finding]:
    """Files that look like another channel's program: by the end of their name, else by the tools they call."""
    found = []
    for channel, (name, data) in programs.items():
        looks = _looks_like(name, data, machine)
        if looks not in {None, channel}:
            cause = f"{name} is given for {channel}, but this looks like the {looks} program"
            found.append(prove_codes.WRONG_CHANNEL.found(cause, Label(Span(name))))
    return found


def _looks_like(name: str, data: bytes, machine: Machine) -> str | None:
    """The channel whose program this is, None where nothing speaks for one alone."""
    by_name = [c for c, facts in machine.channels.items() if name.endswith(facts.suffix)]
    if len(by_name) == 1:
        return by_name[0]
    calls = {int(m.group(1)) for m in _T_WORD.finditer(data)}
    able = []
    for channel in machine.channels:
        dialect = dialect_of(machine, channel)
        if any(call // dialect.tool_divisor in dialect.tools for call in calls):
            able.append(channel)
    return able[0] if len(able) == 1 else None


def pair_names(shop: Shop) -> list[PairName]:
    """Every pair in `output/`, sorted by its folder; what is no pair is left out."""
    names = []
    for record in sorted((shop.root / "output").glob("*/*/record.json")):
        machine, stem = record.parent.parent.name, record.parent.name
        for family in shop.family_names():
            if stem.startswith(f"{family}-"):
                names.append(PairName(machine, family, stem.removeprefix(f"{family}-")))
                break
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
