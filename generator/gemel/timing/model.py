"""What a pair costs in time: the timeline, and what it is made of.

Times are seconds from the moment at which the first channel begins the pass that is shown. Of a pair that repeats
this is a pass in its steady state: the second one or a later one, laid out so that the next begins `period_s` later.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from gemel.timing.pieces import Arrival, Bar, BlockTime, Meeting, Spent

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.findings import Span

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
