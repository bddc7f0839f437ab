"""Programs given as files: read safely, one for each channel, and refused where they are for something else."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

from gemel.findings import Findings, Label, Span
from gemel.machines.dialect import dialect_of
from gemel.reading.dialect import code_key
from gemel.shop import codes, prove_codes

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from gemel.findings import Finding
    from gemel.machines.schema import Machine
    from gemel.reading.dialect import Dialect

__all__ = ["LARGEST_PROGRAM", "looks_binary", "misfit", "programs_of", "read_program"]

LARGEST_PROGRAM = 20_000_000
"""Bytes of the largest program that is read; a posted program of 200,000 blocks has nine million."""

_SAMPLE = 65_536
"""So many bytes tell what kind of file it is."""

_COMMENT = re.compile(rb"\([^()\r\n]*\)?|;[^\r\n]*")
_T_WORD = re.compile(rb"(?<![A-Za-z])[Tt][ \t]*([0-9]{1,8})")
_CODE = re.compile(rb"(?<![A-Za-z#\[])([GMgm])[ \t]*([0-9]{1,4}(?:\.[0-9])?)")

_NAME_IT = "name the text of a program that can be read"

_FITS = 0.9
"""A machine file that knows this share of the codes is taken as meant, whatever another one knows."""

_CLEARLY = 0.1
"""Another machine file must know so much more of the codes to be named instead."""


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
            read.append((name, read_program(Path(name), name)))
        except Findings as error:
            found.extend(error.findings)
    if len(files) < len(channels):
        cause = f"{len(files)} files for {len(channels)} channels: {', '.join(channels)}"
        found.append(prove_codes.TOO_FEW.found(cause, Label(Span(command))))
    if found:
        raise Findings(found)
    found = [*_doubles(read, channels), *_strangers(dict(zip(channels, read, strict=False)), machine)]
    if found:
        raise Findings(found)
    return dict(zip(channels, read, strict=False)), read[len(channels) :]


def read_program(path: Path, name: str) -> bytes:
    """The bytes of a program.

    Raises:
        Findings: there is no such file, it cannot be read, or it is no program.
    """
    label = Label(Span(name))
    try:
        if not path.is_file():
            # Pipes and devices too: they have no size, and may never end.
            is_there = path.exists()
            what = "is a folder" if path.is_dir() else "is no file" if is_there else "is not there"
            raise Findings([codes.NO_FILE.found(f"{name} {what}", label, remedy=_NAME_IT)])
        # The size is asked first: a file of a gigabyte is refused without being read.
        size = path.stat().st_size
        if size > LARGEST_PROGRAM:
            cause = f"{name} has {size:,} bytes; gemel reads programs of up to {LARGEST_PROGRAM:,}"
            raise Findings([prove_codes.TOO_LARGE.found(cause, label)])
        data = path.read_bytes()
    except OSError as error:
        cause = f"{name} cannot be read: {error.strerror}"
        raise Findings([codes.NO_FILE.found(cause, label, remedy=_NAME_IT)]) from error
    if looks_binary(data):
        raise Findings([prove_codes.NOT_A_PROGRAM.found(f"{name} is no text", label)])
    return data


def looks_binary(data: bytes) -> bool:
    """Whether more than a tenth of the bytes are control characters; NUL and DEL are leader on a punched tape."""
    sample = data[:_SAMPLE]
    strange = sum(1 for b in sample if b & 0x7F < 32 and b & 0x7F not in (0, 9, 10, 11, 12, 13, 17, 18, 19, 20, 26))
    letters = sum(1 for b in sample if 32 <= b & 0x7F < 127)
    return bool(sample) and (strange * 10 > len(sample) or letters * 4 < len(sample))


def _doubles(read: Sequence[tuple[str, bytes]], channels: Sequence[str]) -> list[Finding]:
    """One file given for two channels, by whatever two names."""
    first: dict[Path, str] = {}
    found = []
    for (name, _), channel in zip(read, channels, strict=False):
        place = Path(name).resolve()
        if place in first:
            cause = f"{name} is given for {first[place]} and for {channel}"
            found.append(prove_codes.SAME_FILE.found(cause, Label(Span(name))))
        first.setdefault(place, channel)
    return found


def _strangers(programs: Mapping[str, tuple[str, bytes]], machine: Machine) -> list[Finding]:
    """Files that look like another channel's program, with the reason."""
    found = []
    dialects = {channel: dialect_of(machine, channel) for channel in machine.channels}
    for channel, (name, data) in programs.items():
        looks = _by_tools(data, dialects) or _by_name(name, machine) or _by_tools(data, dialects, few=True)
        if looks is not None and looks[0] != channel:
            cause = f"{name} is given for {channel}, but this looks like the {looks[0]} program: {looks[1]}"
            found.append(prove_codes.WRONG_CHANNEL.found(cause, Label(Span(name))))
    return found


def _by_name(name: str, machine: Machine) -> tuple[str, str] | None:
    """The channel whose ending the name has."""
    ends = [(channel, facts.suffix) for channel, facts in machine.channels.items() if name.endswith(facts.suffix)]
    return (ends[0][0], f"its name ends with {ends[0][1]}") if len(ends) == 1 else None


def _by_tools(data: bytes, dialects: Mapping[str, Dialect], *, few: bool = False) -> tuple[str, str] | None:
    """The only channel that holds all tools that the text calls.

    One call may be a slip; against the name of the file it counts only if there are `few` and no name to believe.
    """
    words = {int(match.group(1)): match.group(1) for match in _T_WORD.finditer(_COMMENT.sub(b" ", data))}
    if len(words) < (1 if few else 2):
        return None
    able = [c for c, d in dialects.items() if all(call // d.tool_divisor in d.tools for call in words)]
    some = [c for c, d in dialects.items() if any(call // d.tool_divisor in d.tools for call in words)]
    if len(able) == 1 and some == able:
        named = ", ".join(f"T{word.decode()}" for word in list(words.values())[:3])
        return able[0], f"no other channel holds the tools that it calls ({named})"
    return None


def misfit(machine: Machine, programs: Mapping[str, tuple[str, bytes]], others: Iterable[Machine]) -> Finding | None:
    """Says where another machine file knows clearly more of the codes in these programs than the one that is given."""
    texts = [_COMMENT.sub(b" ", data[:_SAMPLE]) for _, data in programs.values()]
    known, total = _known(machine, texts)
    if not total or known / total >= _FITS:
        return None
    better = [(count, other) for other in others if (count := _known(other, texts)[0]) - known > _CLEARLY * total]
    if not better:
        return None
    count, other = max(better, key=lambda pair: pair[0])
    name = next(iter(programs.values()))[0]
    cause = (
        f"the programs are not written for {machine.machine}: it knows {known} of their {total} codes, "
        f"{other.machine} knows {count}"
    )
    remedy = f"name the machine: `--machine {other.machine}`"
    return prove_codes.OTHER_MACHINE.found(cause, Label(Span(name)), remedy=remedy)


def _known(machine: Machine, texts: Sequence[bytes]) -> tuple[int, int]:
    """How many of the texts' codes the machine's channels know, and how many there are."""
    known = total = 0
    channels = [dialect_of(machine, channel) for channel in machine.channels]
    for text, dialect in zip(texts, channels, strict=False):
        for match in _CODE.finditer(text):
            letter, value = match[1].decode().upper(), float(match[2])
            wait = dialect.wait
            is_wait = wait is not None and wait.letter == letter and wait.first <= value <= wait.last
            known += is_wait or code_key(letter, value) in dialect.codes
            total += 1
    return known, total
