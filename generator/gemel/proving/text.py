"""A verdict as plain text: every finding has a line, and the programs stand side by side around what matters."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING, NamedTuple

from gemel.findings import Severity, printable
from gemel.proving.for_people import in_parts
from gemel.proving.side_by_side import MARK, REACHED, Sheet, side_by_side
from gemel.reading.blocks import read

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from gemel.proving.for_people import Part
    from gemel.proving.verdict import Fault, Verdict

__all__ = ["Row", "as_rows", "as_text", "headline", "in_brief"]

_MOST_RUNS = 6
"""Runs of one channel's blocks in a trace that are printed; the JSON form has them all."""

_FEW = 4
"""So many findings of one part are all shown with the programs; of more, and of warnings, the first of each code."""


class Row(NamedTuple):
    """A line of a report.

    Attributes:
        text: the line.
        kind: `error` `warning` `note` for a finding; `head` above a part; `mark` for blocks concerned; `pass` `fail`
            for the verdict; else empty.
    """

    text: str
    kind: str = ""


def as_text(verdict: Verdict, programs: Mapping[str, tuple[str, bytes]], width: int = 100) -> str:
    """The rows as one text. Program text goes out as it stands, control characters made visible."""
    return "\n".join(row.text for row in as_rows(verdict, programs, width))


def as_rows(verdict: Verdict, programs: Mapping[str, tuple[str, bytes]], width: int = 100) -> list[Row]:
    """All findings in the order in which they should be read, and the verdict.

    Args:
        verdict: what was found.
        programs: name and bytes of each channel's file.
        width: columns that a row may have.
    """
    sheets = [
        Sheet(channel, name, [b.text for b in read(data, name)], verdict.marks.get(channel, ()))
        for channel, (name, data) in programs.items()
    ]
    rows: list[Row] = []
    for part in in_parts(verdict):
        rows += _part(part, sheets, width)
    if verdict.findings:
        code = in_parts(verdict)[0].faults[0].name
        rows += [Row(f"`gemel explain {code}` says more about a code."), Row("")]
    return [*rows, *_closing(verdict)]


def _closing(verdict: Verdict) -> list[Row]:
    """The verdict, and how much was looked at."""
    changing = sum(n for n, _ in verdict.nodes.values())
    blocks = sum(of for _, of in verdict.nodes.values())
    each = ", ".join(f"{name} {n} of {of}" for name, (n, of) in verdict.nodes.items())
    looked = f"{changing} of {blocks} blocks change shared state ({each}); {verdict.states:,} states were looked at"
    return [Row(headline(verdict), "pass" if verdict.passes else "fail"), Row(looked)]


def headline(verdict: Verdict) -> str:
    """One line: the verdict, how many findings, what was not understood, what was checked."""
    counts = {s: sum(1 for f in verdict.findings if f.severity is s) for s in Severity}
    found = ", ".join(f"{n} {s.value}{'s' if n > 1 else ''}" for s, n in counts.items() if n) or "no findings"
    strange = [f"{name} {_percent(share)}" for name, share in verdict.understood.items() if share < 1]
    understood = f"; understood: {', '.join(strange)}" if strange else ""
    unchecked = f"; not checked: {'; '.join(verdict.not_checked)}" if verdict.not_checked else ""
    checked = "" if unchecked and verdict.checked == "all" else f"; checked: {verdict.checked}"
    return f"{'pass' if verdict.passes else 'fail'}: {found}{understood}{checked}{unchecked}"


def in_brief(verdict: Verdict) -> str:
    """The headline, and where to begin if the pair does not pass."""
    if verdict.passes:
        return headline(verdict)
    first = in_parts(verdict)[0].faults[0]
    label = first.labels[0]
    return f"{headline(verdict)}; begin with {first.name} at {label.channel} line {label.span.line}"


def _percent(share: float) -> str:
    """One digit, but never a hundred where something was not understood."""
    return f"{min(share * 100, 99.9):.1f} %"


def _part(part: Part, sheets: Sequence[Sheet], width: int) -> Iterator[Row]:
    if part.head:
        yield Row(part.head, "head")
        yield Row("")
    seen: set[tuple[str, bool]] = set()
    for fault in part.faults:
        yield Row(_line(fault), fault.severity.value)
        code = fault.name, fault.skipped
        is_plain = code in seen and (len(part.faults) > _FEW or not fault.is_error)
        if not part.in_short and not is_plain:
            yield from _shown(fault, sheets, width)
        seen.add(code)
    if part.in_short or len(part.faults) > _FEW:
        yield Row("")


def _line(fault: Fault) -> str:
    """A finding in one line, its place first."""
    place = fault.labels[0].span.shown() if fault.labels else ""
    skipped = ", only with all / blocks skipped" if fault.skipped else ""
    again = f", in pass {fault.when[0]}" if fault.when[0] > 1 else ""
    return f"{place}: {fault.severity.value}: {printable(fault.cause)}{again}{skipped} [{fault.name}]"


def _shown(fault: Fault, sheets: Sequence[Sheet], width: int) -> Iterator[Row]:
    """The programs around a finding, the way to it, and what to do."""
    if any(label.span.line for label in fault.labels):
        for row in side_by_side(fault, sheets, width):
            yield Row(row, "mark" if MARK in row or REACHED in row else "")
    if fault.trace:
        yield Row(f"  shown by: {_way(fault.trace)}")
    yield Row(f"  remedy: {fault.remedy}")
    yield Row("")


def _way(trace: Sequence[tuple[str, int]]) -> str:
    """The blocks of a trace as runs of one channel each: `lower 103 to 130, then upper 87 to 92`."""
    runs: list[str] = []
    for channel, steps in groupby(trace, key=lambda step: step[0]):
        lines = [line for _, line in steps]
        first = 0
        for at in range(1, len(lines) + 1):
            if at == len(lines) or lines[at] < lines[at - 1]:
                begin, end = lines[first], lines[at - 1]
                runs.append(f"{channel} {begin}" if begin == end else f"{channel} {begin} to {end}")
                first = at
    before = "... then " if len(runs) > _MOST_RUNS else ""
    return before + ", then ".join(runs[-_MOST_RUNS:])
