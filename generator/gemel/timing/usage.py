"""What spindles and tool drives do in time, and how much of the period everything is used."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from gemel.timing.model import Load, SpindleLane, SpindleSpan

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from gemel.machines.schema import Machine
    from gemel.timing.lanes import Placed
    from gemel.timing.model import BlockTime, Lane

__all__ = ["channel_load", "drive_loads", "spindle_lanes"]


@dataclass(slots=True)
class _Use:
    """What one drive does, while its events are gone through."""

    spans: list[SpindleSpan] = field(default_factory=list)
    state: str = ""
    since_s: float = 0.0
    rpms: list[float] = field(default_factory=list)
    begun: bool = False

    def take(self, kind: str, at_s: float, rpm: float, first_s: float) -> None:
        """One event. A stop that nothing came before ends what the pass before has left turning."""
        if kind in {"stop", "c-off"} and not self.begun:
            self.state, self.since_s = ("turning" if kind == "stop" else "c-axis"), first_s
        self.begun = True
        if kind == "turn" and self.state == "turning":
            self.rpms.append(rpm)
            return
        self.close(at_s)
        if kind == "turn":
            self.state, self.since_s, self.rpms = "turning", at_s, [rpm]
        elif kind == "c-on":
            self.state, self.since_s = "c-axis", at_s

    def close(self, at_s: float) -> None:
        """Ends the span that is open."""
        if self.state and at_s > self.since_s:
            low, high = (min(self.rpms), max(self.rpms)) if self.rpms and self.state == "turning" else (0.0, 0.0)
            self.spans.append(SpindleSpan(self.state, self.since_s, at_s, low, high))
        self.state, self.rpms = "", []


def spindle_lanes(
    placed: Sequence[Sequence[Placed]], names: Sequence[str], machine: Machine
) -> tuple[SpindleLane, ...]:
    """Every spindle in time, then the tool drive of every channel."""
    events = sorted(_events(placed, names))
    moments = [b.block.start_s for own in placed for b in own[:1]], [b.block.end_s for own in placed for b in own[-1:]]
    first_s, last_s = min(moments[0], default=0.0), max(moments[1], default=0.0)
    keys = [(name, name, False) for name in machine.spindles]
    keys += [(f"tool:{name}", name, True) for name in names]
    lanes = []
    for key, name, is_tool_drive in keys:
        use = _Use()
        for at_s, _, drive, kind, rpm in events:
            if drive == key:
                use.take(kind, at_s, rpm, first_s)
        use.close(last_s)
        lanes.append(SpindleLane(name, is_tool_drive, tuple(use.spans)))
    return tuple(lanes)


def _events(placed: Sequence[Sequence[Placed]], names: Sequence[str]) -> Iterator[tuple[float, int, str, str, float]]:
    """Moment, order, drive, kind, rpm of everything that happens to a drive; the speeds reached in cuts among it."""
    order = 0
    for name, own in zip(names, placed, strict=True):
        for timed, block in own:
            order += 1
            for event in timed.events:
                yield block.start_s + event.at_s, order, event.drive, event.kind, event.rpm
            if block.drive:
                key = f"tool:{name}" if block.drive == "tool" else block.drive
                yield block.start_s, order, key, "turn", block.rpm_low
                yield block.end_s, order, key, "turn", block.rpm_high


def channel_load(lane: Lane, lost_s: float, marks_s: float, period_s: float) -> Load:
    """How much of the period a channel works; what it takes at marks counts as work, waiting for others does not."""
    busy_s = sum(bar.seconds for bar in lane.bars) + marks_s
    cutting_s = sum(bar.spent.cutting_s for bar in lane.bars)
    return Load(lane.channel, "channel", busy_s, cutting_s, lost_s, busy_s / period_s, cutting_s / period_s)


def drive_loads(spindles: Iterable[SpindleLane], lanes: Sequence[Lane], period_s: float) -> Iterator[Load]:
    """How much of the period spindles and tool drives are used."""
    for lane in spindles:
        busy_s = sum(span.end_s - span.start_s for span in lane.spans)
        if lane.is_tool_drive:
            cuts = [b for own in lanes if own.channel == lane.name for b in own.blocks if b.drive == "tool"]
        else:
            cuts = [b for own in lanes for b in own.blocks if b.spindle == lane.name and b.spent.cutting_s > 0]
        cutting_s = _union_s(cuts)
        kind = "drive" if lane.is_tool_drive else "spindle"
        yield Load(lane.name, kind, busy_s, cutting_s, 0.0, busy_s / period_s, cutting_s / period_s)


def _union_s(blocks: Iterable[BlockTime]) -> float:
    """Seconds in which at least one of the blocks cuts; a block cuts in the last of its seconds."""
    total = 0.0
    reached = float("-inf")
    for begin, end in sorted((b.end_s - b.spent.cutting_s, b.end_s) for b in blocks):
        total += max(0.0, end - max(begin, reached))
        reached = max(reached, end)
    return total
