"""What a pair costs in time: the timeline, and what it is made of.

Times are seconds from the moment at which the first channel begins the pass that is shown. Of a pair that repeats
this is a pass in its steady state: the second one or a later one, laid out so that the next begins `period_s` later.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.findings import Span
    from gemel.reading.run import Step

__all__ = [
    "Arrival",
    "Bar",
    "BlockTime",
    "CriticalPiece",
    "Lane",
    "Load",
    "Meeting",
    "Spent",
    "SpindleLane",
    "SpindleSpan",
    "Stuck",
    "Timeline",
    "Unknown",
]


class Spent(NamedTuple):
    """Seconds by what they are spent on.

    Attributes:
        cutting_s: feed moves, whether or not they meet material.
        rapid_s: rapid moves, those inside cycles included.
        dwell_s: dwells, those inside cycles included.
        tool_change_s: tool calls.
        function_s: clamps, C axes, spindle starts and stops, synchronisation, coolant, the wait mark itself.
    """

    cutting_s: float = 0.0
    rapid_s: float = 0.0
    dwell_s: float = 0.0
    tool_change_s: float = 0.0
    function_s: float = 0.0

    @property
    def total_s(self) -> float:
        """All of it."""
        return self.cutting_s + self.rapid_s + self.dwell_s + self.tool_change_s + self.function_s

    def plus(self, other: Spent) -> Spent:
        """The sum, item by item."""
        return Spent(*(a + b for a, b in zip(self, other, strict=True)))


@dataclass(frozen=True, slots=True)
class BlockTime:
    """One executed block in time.

    Attributes:
        step: the block and what it does (`step.block.line`, `step.motions`, `step.tool`...).
        start_s: when its channel begins it.
        spent: how long it takes, by what; waiting at a mark is not among it.
        spindle: the spindle whose work offset is active in it, empty if none.
        drive: what turns for its cut: a spindle's name, `tool` for the channel's rotating tool, empty without a cut.
        rpm_low: lowest speed of that drive during the cut, 1/min; 0 without a cut.
        rpm_high: highest one.
        feed_high: fastest path feed of the cut, unit/min; 0 without a cut.
        unknown: why its duration cannot be known in full, empty where it is. The part that is known is in `spent`.
    """

    step: Step
    start_s: float
    spent: Spent
    spindle: str = ""
    drive: str = ""
    rpm_low: float = 0.0
    rpm_high: float = 0.0
    feed_high: float = 0.0
    unknown: str = ""

    @property
    def end_s(self) -> float:
        """When its channel has done it; at a wait mark, without the waiting."""
        return self.start_s + self.spent.total_s

    @property
    def line(self) -> int:
        """Its line, 1-based."""
        return self.step.block.line


@dataclass(frozen=True, slots=True)
class Bar:
    """One operation of one channel between two wait marks, as the program text tells operations apart.

    Attributes:
        channel: whose it is.
        name: the comment above its first block, else the tool, else `start` for what stands before the first tool.
        sequence: sequence number of its first block, None without.
        stage: sequence number of the stage it is in (that of the wait mark before), None without.
        mark: number of the wait mark before it, None before the first.
        blocks: its blocks in order, at least one.
        station: of the tool in use, None before the first tool call.
        tool: name of that tool in the machine file; empty if it is not listed.
        spindle: the spindle it works on, empty if it cuts nothing under an offset.
        drive: what turns for its cuts; empty without a cut.
        rpm: lowest and highest speed of its cuts, 1/min; (0, 0) without.
        feed: lowest and highest F of its cuts; (0, 0) without.
        feed_mode: `minute` or `revolution`, `mixed` for both, empty without a cut.
        spent: its seconds, by what they are spent on.
        critical_s: how much of it lies on the critical path.
        gain_s: by how much the period (of a pair that ends: the cycle) shrinks if it takes one second less, or nothing
            at all where it takes less than one second.
    """

    channel: str
    name: str
    sequence: int | None
    stage: int | None
    mark: int | None
    blocks: tuple[BlockTime, ...]
    station: int | None
    tool: str
    spindle: str
    drive: str
    rpm: tuple[float, float]
    feed: tuple[float, float]
    feed_mode: str
    spent: Spent
    critical_s: float = 0.0
    gain_s: float = 0.0

    @property
    def start_s(self) -> float:
        """When it begins."""
        return self.blocks[0].start_s

    @property
    def end_s(self) -> float:
        """When it ends."""
        return self.blocks[-1].end_s

    @property
    def seconds(self) -> float:
        """How long it takes."""
        return self.spent.total_s

    @property
    def file(self) -> str:
        """The file of its first block."""
        return self.blocks[0].step.block.source

    @property
    def first_line(self) -> int:
        """Line of its first block, 1-based."""
        return self.blocks[0].line

    @property
    def last_line(self) -> int:
        """Line of its last block; where subprograms are called, not always the highest."""
        return self.blocks[-1].line

    @property
    def is_unknown(self) -> bool:
        """Whether the duration of any of its blocks cannot be known."""
        return any(b.unknown for b in self.blocks)


@dataclass(frozen=True, slots=True)
class Arrival:
    """One channel at one wait mark.

    Attributes:
        channel: who.
        block: the block with the mark.
        arrive_s: when it stands there.
        lost_s: how long it waits for the last one; 0 for the last.
        depart_s: when it goes on, the seconds that the mark itself takes included.
    """

    channel: str
    block: BlockTime
    arrive_s: float
    lost_s: float
    depart_s: float


@dataclass(frozen=True, slots=True)
class Meeting:
    """One wait mark, where the channels that it names have met.

    Attributes:
        number: of the mark.
        arrivals: of every channel that met there, in the order of the machine file.
    """

    number: int
    arrivals: tuple[Arrival, ...]

    @property
    def last(self) -> tuple[str, ...]:
        """Who the others wait for: the channels that arrive last, at the same moment if they are several."""
        latest = max(a.arrive_s for a in self.arrivals)
        return tuple(a.channel for a in self.arrivals if latest - a.arrive_s < 1e-9)

    @property
    def depart_s(self) -> float:
        """When the last of them goes on."""
        return max(a.depart_s for a in self.arrivals)

    @property
    def lost_s(self) -> float:
        """Seconds lost there by all channels together."""
        return sum(a.lost_s for a in self.arrivals)

    def of(self, channel: str) -> Arrival | None:
        """The arrival of a channel, None if it was not there."""
        return next((a for a in self.arrivals if a.channel == channel), None)


@dataclass(frozen=True, slots=True)
class Lane:
    """One channel in time.

    Attributes:
        channel: as the machine file names it.
        bars: its operations in order.
        start_s: when it begins the pass.
        end_s: when it has ended it; where it stands for ever, when it came there.
        ending: how its program ends, as `Run.ending`.
    """

    channel: str
    bars: tuple[Bar, ...]
    start_s: float
    end_s: float
    ending: str

    @property
    def blocks(self) -> Iterator[BlockTime]:
        """Its blocks in order, those with wait marks left out."""
        return (b for bar in self.bars for b in bar.blocks)


class SpindleSpan(NamedTuple):
    """What a spindle or a tool drive does for a while.

    Attributes:
        state: `turning`, or `c-axis` while the C axis is on.
        start_s: from when.
        end_s: until when.
        rpm_low: lowest speed while it turns, 1/min.
        rpm_high: highest one.
    """

    state: str
    start_s: float
    end_s: float
    rpm_low: float = 0.0
    rpm_high: float = 0.0


@dataclass(frozen=True, slots=True)
class SpindleLane:
    """A work spindle, or the drive of a channel's rotating tools, in time.

    Attributes:
        name: the spindle's, or the channel's whose drive it is.
        is_tool_drive: whether it is a channel's drive.
        spans: what it does, in order; between them it stands.
    """

    name: str
    is_tool_drive: bool
    spans: tuple[SpindleSpan, ...]


@dataclass(frozen=True, slots=True)
class Load:
    """How much of the period something is used.

    Attributes:
        name: of a channel, a spindle, or of the channel whose tool drive it is.
        kind: `channel` `spindle` `drive`.
        busy_s: seconds in which it does something: a channel all but waiting, a spindle and a drive turning or with the
            C axis on.
        cutting_s: seconds in which it cuts (of a spindle: in which somebody cuts on it; two at a time count once).
        lost_s: of a channel, seconds it waits at marks.
        share: `busy_s` as a share of the period, 0 to 1.
        cutting_share: `cutting_s` as a share of the period, 0 to 1.
    """

    name: str
    kind: str
    busy_s: float
    cutting_s: float
    lost_s: float
    share: float
    cutting_share: float


class CriticalPiece(NamedTuple):
    """A stretch of the critical path: nothing in it can take longer without the pair taking longer.

    Attributes:
        channel: where it runs.
        name: the operation's, or `wait mark` for the seconds that a mark itself takes.
        start_s: in the timeline.
        seconds: how long.
        mark: number of the wait mark at which the path comes into this channel, None if it was there before.
    """

    channel: str
    name: str
    start_s: float
    seconds: float
    mark: int | None = None


class Unknown(NamedTuple):
    """A block whose duration cannot be known from text and machine file.

    Attributes:
        channel: whose.
        span: the block.
        block: its text.
        reason: one sentence.
    """

    channel: str
    span: Span
    block: str
    reason: str


class Stuck(NamedTuple):
    """A channel that stands for ever at a wait mark."""

    channel: str
    span: Span
    block: str
    number: int


@dataclass(frozen=True)
class Timeline:
    """A pair in time.

    Attributes:
        machine: name of the machine.
        override: feed override it was timed with, 1 for 100 %.
        lanes: the channels, in the machine file's order.
        meetings: the wait marks of the pass, in the order of departure.
        spindles: the spindles, then the tool drives of the channels.
        cycle_s: from the first channel's start to the last one's end; None where the pair hangs. At least that much
            where `unknown` is not empty.
        period_s: from one part to the next. Of a pair that repeats, the maximum cycle mean, since one channel may be
            on the next part already; else the cycle. None where the pair hangs.
        repeats: whether every channel repeats.
        critical: the critical path; of a pair that repeats, the critical circuit, once round.
        loads: channels, then spindles, then tool drives.
        unknown: blocks whose duration cannot be known, by channel and line.
        stuck: channels that stand for ever, empty for a pair that runs.
    """

    machine: str
    override: float
    lanes: tuple[Lane, ...]
    meetings: tuple[Meeting, ...]
    spindles: tuple[SpindleLane, ...]
    cycle_s: float | None
    period_s: float | None
    repeats: bool
    critical: tuple[CriticalPiece, ...]
    loads: tuple[Load, ...]
    unknown: tuple[Unknown, ...] = ()
    stuck: tuple[Stuck, ...] = ()

    @cached_property
    def bars(self) -> tuple[Bar, ...]:
        """The operations of all channels, channel by channel."""
        return tuple(bar for lane in self.lanes for bar in lane.bars)

    def lane(self, channel: str) -> Lane:
        """The lane of a channel."""
        return next(lane for lane in self.lanes if lane.channel == channel)

    def load(self, name: str, kind: str = "channel") -> Load:
        """The load of a channel, a spindle or a drive."""
        return next(x for x in self.loads if (x.name, x.kind) == (name, kind))

    @property
    def is_exact(self) -> bool:
        """Whether every duration is known and the pair runs to its end."""
        return not self.unknown and not self.stuck
