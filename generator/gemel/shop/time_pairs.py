"""What pairs cost in time: those in `output/`, or programs given as files."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.findings import Findings, Label, Span, did_you_mean
from gemel.shop import time_codes
from gemel.shop.prove_files import machine_of, pair_names, programs_of, stored_programs
from gemel.timing import time_pair

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from gemel.findings import Finding
    from gemel.history.record import PairName
    from gemel.machines.schema import Machine
    from gemel.shop.layout import Shop
    from gemel.timing import Timeline

__all__ = ["named_pairs", "time_all", "time_files"]


def named_pairs(shop: Shop, words: Iterable[str], machine: str) -> list[PairName]:
    """The pairs in `output/` that words mean, in the order of the words; all without one.

    Args:
        shop: where.
        words: each `FAMILY` or `FAMILY/MEMBER`.
        machine: of this machine only, unless empty.

    Raises:
        Findings: `shop:no-pair`; `shop:no-machine` for a machine that neither has pairs nor is one of the shop's.
    """
    pairs = [p for p in pair_names(shop) if machine in {"", p.machine}]
    if machine and not pairs:
        shop.machine(machine)
    known = {p.family for p in pairs} | {f"{p.family}/{p.member}" for p in pairs}
    wanted: dict[PairName, None] = {}
    found: list[Finding] = []
    for word in words:
        name = word.removeprefix("families/").removesuffix(".yaml")
        meant = [p for p in pairs if name in {p.family, f"{p.family}/{p.member}"}]
        if not meant:
            found.append(_no_pair(name, known, machine))
        wanted |= dict.fromkeys(meant)
    if found:
        raise Findings(found)
    return list(wanted) or pairs


def _no_pair(name: str, known: set[str], machine: str) -> Finding:
    on = f" for {machine}" if machine else ""
    cause = f"there is no pair of `{name}`{on} in output/"
    remedy = did_you_mean(name, known) if known else time_codes.NO_PAIR.remedy
    return time_codes.NO_PAIR.found(cause, Label(Span("output"), name), remedy=remedy)


def time_all(
    shop: Shop, names: Sequence[PairName], override: float
) -> Iterator[tuple[PairName, Timeline | tuple[Finding, ...]]]:
    """Pairs of `output/` in time, or why one cannot be timed. Each machine file is read once."""
    machines: dict[str, Machine] = {}
    for name in names:
        try:
            if name.machine not in machines:
                machines[name.machine] = machine_of(shop, name.machine)
            machine = machines[name.machine]
            programs = stored_programs(shop, name, machine)
        except Findings as error:
            yield name, error.findings
        else:
            yield name, time_pair(programs, machine, override=override)


def time_files(machine: Machine, files: Sequence[str], override: float) -> Timeline:
    """Programs given as files in time: one for each channel in the machine's order, then ones with subprograms.

    Raises:
        Findings: a file is missing, a folder, too large, no text, given twice, or another channel's.
    """
    programs, further = programs_of(machine, files, "gemel time")
    return time_pair(programs, machine, override=override, further=further)
