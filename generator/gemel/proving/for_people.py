"""The order in which a person should read findings: what to mend first, and what may only follow from it.

Channels that do not meet at the same waits run a stage apart, and every rule about what happens at the same time breaks
in their wake. Such a fault stands first, what does not depend on it next, and what may follow from it last.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from gemel.findings import Severity

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.proving.verdict import Fault, Verdict

__all__ = ["Part", "in_parts"]

_WAITS = ("deadlock", "ended", "count", "skip-wait", "not-rising", "range", "below-before-first")
_BREAKING = frozenset({"deadlock", "ended", "count"})
_OF_THE_TEXT = frozenset({"words", "limits"})

FIRST = "Mend this first: the channels do not meet at the same waits, so that they run a stage apart from there on."
APART = "These do not depend on it:"
FOLLOWING = "These may come from it alone; prove again once it is mended:"


class Part(NamedTuple):
    """Findings that are read together.

    Attributes:
        head: a sentence to stand above them, empty for none.
        faults: the findings.
        in_short: whether a line for each will do.
    """

    head: str
    faults: tuple[Fault, ...]
    in_short: bool = False


def in_parts(verdict: Verdict) -> list[Part]:
    """All findings, each once; those about waits first."""
    waits = tuple(sorted((f for f in verdict.findings if f.rule == "waits"), key=_place_of_wait))
    others = tuple(sorted((f for f in verdict.findings if f.rule != "waits"), key=_time))
    breaking = tuple(f for f in waits if f.code in _BREAKING)
    if not breaking:
        return [part for part in (Part("", waits + others),) if part.faults]
    met = _last_met(verdict.marks)
    apart = tuple(f for f in others if _is_apart(f, met))
    following = tuple(f for f in others if not _is_apart(f, met))
    rest = tuple(f for f in waits if f.code not in _BREAKING)
    parts = (Part(FIRST, breaking), Part(APART, rest + apart), Part(FOLLOWING, following, in_short=True))
    return [part for part in parts if part.faults]


def _place_of_wait(fault: Fault) -> tuple[bool, int]:
    """What is seen only with blocks skipped comes behind what is seen anyway; then by the weight of the code."""
    return fault.skipped, _WAITS.index(fault.code)


def _time(fault: Fault) -> tuple[int, bool, int, int]:
    """Errors, warnings, notes; each in order of time: the first may bring the others."""
    weight = (Severity.ERROR, Severity.WARNING, Severity.NOTE).index(fault.severity)
    return weight, fault.skipped, *fault.when


def _last_met(marks: Mapping[str, tuple[tuple[int, int], ...]]) -> dict[str, int]:
    """The line of the last wait of each channel up to which all of them have the same numbers in the same order."""
    same = 0
    for numbers in zip(*([n for n, _ in those] for those in marks.values()), strict=False):
        if len(set(numbers)) > 1:
            break
        same += 1
    return {channel: those[same - 1][1] if same else 0 for channel, those in marks.items()}


def _is_apart(fault: Fault, met: Mapping[str, int]) -> bool:
    """Whether a fault stands in the text alone, or before the channels part."""
    if fault.rule in _OF_THE_TEXT or fault.code.startswith("skip-"):
        return True
    return all(label.span.line <= met.get(label.channel, 0) for label in fault.labels)
