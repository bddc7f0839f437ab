"""The outcome of a proof."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from gemel.findings import Finding, Severity

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

__all__ = ["Fault", "Verdict", "sorted_faults"]


@dataclass(frozen=True, slots=True)
class Fault(Finding):
    """A finding of a proof.

    Attributes:
        trace: channel and line of the blocks that lead to it, from the last rendezvous on.
        skipped: whether only the run with all `/` blocks skipped shows it.
        when: in which pass it shows first, and behind how many waits of it.
    """

    trace: tuple[tuple[str, int], ...] = ()
    skipped: bool = False
    when: tuple[int, int] = (1, 0)

    @property
    def identity(self) -> tuple[str, frozenset[tuple[str, int]]]:
        """Code and the set of lines: two findings with the same are one."""
        return self.name, frozenset((label.span.source, label.span.line) for label in self.labels)


@dataclass(frozen=True, slots=True)
class Verdict:
    """What proving a pair has found.

    Attributes:
        findings: errors first, then by rule, code and lines.
        understood: of each channel, 1 less the share of blocks with something that was not understood.
        checked: `all`, or where a deadlock or a bound stopped the search.
        states: how many states were looked at.
        nodes: of each channel, how many blocks entered the exploration, and of how many.
        marks: of each channel, number and line of the wait marks of its first pass.
        not_checked: what could not be checked for want of data, each as a phrase.
    """

    findings: tuple[Fault, ...]
    understood: Mapping[str, float]
    checked: str
    states: int = 0
    nodes: Mapping[str, tuple[int, int]] = field(default_factory=dict)
    marks: Mapping[str, tuple[tuple[int, int], ...]] = field(default_factory=dict)
    not_checked: tuple[str, ...] = ()

    @property
    def passes(self) -> bool:
        """Whether no finding is an error."""
        return not any(f.is_error for f in self.findings)

    @property
    def is_clean(self) -> bool:
        """Whether there is neither an error nor a warning."""
        return all(f.severity is Severity.NOTE for f in self.findings)


_WEIGHT = {Severity.ERROR: 0, Severity.WARNING: 1, Severity.NOTE: 2}


def sorted_faults(faults: Iterable[Fault]) -> tuple[Fault, ...]:
    """Errors first, then rule, code, lines."""
    return tuple(
        sorted(
            faults,
            key=lambda f: (
                _WEIGHT[f.severity],
                f.rule,
                f.code,
                [label.span.line for label in f.labels],
                [(label.channel, label.span.source) for label in f.labels],
            ),
        )
    )
