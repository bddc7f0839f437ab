"""The height of material over Z: the turned outline of a workpiece, or of its bore turned inside out.

A height is a radius in mm, and less of it is more cut away. A bore's height is the negative of its radius, so that
the same functions serve both. Straight between break points; nothing beyond the front.
"""

from __future__ import annotations

from typing import NamedTuple

__all__ = ["NOTHING", "Profile", "Run"]

NOTHING = float("-inf")
"""Height where there is no material."""

_LEAST_MM = 1e-9
_BEHIND_MM = -1e4
"""Where the bar ends for all that is cut here."""


class Run(NamedTuple):
    """A stretch from `low` to `high` with the heights at its ends."""

    low: float
    high: float
    at_low: float
    at_high: float

    def at(self, z: float) -> float:
        """The height inside the stretch."""
        span = self.high - self.low
        return self.at_low + (self.at_high - self.at_low) * (z - self.low) / span if span else self.at_low

    def between(self, low: float, high: float) -> Run:
        """The part of it from one place to another, both inside."""
        return Run(low, high, self.at(low), self.at(high))


class Profile:
    """A height over Z, which cutting lowers. Changed in place."""

    __slots__ = ("runs",)

    def __init__(self, runs: list[Run]) -> None:
        self.runs = runs

    @classmethod
    def bar(cls, height: float, front: float) -> Profile:
        """A bar of one height up to its front."""
        return cls([Run(_BEHIND_MM, front, height, height)])

    @property
    def front(self) -> float:
        """Z of its front; where nothing is left, far behind."""
        return self.runs[-1].high if self.runs else _BEHIND_MM

    def within(self, low: float, high: float) -> list[Run]:
        """Its stretches between two places, in order, cut at them."""
        found = []
        for run in self.runs:
            start, end = max(low, run.low), min(high, run.high)
            if end - start > _LEAST_MM:
                found.append(run.between(start, end))
        return found

    def at(self, z: float) -> float:
        """The height at a place, the greater one at a step; NOTHING beyond the front."""
        return max((run.at(z) for run in self.runs if run.low <= z <= run.high), default=NOTHING)

    def highest(self, low: float, high: float) -> float:
        """The greatest height between two places; NOTHING where there is no material."""
        return max((max(r.at_low, r.at_high) for r in self.within(low, high)), default=NOTHING)

    def beyond(self, z: float, height: float) -> float:
        """Length of material from a place towards the front that is higher than `height` without a gap."""
        reach = z
        for run in self.within(z, self.front):
            if run.low - reach > _LEAST_MM or min(run.at_low, run.at_high) <= height:
                break
            reach = run.high
        return reach - z

    def over(self, line: Run) -> list[tuple[Run, float]]:
        """The stretches of a line that lie below the height, each with the mean of how far."""
        found = []
        for run in self.within(line.low, line.high):
            piece = line.between(run.low, run.high)
            gaps = run.at_low - piece.at_low, run.at_high - piece.at_high
            if max(gaps) <= _LEAST_MM:
                continue
            if min(gaps) < 0:
                cross = run.low + (run.high - run.low) * gaps[0] / (gaps[0] - gaps[1])
                low, high = (run.low, cross) if gaps[0] > 0 else (cross, run.high)
                found.append((line.between(low, high), max(gaps) / 2.0))
            else:
                found.append((piece, sum(gaps) / 2.0))
        return found

    def lower(self, line: Run) -> None:
        """Cut it down to a line, where it is higher."""
        made: list[Run] = []
        for run in self.runs:
            start, end = max(line.low, run.low), min(line.high, run.high)
            if end - start <= _LEAST_MM:
                made.append(run)
                continue
            if start - run.low > _LEAST_MM:
                made.append(run.between(run.low, start))
            made += _least(run.between(start, end), line.between(start, end))
            if run.high - end > _LEAST_MM:
                made.append(run.between(end, run.high))
        self.runs = made

    def end_at(self, z: float) -> None:
        """Take away everything beyond a place."""
        self.runs = self.within(_BEHIND_MM, z)

    def begin_at(self, z: float) -> None:
        """Take away everything behind a place."""
        self.runs = self.within(z, self.front)

    def moved(self, distance: float) -> Profile:
        """The same, moved along Z; the bar behind it goes on as it was."""
        runs = [Run(r.low + distance, r.high + distance, r.at_low, r.at_high) for r in self.runs]
        if runs and distance > 0:
            runs[0] = runs[0]._replace(low=_BEHIND_MM)
        return Profile(runs)

    def turned_round(self, z: float, at: float) -> Profile:
        """The same seen from the other end: what was at `z` is at `at`, and what lay before it lies behind."""
        runs = [Run(at + z - r.high, at + z - r.low, r.at_high, r.at_low) for r in reversed(self.runs)]
        return Profile(runs)

    def copy(self) -> Profile:
        """The same, independent of this one."""
        return Profile(list(self.runs))


def _least(run: Run, line: Run) -> list[Run]:
    """The lower of two over the same stretch."""
    gaps = run.at_low - line.at_low, run.at_high - line.at_high
    if max(gaps) <= 0:
        return [run]
    if min(gaps) >= 0:
        return [line]
    cross = run.low + (run.high - run.low) * gaps[0] / (gaps[0] - gaps[1])
    if not run.low < cross < run.high:
        return [run if sum(gaps) <= 0 else line]
    first, second = (line, run) if gaps[0] > 0 else (run, line)
    return [first.between(run.low, cross), second.between(cross, run.high)]
