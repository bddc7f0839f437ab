"""A verdict as plain text: every finding with the programs side by side around it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.findings import Severity, printable
from gemel.proving.side_by_side import Sheet, side_by_side
from gemel.reading.blocks import read

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.proving.verdict import Fault, Verdict

__all__ = ["as_text", "headline"]

_MOST_TRACE = 12
"""Blocks of a trace that are printed; the JSON form has them all."""


def as_text(verdict: Verdict, programs: Mapping[str, tuple[str, bytes]], width: int = 100) -> str:
    """All findings, and a closing line. Program text goes out as it stands, control characters made visible."""
    sheets = [
        Sheet(channel, name, [b.text for b in read(data, name)], verdict.marks.get(channel, ()))
        for channel, (name, data) in programs.items()
    ]
    parts = [_finding(f, sheets, width) for f in verdict.findings]
    return "\n\n".join([*parts, headline(verdict)])


def headline(verdict: Verdict) -> str:
    """One line: the verdict, how many findings, what was understood, what was checked."""
    counts = {s: sum(1 for f in verdict.findings if f.severity is s) for s in Severity}
    found = ", ".join(f"{n} {s.value}{'s' if n > 1 else ''}" for s, n in counts.items() if n) or "no findings"
    understood = ", ".join(f"{name} {share:.1%}" for name, share in verdict.understood.items())
    blocks = ", ".join(f"{name} {n} of {of}" for name, (n, of) in verdict.nodes.items())
    unchecked = f" but not {'; not '.join(verdict.not_checked)}" if verdict.not_checked else ""
    return (
        f"{'pass' if verdict.passes else 'fail'}: {found}; understood: {understood}; "
        f"checked: {verdict.checked}{unchecked}; "
        f"blocks that touch shared state: {blocks}; states: {verdict.states}"
    )


def _finding(fault: Fault, sheets: list[Sheet], width: int) -> str:
    place = fault.labels[0].span.shown() if fault.labels else ""
    skipped = " (only with all / blocks skipped)" if fault.skipped else ""
    lines = [f"{place}: {fault.severity.value}: {printable(fault.cause)} [{fault.name}]{skipped}"]
    if any(label.span.line for label in fault.labels):
        lines.append(side_by_side(fault, sheets, width))
    if fault.trace:
        shown = [f"{channel} {line}" for channel, line in fault.trace[-_MOST_TRACE:]]
        lines.append(f"  shown by: {'... ' if len(fault.trace) > _MOST_TRACE else ''}{', '.join(shown)}")
    lines.append(f"  remedy: {fault.remedy}")
    return "\n".join(lines)
