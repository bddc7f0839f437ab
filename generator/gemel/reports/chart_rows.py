"""What a time chart says of an operation: the words that a pointer is told, and the rows of the tables below it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from gemel.families.stations import find_station
from gemel.reports.sizes import plain, tenth

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.machines.schema import Machine
    from gemel.timing import Bar, BlockTime, Timeline

__all__ = ["BarRow", "BlockRow", "WaitRow", "bar_rows", "short_name", "wait_rows"]

_LONGEST_NAME = 26


class BlockRow(NamedTuple):
    """One block for the pointer: when it begins and how long it takes, its line, its text."""

    start_s: float
    seconds: float
    line: int
    text: str


@dataclass(frozen=True, slots=True)
class BarRow:
    """One operation.

    Attributes:
        key: identifies its bar in the drawing.
        channel: whose it is. label: its sequence number, else its first line.
        name: as the program calls it.
        lines: first and last.
        tool: station and name.
        spindle: it works on. speed, feed: in force while it cuts. power: what the cut takes, empty if nobody said.
        seconds: how long it takes. cutting: of it feed moves.
        critical: seconds of it on the critical path, empty without. gain: what a second less in it brings.
        blocks: its blocks.
    """

    key: str
    channel: str
    label: str
    name: str
    lines: str
    tool: str
    spindle: str
    speed: str
    feed: str
    power: str
    seconds: str
    cutting: str
    critical: str
    gain: str
    blocks: tuple[BlockRow, ...]

    @property
    def said(self) -> str:
        """All of it in a few lines, for a pointer that rests on the bar."""
        parts = [
            f"{self.label} {self.name}",
            f"{self.channel}, lines {self.lines}: {self.seconds} s, of it {self.cutting} s feed",
            *([f"tool {self.tool}"] if self.tool else []),
            *([f"turns at {self.speed}: {self.spindle}"] if self.speed else []),
            *([f"feed {self.feed}"] if self.feed else []),
            *([f"power {self.power}"] if self.power else []),
            *([f"{self.critical} s of it on the critical path"] if self.critical else []),
        ]
        return "\n".join(parts)


class WaitRow(NamedTuple):
    """One channel that waits at a mark."""

    mark: int
    channel: str
    waits_for: str
    seconds: str
    share: str


def short_name(name: str) -> str:
    """An operation's name without its tool, cut to what a bar can hold."""
    short = name.partition(",")[0]
    return short if len(short) <= _LONGEST_NAME else short[: _LONGEST_NAME - 1].rstrip() + "\N{HORIZONTAL ELLIPSIS}"


def bar_rows(
    timeline: Timeline, machine: Machine, key: str, powers: Mapping[tuple[str, int], str] | None = None
) -> tuple[BarRow, ...]:
    """A row for every operation, channel by channel.

    Args:
        timeline: of the pair.
        machine: it runs on.
        key: begins the keys of its bars, so that two charts on a page keep apart.
        powers: what the cuts take, by channel and first line of the operation.
    """
    found = []
    for lane_index, lane in enumerate(timeline.lanes):
        for index, bar in enumerate(lane.bars):
            power = (powers or {}).get((bar.channel, bar.first_line), "")
            found.append(_row(bar, machine, f"{key}-{lane_index}-{index}", power))
    return tuple(found)


def _row(bar: Bar, machine: Machine, key: str, power: str) -> BarRow:
    label = f"line {bar.first_line}" if bar.sequence is None else str(bar.sequence)
    gain = "" if bar.gain_s < 0.005 else f"{plain(bar.gain_s, 2)}"
    return BarRow(
        key=key,
        channel=bar.channel,
        label=label,
        name=bar.name,
        lines=f"{bar.first_line} to {bar.last_line}",
        tool=_tool(bar, machine),
        spindle=_turns(bar),
        speed=_range(bar.rpm, "rpm") if bar.drive else "",
        feed=_feed(bar, machine),
        power=power,
        seconds=("at least " if bar.is_unknown else "") + tenth(bar.seconds),
        cutting=tenth(bar.spent.cutting_s),
        critical="" if bar.critical_s < 0.05 else tenth(bar.critical_s),
        gain=gain,
        blocks=tuple(_block(b) for b in bar.blocks),
    )


def _block(block: BlockTime) -> BlockRow:
    text = block.step.block.text.strip()
    return BlockRow(round(block.start_s, 2), round(block.spent.total_s, 2), block.line, text)


def _tool(bar: Bar, machine: Machine) -> str:
    if bar.station is None:
        return ""
    channel = machine.channels.get(bar.channel)
    place = find_station(channel, str(bar.station)) if channel else None
    call = str(place.call) if place else str(bar.station)
    return call if bar.tool.startswith("station") else f"{call} {bar.tool}"


def _turns(bar: Bar) -> str:
    """Which spindle the part is on, and what turns for the cut."""
    if not bar.drive:
        return bar.spindle
    return f"{bar.drive} spindle" if bar.drive != "tool" else f"the tool; {bar.spindle} holds"


def _range(ends: tuple[float, float], unit: str) -> str:
    low, high = (plain(end, 0) for end in ends)
    return f"{low} {unit}" if low == high else f"{low} to {high} {unit}"


def _feed(bar: Bar, machine: Machine) -> str:
    if not bar.feed_mode:
        return ""
    unit = {"minute": f"{machine.unit}/min", "revolution": f"{machine.unit}/rev"}.get(bar.feed_mode, "mixed")
    low, high = (plain(end) for end in bar.feed)
    return f"{low} {unit}" if low == high else f"{low} to {high} {unit}"


def wait_rows(timeline: Timeline) -> tuple[WaitRow, ...]:
    """Every channel that loses time at a mark, the longest wait first."""
    found = []
    for meeting in timeline.meetings:
        for arrival in meeting.arrivals:
            if arrival.lost_s >= 0.05:
                others = [name for name in meeting.last if name != arrival.channel]
                share = f"{plain(100 * arrival.lost_s / timeline.period_s, 1)} %" if timeline.period_s else ""
                row = WaitRow(meeting.number, arrival.channel, " and ".join(others), tenth(arrival.lost_s), share)
                found.append((arrival.lost_s, row))
    return tuple(row for _, row in sorted(found, key=lambda pair: -pair[0]))
