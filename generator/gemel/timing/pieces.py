"""The pieces of a pair in time: what seconds are spent on, blocks, operations, meetings at wait marks.

Times are seconds from the moment at which the first channel begins the pass that is shown.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from gemel.reading.run import Step

__all__ = ["Arrival", "Bar", "BlockTime", "Meeting", "Spent"]


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
