"""The time chart: one pair, or two on one time scale, as a page or as pieces of another page.

`chart_view` makes what the template `chart_parts.html.j2` draws; another page imports that template and calls its
macros with as many views as it likes, as long as their keys differ.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

from gemel.reports.chart_rows import bar_rows, wait_rows
from gemel.reports.chart_svg import end_s, timeline_drawing
from gemel.reports.page import render
from gemel.reports.sizes import plain, tenth
from gemel.reports.times import duration

if TYPE_CHECKING:
    from collections.abc import Mapping

    from markupsafe import Markup

    from gemel.machines.schema import Machine
    from gemel.reports.chart_rows import BarRow, WaitRow
    from gemel.timing import Timeline

__all__ = ["ChartSource", "ChartView", "chart_page", "chart_view", "comparison_page", "last_moment_s"]


@dataclass(frozen=True, slots=True)
class ChartSource:
    """What a chart is made from.

    Attributes:
        name: of the pair. about: a line below it: drawing, stamp, where the texts come from.
        timeline: of its texts. machine: it runs on.
        powers: what cuts take, by channel and first line of the operation, in words.
    """

    name: str
    about: str
    timeline: Timeline
    machine: Machine
    powers: Mapping[tuple[str, int], str] | None = None


class LoadRow(NamedTuple):
    """How much of the period something is used."""

    name: str
    busy: str
    cutting: str
    lost: str


@dataclass(frozen=True, slots=True)
class ChartView:
    """One chart, ready for the template.

    Attributes:
        key: begins every name in it. name, about: see `ChartSource`.
        cycle: time from part to part, in words; with `at least` where not every block could be timed.
        drawing: the chart.
        bars: its operations. waits: who waits, the longest first. loads: of channels, spindles, drives.
        notes: what must be known to read it: repeating pairs, blocks without a time, channels that stand for ever.
        blocks: for the pointer: key of each bar, and start, seconds, line, text of its blocks.
    """

    key: str
    name: str
    about: str
    cycle: str
    drawing: Markup
    bars: tuple[BarRow, ...]
    waits: tuple[WaitRow, ...]
    loads: tuple[LoadRow, ...]
    notes: tuple[str, ...]
    blocks: dict[str, Any]

    @property
    def listed(self) -> list[BarRow]:
        """The operations that take any time."""
        return [bar for bar in self.bars if bar.seconds != "0.0"]


def last_moment_s(source: ChartSource) -> float:
    """Where the time scale of a chart of its own would end."""
    return end_s(source.timeline)


def chart_view(source: ChartSource, key: str, until_s: float | None = None) -> ChartView:
    """One chart.

    Args:
        source: what it is made from.
        key: a word that no other chart on the page has; letters and digits.
        until_s: end of the time scale, for charts that are to be compared.
    """
    timeline = source.timeline
    bars = bar_rows(timeline, source.machine, key, source.powers)
    drawing = timeline_drawing(timeline, bars, key, f"time chart of {source.name}", until_s)
    return ChartView(
        key=key,
        name=source.name,
        about=source.about,
        cycle=_cycle(timeline),
        drawing=drawing.markup(),
        bars=bars,
        waits=wait_rows(timeline),
        loads=_loads(timeline),
        notes=tuple(_notes(timeline)),
        blocks={bar.key: [list(block) for block in bar.blocks] for bar in bars},
    )


def _cycle(timeline: Timeline) -> str:
    if timeline.period_s is None:
        return "does not run to its end"
    return ("at least " if timeline.unknown else "") + duration(timeline.period_s)


def _loads(timeline: Timeline) -> tuple[LoadRow, ...]:
    names = {"channel": "{}", "spindle": "{} spindle", "drive": "tool drive of {}"}
    return tuple(
        LoadRow(
            names[load.kind].format(load.name),
            f"{tenth(load.busy_s)} s, {plain(100 * load.share, 0)} %",
            f"{tenth(load.cutting_s)} s, {plain(100 * load.cutting_share, 0)} %",
            f"{tenth(load.lost_s)} s" if load.kind == "channel" else "",
        )
        for load in timeline.loads
        if load.busy_s > 0
    )


def _notes(timeline: Timeline) -> list[str]:
    found = []
    if timeline.repeats:
        found.append("The pair repeats: a later pass is shown, and the next begins when a channel is at its top again.")
    if timeline.override != 1:
        found.append(f"Timed with a feed override of {plain(100 * timeline.override, 0)} %.")
    found += [f"{s.channel} line {s.span.line} stands for ever at mark {s.number}." for s in timeline.stuck]
    if timeline.unknown:
        first = timeline.unknown[0]
        more = f", and {len(timeline.unknown) - 1} more" if len(timeline.unknown) > 1 else ""
        where = f"{first.channel} line {first.span.line} `{first.block.strip()}`"
        found.append(f"Not every block could be timed: {where}: {first.reason}{more}.")
    return found


def chart_page(source: ChartSource) -> str:
    """The chart of one pair as a page."""
    return render("chart", title=source.name, charts=[chart_view(source, "pair")], compared=None)


class Compared(NamedTuple):
    """What changed between two charts: operation, seconds before, seconds after, difference; None on one side only."""

    channel: str
    name: str
    before: str
    after: str
    difference: str


def comparison_page(before: ChartSource, after: ChartSource) -> str:
    """Two charts on one time scale, with what changed between them."""
    until = max(last_moment_s(before), last_moment_s(after))
    views = [chart_view(before, "before", until), chart_view(after, "after", until)]
    return render("chart", title=after.name, charts=views, compared=compared(before.timeline, after.timeline))


def compared(before: Timeline, after: Timeline) -> tuple[Compared, ...]:
    """Operations whose time differs, the largest difference first; an operation is known by channel and name."""
    one, other = _seconds(before), _seconds(after)
    rows = []
    for key in dict.fromkeys([*one, *other]):
        a, b = one.get(key), other.get(key)
        difference = (b or 0.0) - (a or 0.0)
        if a is None or b is None or abs(difference) >= 0.05:
            sign = "+" if difference > 0 else ""
            spelled = ("" if a is None else tenth(a), "" if b is None else tenth(b), f"{sign}{tenth(difference)}")
            rows.append((abs(difference), Compared(*key, *spelled)))
    return tuple(row for _, row in sorted(rows, key=lambda pair: -pair[0]))


def _seconds(timeline: Timeline) -> dict[tuple[str, str], float]:
    found: dict[tuple[str, str], float] = {}
    for bar in timeline.bars:
        key = (bar.channel, bar.name)
        found[key] = found.get(key, 0.0) + bar.seconds
    return found
