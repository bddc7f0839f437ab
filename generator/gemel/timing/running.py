"""Carries out a pair block by block in time, so that every block finds spindles and clamps as they are by then."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from gemel.reading.interpret import interpret
from gemel.timing.blocks import BlockTimer
from gemel.timing.facts import Floor, channel_facts
from gemel.timing.rendezvous import Mark, match

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

    from gemel.machines.schema import Machine
    from gemel.reading.channel import ChannelText
    from gemel.reading.run import Run, Step
    from gemel.timing.blocks import Timed
    from gemel.timing.rendezvous import Rendezvous

__all__ = ["Channel", "channels_of", "run_all"]

_MOST_PASSES = 16
"""Passes of a pair that repeats within which each channel must have ended two, or it is taken to stand for ever."""


@dataclass(slots=True)
class Channel:
    """One channel of a pair that is timed.

    Attributes:
        name: as the machine file calls it.
        text: what it runs.
        first: its first pass.
        later: every pass behind, where the pair repeats; else the first.
        marks: the marks of the first pass, and of a later one.
        passes: its blocks with their durations, of the first pass and of a later one; a pass may be cut short.
    """

    name: str
    text: ChannelText
    first: Run
    later: Run
    marks: tuple[list[Mark], list[Mark]]
    passes: list[list[Timed]] = field(default_factory=list)

    @property
    def repeats(self) -> bool:
        """Whether the pair that it belongs to repeats."""
        return self.later is not self.first

    def mark(self, place: int) -> Mark | None:
        """A mark by its place among all of all passes; None behind the last."""
        first, later = self.marks
        if place < len(first):
            return first[place]
        return later[(place - len(first)) % len(later)] if self.repeats and later else None

    def marks_of(self, passes: int) -> int:
        """How many marks that many passes have."""
        return len(self.marks[0]) + (passes - 1) * len(self.marks[1])

    def steps(self, passes: int) -> Iterator[tuple[int, Step]]:
        """The steps of that many passes, each with the number of its pass, from 0."""
        for step in self.first.steps:
            yield 0, step
        for number in range(1, passes):
            for step in self.later.steps:
                yield number, step


def channels_of(texts: Mapping[str, ChannelText], *, skip: bool) -> list[Channel]:
    """The runs of every channel; of a pair that repeats, two passes of each."""
    firsts = {name: interpret(text, skip=skip) for name, text in texts.items()}
    repeats = all(run.ending == "repeat" and run.steps for run in firsts.values())
    indices = {name: i for i, name in enumerate(texts)}
    channels = []
    for name, text in texts.items():
        first = firsts[name]
        later = interpret(text, first.state, skip=skip, pass_number=2) if repeats else first
        marks = [_marks(run, name, indices) for run in (first, later)]
        channels.append(Channel(name, text, first, later, (marks[0], marks[1])))
    return channels


def _marks(run: Run, name: str, indices: Mapping[str, int]) -> list[Mark]:
    """The wait marks of a run in order."""
    found = []
    for step in run.steps:
        if step.wait is not None:
            names = indices if step.wait.channels is None else step.wait.channels
            named = frozenset(indices.get(n, -1) for n in names) - {indices[name]}
            found.append(Mark(step.wait.number, named))
    return found


def run_all(channels: Sequence[Channel], machine: Machine, override: float) -> list[bool]:
    """Times every block of every channel; gives which channels stand for ever."""
    repeats = channels[0].repeats
    enough = [sum(map(len, c.marks)) if repeats else len(c.marks[0]) for c in channels]
    meetings: list[Rendezvous] = []
    stands = [True]
    passes = 1
    for passes in (2, _MOST_PASSES) if repeats else (1,):
        # Two passes of every channel are enough, unless one meets several passes of another in each of its own.
        meetings, places = match(len(channels), _marks_within(channels, passes))
        stands = [place < count for place, count in zip(places, enough, strict=True)]
        if not any(stands):
            break
    _Clock(channels, machine, override, meetings).run(passes)
    return stands


def _marks_within(channels: Sequence[Channel], passes: int) -> Callable[[int, int], Mark | None]:
    """The marks of that many passes."""
    most = [c.marks_of(passes) for c in channels]
    return lambda channel, place: channels[channel].mark(place) if place < most[channel] else None


class _Clock:
    """Lets the channel go next that is furthest behind in time."""

    def __init__(
        self, channels: Sequence[Channel], machine: Machine, override: float, meetings: Sequence[Rendezvous]
    ) -> None:
        self.floor = Floor.of(machine)
        self.channels = channels
        self.timers = [BlockTimer(channel_facts(machine, c.name), self.floor, override) for c in channels]
        self.now_s = [0.0] * len(channels)
        self.running = set(range(len(channels)))
        self.awaited = {(m.channel, m.place): meeting for meeting in meetings for m in meeting.members}
        self.arrived: list[list[float]] = [[] for _ in channels]

    def run(self, passes: int) -> None:
        """Times every block that is reached in that many passes; the first two of each channel are kept."""
        steps = [c.steps(passes) for c in self.channels]
        for channel in self.channels:
            channel.passes = [[] for _ in range(min(passes, 2))]
        while self.running:
            index = min(self.running, key=lambda c: (self.now_s[c], c))
            number, step = next(steps[index], (0, None))
            if step is None:
                self.running.remove(index)
                continue
            timed = self.timers[index].time(step, self.now_s[index])
            if number < 2:
                self.channels[index].passes[number].append(timed)
            self.now_s[index] += timed.spent.total_s
            if step.wait is not None:
                self._arrive(index)

    def _arrive(self, channel: int) -> None:
        """Stands at a mark; lets go everybody who waits for nobody else there."""
        place = len(self.arrived[channel])
        self.arrived[channel].append(self.now_s[channel])
        self.running.remove(channel)
        meeting = self.awaited.get((channel, place))
        if meeting is None:
            return
        there = {
            m.channel: self.arrived[m.channel][m.place] for m in meeting.members if self._is_at(m.channel, m.place)
        }
        for member, its_place, awaits in meeting.members:
            waits = member in there and member not in self.running and len(self.arrived[member]) == its_place + 1
            if waits and awaits <= there.keys():
                self.now_s[member] = max([there[member], *(there[c] for c in awaits)]) + self.floor.wait_s
                self.running.add(member)

    def _is_at(self, channel: int, place: int) -> bool:
        """Whether a channel has come to a mark."""
        return len(self.arrived[channel]) > place
