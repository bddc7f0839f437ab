"""What each channel does between its marks in the pass that is shown, and what that comes to: cycle or period.

A pair that repeats is taken in its steady state. One round is from the beginning of a pass of every channel to the
beginning of the next; what it takes in the long run is the maximum cycle mean of the delays from starts to ends.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from gemel.timing.rendezvous import match, match_round, trace, walk
from gemel.timing.steady import maximum_cycle_mean

if TYPE_CHECKING:
    from collections.abc import Sequence

    from gemel.timing.blocks import Timed
    from gemel.timing.rendezvous import Leg, Mark, Rendezvous, Walk
    from gemel.timing.running import Channel

__all__ = ["Course", "course_of"]

_MOST_ROUNDS = 64
"""Rounds after which the starts of the channels are taken as they are; with a mark for everybody one is enough."""

_SAME_S = 1e-9


@dataclass(frozen=True, slots=True)
class Course:
    """The pass that is shown (the round, where one channel makes several passes while another makes one).

    Attributes:
        blocks: of each channel, in order.
        legs: seconds of each leg of each channel; where a channel stands for ever, the last one ends there.
        meetings: who meets whom, in an order in which that can happen.
        groups: sets of channels that marks hold together, with the passes of the pair in their round.
        repeats: whether rounds follow each other.
        mark_s: seconds from the last arrival at a mark to going on.
    """

    blocks: tuple[tuple[Timed, ...], ...]
    legs: tuple[tuple[float, ...], ...]
    meetings: tuple[Rendezvous, ...]
    groups: tuple[tuple[tuple[int, ...], int], ...]
    repeats: bool
    mark_s: float

    def walk(self, legs: Sequence[Sequence[float]], starts: Sequence[float]) -> Walk:
        """When every channel is where."""
        return walk(self.meetings, legs, starts, self.mark_s)

    def starts(self) -> list[float]:
        """When each channel begins the pass: all at once, or in the steady state of a pair that repeats."""
        starts = [0.0] * len(self.legs)
        if not self.repeats:
            return starts
        for _ in range(_MOST_ROUNDS):
            ends = self.walk(self.legs, starts).ends
            shifts = [end - start for end, start in zip(ends, starts, strict=True)]
            if all(max(shifts[c] for c in g) - min(shifts[c] for c in g) < _SAME_S for g, _ in self.groups):
                break
            starts = self._from_zero(ends)
        return starts

    def _from_zero(self, moments: list[float]) -> list[float]:
        """Moments with the first of each group at zero."""
        for group, _ in self.groups:
            first = min(moments[c] for c in group)
            for channel in group:
                moments[channel] -= first
        return moments

    def _delays(self, legs: Sequence[Sequence[float]], group: Sequence[int]) -> list[list[float | None]]:
        """Row i, column j: seconds from the start of j to the end of i."""
        columns = []
        for source in group:
            ends = self.walk(legs, self._only(source)).ends
            columns.append([None if math.isinf(ends[c]) else ends[c] for c in group])
        return [[column[i] for column in columns] for i in range(len(group))]

    def _only(self, channel: int) -> list[float]:
        return [0.0 if c == channel else -math.inf for c in range(len(self.legs))]

    def seconds(self, legs: Sequence[Sequence[float]]) -> float:
        """What the pair takes with these legs: the period where it repeats, else the cycle."""
        if not self.repeats:
            return max(self.walk(legs, [0.0] * len(legs)).ends)
        return max(self.round_s(legs, group) / parts for group, parts in self.groups)

    def round_s(self, legs: Sequence[Sequence[float]], group: Sequence[int]) -> float:
        """Seconds of a round of channels that marks hold together, in the long run."""
        circuit = maximum_cycle_mean(self._delays(legs, group))
        return circuit.mean if circuit else 0.0

    def critical(self) -> list[Leg]:
        """The legs that decide `seconds`."""
        if not self.repeats:
            walked = self.walk(self.legs, [0.0] * len(self.legs))
            last = max(range(len(self.legs)), key=lambda c: walked.ends[c])
            return trace(self.meetings, walked, last)
        group, _ = max(self.groups, key=lambda g: self.round_s(self.legs, g[0]) / g[1])
        circuit = maximum_cycle_mean(self._delays(self.legs, group))
        if circuit is None:
            return []
        nodes = [group[i] for i in circuit.nodes]
        found: list[Leg] = []
        for source, target in zip(nodes, [*nodes[1:], nodes[0]], strict=True):
            found += trace(self.meetings, self.walk(self.legs, self._only(source)), target)
        return found


def course_of(channels: Sequence[Channel], mark_s: float, *, hangs: bool) -> Course:
    """The course of the pass that is shown: a later one of a pair that repeats, the first of one that ends or hangs."""
    marks = [c.marks[1] for c in channels]
    found = match_round(marks) if channels[0].repeats and not hangs else None
    if found is None:
        meetings, places = match(len(channels), lambda c, i: _at(channels[c].marks[0], i))
        blocks = [tuple(c.passes[0]) for c in channels]
        legs = [_legs(own)[: place + 1] for own, place in zip(blocks, places, strict=True)]
        everybody = (tuple(range(len(channels))), 1)
        return Course(tuple(blocks), tuple(legs), tuple(meetings), (everybody,), repeats=False, mark_s=mark_s)
    blocks = [tuple(c.passes[1]) * n for c, n in zip(channels, found.passes, strict=True)]
    groups = tuple((tuple(g), math.gcd(*(found.passes[c] for c in g))) for g in found.groups)
    return Course(tuple(blocks), tuple(map(_legs, blocks)), found.meetings, groups, repeats=True, mark_s=mark_s)


def _at(marks: Sequence[Mark], place: int) -> Mark | None:
    return marks[place] if place < len(marks) else None


def _legs(blocks: Sequence[Timed]) -> tuple[float, ...]:
    """Seconds between the marks."""
    legs = [0.0]
    for timed in blocks:
        legs[-1] += timed.spent.total_s
        if timed.step.wait is not None:
            legs.append(0.0)
    return tuple(legs)
