"""The review page: what was changed at a control, the gravest first, with all that it takes to decide."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING, NamedTuple

from gemel.reports.chart import ChartSource, chart_view, compared, last_moment_s
from gemel.reports.page import render
from gemel.reports.review_text import lines_of, stage_views
from gemel.reports.times import duration

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from gemel.edits import Edit
    from gemel.edits.side_by_side import Line, Piece
    from gemel.machines.schema import Machine
    from gemel.proving import Fault, Verdict
    from gemel.reports.chart import Compared
    from gemel.timing import Timeline

__all__ = ["Command", "Facts", "ReviewRow", "ReviewSource", "State", "review_page"]

_MOST_SHOWN = 4


class Command(NamedTuple):
    """What to type for one decision, and what it does."""

    does: str
    text: str


class State(NamedTuple):
    """The pair as it was written, or as it is at the control: names of its programs, proof and time."""

    files: str
    verdict: Verdict
    timeline: Timeline


@dataclass(frozen=True, slots=True)
class ReviewRow:
    """Edits that are one thing to decide about.

    Attributes:
        edits: they.
        risk: `error`, `warning`, `high`, `medium`, `low`.
        said, place, lines, time, verdict: of them, in words.
        accused: the new findings that speak of them, in words.
        changes: values of the YAML that explain them, the likeliest first, or those that a decision changed.
        decided: by whom, when and why; empty while undecided.
        commands: that decide.
    """

    edits: tuple[Edit, ...]
    risk: str
    said: str
    place: str
    lines: str
    time: str
    verdict: str
    accused: str
    changes: tuple[str, ...]
    decided: str
    commands: tuple[Command, ...]


class Facts(NamedTuple):
    """A fact of the head of the page."""

    name: str
    value: str
    also: str = ""


@dataclass(frozen=True, slots=True)
class ReviewSource:
    """What a page is made from.

    Attributes:
        name: `family/member`. machine: whose control.
        facts: for the head, besides proof and time.
        rows: the edits, the gravest first.
        channels: both texts of each channel.
        before, after: as it was written, as it is at the control.
        new, gone: findings that came and went. following: how many of the new ones may come from another alone.
        both: how many findings are in both.
        notes: what must be known to read the page.
        every: commands that decide about all edits.
    """

    name: str
    machine: Machine
    facts: tuple[Facts, ...]
    rows: tuple[ReviewRow, ...]
    channels: Mapping[str, Sequence[Line]]
    before: State
    after: State
    new: tuple[Fault, ...]
    gone: tuple[Fault, ...]
    following: frozenset[int]
    both: int
    notes: tuple[str, ...]
    every: tuple[Command, ...]


class _Shown(NamedTuple):
    """A line of a row: numbers and characters."""

    old: str
    new: str
    pieces: tuple[Piece, ...]


class _FaultView(NamedTuple):
    weight: str
    code: str
    cause: str
    remedy: str
    where: tuple[tuple[str, str, str], ...]
    follows: bool


def review_page(source: ReviewSource) -> str:
    """The page."""
    edits = [edit for row in source.rows for edit in row.edits]
    new = [_fault(fault, source) for fault in source.new]
    direct = [one for one in new if not one.follows]
    until = max(last_moment_s(chart) for chart in _charts(source))
    views = [chart_view(chart, key, until) for chart, key in zip(_charts(source), ("before", "after"), strict=True)]
    return render(
        "review",
        source=source,
        facts=(*source.facts, *_judged(source)),
        rows=[(row, _shown(row, source.channels), _more(row)) for row in source.rows],
        risks=Counter(row.risk for row in source.rows),
        verdicts=Counter(row.verdict for row in source.rows),
        undecided=sum(len(row.edits) for row in source.rows if row.verdict == "undecided"),
        new=new,
        alarms=[list(group) for _, group in groupby(direct, key=lambda one: one.code)],
        gone=[_fault(fault, source) for fault in source.gone],
        stages=stage_views(source.channels, edits),
        charts=views,
        compared=_compared(source),
        hangs=source.before.timeline.period_s is None or source.after.timeline.period_s is None,
    )


def _judged(source: ReviewSource) -> tuple[Facts, ...]:
    words = ["pass" if state.verdict.passes else "FAIL" for state in (source.before, source.after)]
    errors = sum(fault.is_error for fault in source.new)
    others = len(source.new) - errors
    new = [
        f"{n} new {word}{'' if n == 1 else 's'}" for n, word in ((errors, "error"), (others, "warning or note")) if n
    ]
    before, after = source.before.timeline.period_s, source.after.timeline.period_s
    times = ["hangs" if value is None else duration(value) for value in (before, after)]
    apart = "" if before is None or after is None else f"{after - before:+.1f} s a part"
    return (
        Facts("Proof, as written > at the control", f"{words[0]} > {words[1]}", ", ".join(new) or "no new findings"),
        Facts("Part to part, as written > at the control", f"{times[0]} > {times[1]}", apart),
    )


def _compared(source: ReviewSource) -> tuple[Compared, ...]:
    """Operations that take longer or shorter; where a pair hangs only those that both come to."""
    before, after = source.before.timeline, source.after.timeline
    rows = compared(before, after)
    hangs = before.period_s is None or after.period_s is None
    return tuple(row for row in rows if row.before and row.after) if hangs else rows


def _charts(source: ReviewSource) -> tuple[ChartSource, ChartSource]:
    return (
        ChartSource(source.name, source.before.files, source.before.timeline, source.machine),
        ChartSource(source.name, source.after.files, source.after.timeline, source.machine),
    )


def _shown(row: ReviewRow, channels: Mapping[str, Sequence[Line]]) -> list[_Shown]:
    """The first lines of the first edits."""
    found: list[_Shown] = []
    for edit in row.edits:
        for line in lines_of(edit, channels.get(edit.anchor.channel, ())):
            if len(found) < _MOST_SHOWN:
                found.append(_Shown(str(line.old or ""), str(line.new or ""), line.pieces))
    return found


def _more(row: ReviewRow) -> list[tuple[str, str]]:
    """Id and place of the edits behind the first."""
    found = []
    for edit in row.edits:
        line = edit.where.copy or edit.where.baseline or 0
        found.append((edit.id, f"{edit.anchor.channel} {line}"))
    return found


def _fault(fault: Fault, source: ReviewSource) -> _FaultView:
    where = tuple((at.channel or at.span.source, str(at.span.line or ""), at.text.strip()) for at in fault.labels)
    follows = id(fault) in source.following
    return _FaultView(fault.severity.value, fault.name, fault.cause, fault.remedy, where, follows)
