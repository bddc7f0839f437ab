"""Follows a pair through its stages and measures every cut on the workpiece that the texts have left so far.

Between two waits the channels are followed one behind the other, in the order given: what they do at the same time
they do on different spindles, or one of them does not cut (the proof sees to that). Loads of two channels on one
spindle at the same time are not added.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from gemel.cutting.biting import Biter, Held
from gemel.cutting.holding import Holding
from gemel.reading.dialect import ToolKind

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from gemel.cutting.cut import Cut
    from gemel.cutting.facts import CuttingFacts
    from gemel.machines.schema import Machine
    from gemel.reading.run import Step

__all__ = ["Followed", "Gap", "follow"]

_CUTTERS = frozenset({ToolKind.TURNING, ToolKind.CUT_OFF, ToolKind.ROTATING})


class Gap(NamedTuple):
    """A cut that could not be measured, and why: the step of a channel, and the line of its block, 1-based."""

    channel: str
    step: int
    line: int
    why: str


class Followed(NamedTuple):
    """The cuts in the order in which they were followed, and the blocks whose cut is not known."""

    cuts: tuple[Cut, ...]
    gaps: tuple[Gap, ...]


def follow(channels: Mapping[str, Sequence[Step]], facts: CuttingFacts, machine: Machine) -> Followed:
    """Every cut of all channels; `channels` are their runs, pass behind pass."""
    holding = Holding(facts, machine)
    follower = _Follower(facts, machine, holding)
    for channel, index in _in_order(channels):
        follower.step(channel, index, channels[channel][index])
    return Followed(tuple(follower.cuts), tuple(follower.gaps))


def _in_order(channels: Mapping[str, Sequence[Step]]) -> Iterator[tuple[str, int]]:
    """Channel and index of every step: each channel up to its next wait, then all that have met go on.

    Channels that will never meet go on all the same; that is for the proof to say.
    """
    at = dict.fromkeys(channels, 0)
    while any(at[name] < len(steps) for name, steps in channels.items()):
        waiting = {}
        for name, steps in channels.items():
            while at[name] < len(steps) and steps[at[name]].wait is None:
                yield name, at[name]
                at[name] += 1
            if at[name] < len(steps):
                waiting[name] = steps[at[name]].wait
        met = {
            name
            for name, wait in waiting.items()
            if wait is not None
            and all(
                waiting.get(other) is not None and _number(waiting[other]) == wait.number
                for other in (wait.channels or channels)
                if other in channels
            )
        }
        for name in met or waiting:
            yield name, at[name]
            at[name] += 1


def _number(wait: object) -> int | None:
    return getattr(wait, "number", None)


class _Follower:
    """The channels' tools, the workpieces, and what was found."""

    def __init__(self, facts: CuttingFacts, machine: Machine, holding: Holding) -> None:
        self.facts = facts
        self.holding = holding
        self.biter = Biter(facts, machine, holding)
        self.held: dict[str, Held] = {}
        self.cuts: list[Cut] = []
        self.gaps: list[Gap] = []

    def step(self, channel: str, index: int, step: Step) -> None:
        """One block of one channel."""
        if step.tool is not None:
            self._take(channel, step)
        held = self.held.get(channel)
        z = step.motions[0].start.z if step.motions else self.biter.z.get(channel)
        stop = None if z is None else z * self.biter.mm
        for function in step.functions:
            self.holding.function(function, held.kind if held else None, stop)
        for motion in step.motions:
            start, end = motion.start, motion.end
            if start.slide is not None and end.slide is not None and start.slide != end.slide:
                self.holding.slide((end.slide - start.slide) * self.biter.mm)
            if held is not None and held.kind is ToolKind.BAR_PULLER and start.z is not None and end.z is not None:
                self.holding.pull((end.z - start.z) * self.biter.mm)
        if held is not None and held.kind in _CUTTERS and any(motion.cuts for motion in step.motions):
            self._cut(channel, index, step, held)
        if step.motions:
            self.biter.z[channel] = step.motions[-1].end.z
        for function in step.late:
            self.holding.function(function, held.kind if held else None, stop)

    def _take(self, channel: str, step: Step) -> None:
        call = step.tool
        if call is None or call.tool is None:
            self.held.pop(channel, None)
            return
        tool = self.facts.tools.get(channel, {}).get(call.station)
        self.held[channel] = Held(call.tool.kind, call.station, tool)

    def _cut(self, channel: str, index: int, step: Step, held: Held) -> None:
        found = self.biter.cut(channel, index, step, held)
        if isinstance(found, str):
            self.gaps.append(Gap(channel, index, step.block.line, found))
        elif found is not None:
            self.cuts.append(found)
