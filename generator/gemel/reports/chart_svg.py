"""A pair in time as a drawing: a lane for every channel and every spindle, on one time scale.

Ink alone tells everything: a bar is work, hatching is waiting, a line across lanes is a wait mark where channels meet,
a heavy line under bars is the critical path.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from gemel.reports.chart_rows import short_name
from gemel.reports.labels import FOOT_MM, Room, spread
from gemel.reports.sizes import plain, tenth
from gemel.reports.svg import Drawing, text_width_mm

if TYPE_CHECKING:
    from collections.abc import Sequence

    from gemel.reports.chart_rows import BarRow
    from gemel.timing import Bar, Lane, SpindleLane, Timeline

__all__ = ["WIDTH_MM", "end_s", "timeline_drawing"]

WIDTH_MM = 273.0
"""Width of a chart: A4 lengthwise, less its margins."""

_GUTTER_MM = 25.0
_BAR_MM = 8.0
_SPINDLE_MM = 4.6
_GAP_MM = 3.0
_TEXT_MM = 2.9
_SMALL_MM = 2.6
_FLAG_MM = 3.4
_TICKS = (1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1200, 1800, 3600)
_MOST_TICKS = 16
_LEAST_WAIT_MM = 0.4


class _Scale(NamedTuple):
    """Seconds to paper."""

    first_s: float
    mm_per_s: float

    def x(self, moment_s: float) -> float:
        return _GUTTER_MM + (moment_s - self.first_s) * self.mm_per_s


def end_s(timeline: Timeline) -> float:
    """The last moment that a chart of this pair shows."""
    return max([lane.end_s for lane in timeline.lanes] + [m.depart_s for m in timeline.meetings], default=1.0) or 1.0


def timeline_drawing(
    timeline: Timeline, rows: Sequence[BarRow], key: str, title: str, until_s: float | None = None
) -> Drawing:
    """The chart.

    Args:
        timeline: of the pair.
        rows: of its operations, for the keys and words of the bars.
        key: keeps its names apart from those of another chart on the page.
        title: what it shows.
        until_s: end of the time scale; two charts of one scale can be compared.
    """
    first = min([lane.start_s for lane in timeline.lanes] + [0.0])
    last = max(until_s or 0.0, end_s(timeline))
    scale = _Scale(first, (WIDTH_MM - _GUTTER_MM - 2) / (last - first))
    return _Chart(timeline, rows, key, title, scale).drawn(last)


class _Chart:
    """One chart under construction."""

    def __init__(self, timeline: Timeline, rows: Sequence[BarRow], key: str, title: str, scale: _Scale) -> None:
        self.timeline = timeline
        self.rows = list(rows)
        self.key = key
        self.scale = scale
        self.drawing = Drawing(WIDTH_MM, 0.0, title)
        self.tops: dict[str, float] = {}
        self.waits = 0

    def drawn(self, last_s: float) -> Drawing:
        y = marks_foot = self._marks_height() + 1.0
        flags: list[tuple[Lane, float, list[BarRow]]] = []
        at = 0
        for lane in self.timeline.lanes:
            room = self._flags(lane, y, self.rows[at : at + len(lane.bars)], is_drawn=False)
            flags.append((lane, y, self.rows[at : at + len(lane.bars)]))
            y += room
            self.tops[lane.channel] = y
            y += _BAR_MM + _GAP_MM
            at += len(lane.bars)
        y += 1.0
        spindles = [s for s in self.timeline.spindles if s.spans or not s.is_tool_drive]
        foot = y + len(spindles) * (_SPINDLE_MM + _GAP_MM)
        self._axis(marks_foot, foot, last_s)
        self._joints(marks_foot)
        at = 0
        for lane in self.timeline.lanes:
            self._lane(lane, self.rows[at : at + len(lane.bars)])
            at += len(lane.bars)
        self._critical()
        for lane, top, rows in flags:
            self._flags(lane, top, rows, is_drawn=True)
        for spindle in spindles:
            self._spindle(spindle, y)
            y += _SPINDLE_MM + _GAP_MM
        self.drawing.height_mm = foot + 5.0
        return self.drawing

    # The axis and the marks.

    def _axis(self, top: float, foot: float, last_s: float) -> None:
        step = next((t for t in _TICKS if (last_s - self.scale.first_s) / t <= _MOST_TICKS), _TICKS[-1])
        moment = math.ceil(self.scale.first_s / step) * step
        while moment <= last_s + 1e-9:
            x = self.scale.x(moment)
            self.drawing.line((x, top), (x, foot), "grid")
            self.drawing.text((x, foot + 3.4), f"{plain(moment, 0)}", "tick")
            moment += step
        self.drawing.text((_GUTTER_MM - 3, foot + 3.4), "seconds", "gutter small")

    def _placed_marks(self) -> list[tuple[float, str]]:
        return [(self.scale.x(m.depart_s), str(m.number)) for m in self.timeline.meetings]

    def _marks_height(self) -> float:
        marks = self._placed_marks()
        if not marks:
            return 0.0
        placed = spread([x for x, _ in marks], [self._mark_width(t) for _, t in marks], Room(0, WIDTH_MM))
        return 4.2 * (1 + max(p.row for p in placed)) + 2.5

    def _mark_width(self, text: str) -> float:
        return text_width_mm(text, _SMALL_MM) + 1.2

    def _joints(self, foot: float) -> None:
        """Every wait mark: its number above, a line across the channels that meet, a ring where each arrives."""
        marks = self._placed_marks()
        if marks:
            self.drawing.text((_GUTTER_MM - 3, foot - 2.5), "wait marks", "gutter small")
        placed = spread([x for x, _ in marks], [self._mark_width(t) for _, t in marks], Room(_GUTTER_MM - 2, WIDTH_MM))
        for meeting, (x, text), place in zip(self.timeline.meetings, marks, placed, strict=True):
            y = foot - 2.5 - 4.2 * place.row
            self.drawing.text((place.leader_mm - FOOT_MM + 0.4, y), text, "mark")
            self.drawing.polyline([(place.leader_mm, y + 0.6), (place.leader_mm, foot - 1.6), (x, foot)], "joint")
            lanes = [self.tops[a.channel] for a in meeting.arrivals]
            self.drawing.line((x, foot), (x, max(lanes) + _BAR_MM), "joint")

    # Channels.

    def _fits(self, bar: Bar, row: BarRow) -> tuple[str, bool]:
        """The label that a bar can hold, and whether it holds any."""
        room = (bar.end_s - bar.start_s) * self.scale.mm_per_s - 1.2
        for text in (f"{row.label} {short_name(row.name)}", row.label):
            if text_width_mm(text, _TEXT_MM) <= room:
                return text, True
        return row.label, False

    def _flags(self, lane: Lane, top: float, rows: Sequence[BarRow], *, is_drawn: bool) -> float:
        """Numbers of bars that are too short to hold them, above the lane; gives the height they take."""
        short = [(b, r) for b, r in zip(lane.bars, rows, strict=True) if not self._fits(b, r)[1] and b.name != "start"]
        if not short:
            return 1.0
        middles = [self.scale.x((b.start_s + b.end_s) / 2) for b, _ in short]
        widths = [text_width_mm(r.label, _SMALL_MM) + 1.2 for _, r in short]
        placed = spread(middles, widths, Room(_GUTTER_MM - 2, WIDTH_MM))
        height = 2.5 + _FLAG_MM * (1 + max(p.row for p in placed))
        for (_, row), x, place, width in zip(short, middles, placed, widths, strict=True) if is_drawn else ():
            y = top + height - 2.5 - _FLAG_MM * place.row
            self.drawing.rectangle((place.leader_mm - FOOT_MM, y - 2.3), width, 2.8, "paper")
            self.drawing.text((place.leader_mm - FOOT_MM + 0.4, y), row.label, "small flag")
            bend = top + height - 1.8
            self.drawing.polyline([(place.leader_mm, y + 0.5), (place.leader_mm, bend), (x, top + height)], "leader")
        return height

    def _lane(self, lane: Lane, rows: Sequence[BarRow]) -> None:
        top = self.tops[lane.channel]
        load = next((x for x in self.timeline.loads if (x.name, x.kind) == (lane.channel, "channel")), None)
        self._name(lane.channel, top + 3.4, None if load is None else load.share)
        self.drawing.line(
            (self.scale.x(lane.start_s), top + _BAR_MM), (self.scale.x(lane.end_s), top + _BAR_MM), "base"
        )
        for meeting in self.timeline.meetings:
            arrival = meeting.of(lane.channel)
            if arrival is not None and arrival.lost_s * self.scale.mm_per_s > _LEAST_WAIT_MM:
                self._wait(lane.channel, arrival.arrive_s, arrival.lost_s, meeting.number)
        for bar, row in zip(lane.bars, rows, strict=True):
            if bar.end_s - bar.start_s > 0:
                self._bar(bar, row, top)

    def _name(self, name: str, y: float, share: float | None) -> None:
        self.drawing.text((_GUTTER_MM - 3, y), name, "gutter")
        if share is not None:
            self.drawing.text((_GUTTER_MM - 3, y + 3.4), f"{plain(100 * share, 0)} % busy", "gutter small")

    def _bar(self, bar: Bar, row: BarRow, top: float) -> None:
        x = self.scale.x(bar.start_s)
        width = max((bar.end_s - bar.start_s) * self.scale.mm_per_s, 0.25)
        outer = self.drawing.node
        group = self.drawing.group("bar", id=row.key, tabindex="0")
        self.drawing.node = group
        self.drawing.hint(group, row.said)
        self.drawing.rectangle((x, top), width, _BAR_MM, "work" if bar.drive else "work plain")
        text, fits = self._fits(bar, row)
        if fits:
            self.drawing.text((x + 0.8, top + _BAR_MM / 2 + 1), text, "inside")
        self.drawing.node = outer

    def _wait(self, channel: str, from_s: float, lost_s: float, mark: int) -> None:
        """Idle time before a mark: hatched, with its seconds where there is room."""
        top, x = self.tops[channel], self.scale.x(from_s)
        width = lost_s * self.scale.mm_per_s
        outer = self.drawing.node
        group = self.drawing.group("wait", tabindex="0")
        self.drawing.node = group
        self.drawing.hint(group, f"{channel} waits {tenth(lost_s)} s at mark {mark}")
        corners = [(x, top + 2.2), (x + width, top + _BAR_MM)]
        self.waits += 1
        name = f"{self.key}-wait-{self.waits}"
        clip = self.drawing.add("clipPath", id=name)
        self.drawing.node = clip
        self.drawing.rectangle(corners[0], width, _BAR_MM - 2.2, "")
        self.drawing.node = group
        self.drawing.rectangle(corners[0], width, _BAR_MM - 2.2, "idle")
        self.drawing.hatch(corners, "hatch", 2.4).set("clip-path", f"url(#{name})")
        text = f"waits {tenth(lost_s)}"
        wide = text_width_mm(text, _SMALL_MM)
        if wide + 2 <= width:
            middle = x + width / 2
            self.drawing.rectangle((middle - wide / 2 - 0.6, top + 3.3), wide + 1.2, 3.6, "paper")
            self.drawing.text((middle, top + 6.0), text, "small middle")
        self.drawing.node = outer

    def _critical(self) -> None:
        """The heavy line under what cannot take longer without the pair taking longer."""
        before: tuple[float, float] | None = None
        for piece in self.timeline.critical:
            y = self.tops[piece.channel] + _BAR_MM + 0.9
            start, end = self.scale.x(piece.start_s), self.scale.x(piece.start_s + piece.seconds)
            if before is not None and abs(before[1] - y) > 0.1 and abs(before[0] - start) < 1.0:
                self.drawing.line((start, before[1]), (start, y), "critical")
            self.drawing.line((start, y), (end, y), "critical")
            before = (end, y)

    # Spindles.

    def _spindle(self, lane: SpindleLane, top: float) -> None:
        name = f"{lane.name} tool" if lane.is_tool_drive else lane.name
        self.drawing.text((_GUTTER_MM - 3, top + 3.3), name, "gutter")
        middle = top + _SPINDLE_MM / 2
        self.drawing.line((_GUTTER_MM, middle), (self.scale.x(end_s(self.timeline)), middle), "stands")
        for span in lane.spans:
            x, width = self.scale.x(span.start_s), (span.end_s - span.start_s) * self.scale.mm_per_s
            is_c = span.state == "c-axis"
            node = self.drawing.rectangle((x, top), max(width, 0.25), _SPINDLE_MM, "c-axis" if is_c else "turns")
            low, high = plain(span.rpm_low, 0), plain(span.rpm_high, 0)
            speed = f"{low} rpm" if low == high else f"{low} to {high} rpm"
            text = "C axis" if is_c else speed
            self.drawing.hint(node, f"{name}: {'C axis on' if is_c else f'turns at {speed}'}")
            for shown in (text, high if not is_c else "C"):
                if text_width_mm(shown, _SMALL_MM) + 1.2 <= width:
                    self.drawing.text((x + width / 2, top + 3.2), shown, "small middle")
                    break
