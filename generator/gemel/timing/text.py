"""A timeline as plain text: a headline, rows of tables, and sentences."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.findings import printable

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.timing.model import Bar, Timeline

__all__ = [
    "CRITICAL_HEAD",
    "LOAD_HEAD",
    "OPERATION_HEAD",
    "WAIT_HEAD",
    "critical_rows",
    "headline",
    "load_rows",
    "notes",
    "operation_rows",
    "overview_row",
    "wait_rows",
]

OPERATION_HEAD = ("channel", "N", "operation", "tool", "from s", "to s", "takes s", "cutting", "critical", "1 s saved")
WAIT_HEAD = ("mark", "at s", "who waits for whom", "lost s")
CRITICAL_HEAD = ("from mark", "who decides", "for s")
LOAD_HEAD = ("who", "busy s", "busy", "cutting s", "cutting", "waits s")

_LEAST_S = 0.005
"""Waiting of less is not worth a row."""


def headline(timeline: Timeline) -> str:
    """One sentence: what a part takes, and how sure that is."""
    if timeline.stuck:
        stands = ", ".join(f"{s.channel} line {s.span.line} `{printable(s.block.strip())}`" for s in timeline.stuck)
        return f"no cycle time: channels stand for ever at {stands}"
    if timeline.period_s is None or timeline.cycle_s is None:
        return "no cycle time: the channels do not come round together"
    least = "at least " if timeline.unknown else ""
    said = f"{least}{timeline.period_s:.1f} s a part"
    if timeline.period_s > 0:
        said += f", {3600 / timeline.period_s:.1f} parts an hour"
    if timeline.repeats and timeline.cycle_s - timeline.period_s > _LEAST_S:
        said += f"; one part takes {timeline.cycle_s:.1f} s, and the next one begins before it is done"
    if timeline.override != 1.0:
        said += f"; feed override {timeline.override:.0%}"
    return said


def overview_row(timeline: Timeline) -> tuple[str, ...]:
    """Seconds, parts an hour, how busy the channels are, the mark at which most is lost, blocks of unknown duration."""
    if timeline.period_s is None:
        return "hangs" if timeline.stuck else "-", "", "", "", str(len(timeline.unknown) or "")
    least = ">" if timeline.unknown else ""
    busy = ", ".join(f"{x.name} {x.share:.0%}" for x in timeline.loads if x.kind == "channel")
    worst = max(timeline.meetings, key=lambda m: m.lost_s, default=None)
    lost = ""
    if worst is not None and worst.lost_s >= _LEAST_S:
        lost = f"{worst.lost_s:.1f} s at {worst.number} for {', '.join(worst.last)}"
    rate = f"{3600 / timeline.period_s:.1f}" if timeline.period_s else ""
    return f"{least}{timeline.period_s:.1f}", rate, busy, lost, str(len(timeline.unknown) or "")


def operation_rows(timeline: Timeline) -> Iterator[tuple[str, ...]]:
    """The operations in the order in which they begin."""
    order = {lane.channel: i for i, lane in enumerate(timeline.lanes)}
    for bar in sorted(timeline.bars, key=lambda b: (b.start_s, order[b.channel])):
        if bar.seconds or bar.is_unknown:
            yield _operation(bar)


def _operation(bar: Bar) -> tuple[str, ...]:
    cutting = bar.spent.cutting_s / bar.seconds if bar.seconds else 0.0
    return (
        bar.channel,
        "" if bar.sequence is None else str(bar.sequence),
        bar.name,
        bar.tool or ("" if bar.station is None else f"station {bar.station}"),
        f"{bar.start_s:.1f}",
        f"{bar.end_s:.1f}",
        f"{'>' if bar.is_unknown else ''}{bar.seconds:.1f}",
        f"{cutting:.0%}",
        "*" if bar.critical_s else "",
        f"{bar.gain_s:.2f} s" if bar.gain_s >= _LEAST_S else "",
    )


def wait_rows(timeline: Timeline) -> Iterator[tuple[str, ...]]:
    """The wait marks in the order of departure."""
    for meeting in timeline.meetings:
        waiting = [f"{a.channel} {a.lost_s:.1f} s" for a in meeting.arrivals if a.lost_s >= _LEAST_S]
        said = f"{', '.join(waiting)} for {', '.join(meeting.last)}" if waiting else "nobody waits"
        yield str(meeting.number), f"{meeting.depart_s:.1f}", said, f"{meeting.lost_s:.1f}"


def load_rows(timeline: Timeline) -> Iterator[tuple[str, ...]]:
    """Channels, spindles and tool drives; those that are not used are left out."""
    words = {"channel": "{}", "spindle": "{} spindle", "drive": "rotating tools of {}"}
    for load in timeline.loads:
        if load.busy_s:
            yield (
                words[load.kind].format(load.name),
                f"{load.busy_s:.1f}",
                f"{load.share:.0%}",
                f"{load.cutting_s:.1f}",
                f"{load.cutting_share:.0%}",
                f"{load.lost_s:.1f}" if load.kind == "channel" else "",
            )


def critical_rows(timeline: Timeline) -> Iterator[tuple[str, ...]]:
    """The critical path, stretch by stretch: from which mark on which channel decides, and for how long."""
    rows: list[list[str]] = []
    seconds: list[float] = []
    for piece in timeline.critical:
        if piece.name == "wait mark":
            continue
        mark = "start" if piece.mark is None else str(piece.mark)
        if not rows or rows[-1][1] != piece.channel:
            rows.append([mark, piece.channel])
            seconds.append(0.0)
        seconds[-1] += piece.seconds
    for (mark, channel), taken in zip(rows, seconds, strict=True):
        yield mark, channel, f"{taken:.1f}"


def notes(timeline: Timeline) -> Iterator[str]:
    """What is not known, block by block."""
    for unknown in timeline.unknown:
        place = f"{unknown.span.source}:{unknown.span.line}"
        yield printable(f"{place}: `{unknown.block.strip()}` takes nobody knows how long: {unknown.reason}")
