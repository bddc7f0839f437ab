"""Where channels meet, and the arithmetic of waiting: no text, no machine, only legs between marks.

A channel is a list of legs with a mark between each and the next. At a mark it goes on when every channel that the mark
names has come to a mark with the same number, so that with marks that name everybody the time of the whole is
the sum over the legs of the longest.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

__all__ = ["Leg", "Mark", "Member", "Rendezvous", "Round", "Walk", "match", "match_round", "trace", "walk"]

_MOST_PASSES = 64
"""Passes of a channel within which a pair that repeats must come round."""


class Mark(NamedTuple):
    """A wait mark of one channel.

    Attributes:
        number: as written.
        named: indices of the channels that it names, its own left out; -1 for one that is not there.
    """

    number: int
    named: frozenset[int]


class Member(NamedTuple):
    """A channel at a rendezvous: its index, that of the mark among its own, and the channels that it waits for."""

    channel: int
    place: int
    awaits: frozenset[int]


class Rendezvous(NamedTuple):
    """A meeting of channels at marks with one number."""

    number: int
    members: tuple[Member, ...]

    def at(self, channel: int) -> int:
        """Index of the mark of one of its members."""
        return next(m.place for m in self.members if m.channel == channel)


class Round(NamedTuple):
    """What a pair that repeats does until every channel is at the beginning of a pass again.

    Attributes:
        meetings: in an order in which they can happen; indices count over all passes of the round.
        passes: how many passes each channel makes.
        groups: sets of channels that marks hold together.
    """

    meetings: tuple[Rendezvous, ...]
    passes: tuple[int, ...]
    groups: tuple[tuple[int, ...], ...]


def match(count: int, mark_of: Callable[[int, int], Mark | None]) -> tuple[list[Rendezvous], tuple[int, ...]]:
    """Who meets whom where, and at which mark each channel stands when nobody can go on.

    Durations do not matter: a mark holds a channel until the named ones come, however long that takes.

    Args:
        count: how many channels there are.
        mark_of: the mark of a channel by its index among its own; None behind the last.
    """
    places = [0] * count
    meetings: list[Rendezvous] = []
    while met := _fire(range(count), places, mark_of):
        meetings += met
    return meetings, tuple(places)


def _fire(channels: Iterable[int], places: list[int], mark_of: Callable[[int, int], Mark | None]) -> list[Rendezvous]:
    """Lets everybody go who can go where the channels stand now."""
    here = {c: mark_of(c, places[c]) for c in channels}
    free = {
        channel: mark
        for channel, mark in here.items()
        if mark is not None and all((o := here.get(n)) is not None and o.number == mark.number for n in mark.named)
    }
    met = []
    for group in _groups({c: m.named for c, m in free.items()}):
        members = tuple(Member(c, places[c], free[c].named) for c in group if c in free)
        met.append(Rendezvous(free[members[0].channel].number, members))
    for channel in free:
        places[channel] += 1
    return met


def _groups(links: dict[int, frozenset[int]]) -> list[list[int]]:
    """The sets that links hold together, each sorted."""
    groups: list[set[int]] = []
    for one, others in links.items():
        joined = {one, *(o for o in others if o >= 0)}
        apart = [g for g in groups if not g & joined]
        groups = [*apart, joined.union(*(g for g in groups if g & joined))]
    return sorted(sorted(g) for g in groups)


def match_round(marks: Sequence[Sequence[Mark]]) -> Round | None:
    """The round of channels that repeat; None if they hang, or do not come round.

    Channels that no mark holds together go round each for themselves.
    """
    passes = [1] * len(marks)
    meetings: list[Rendezvous] = []
    links = {c: frozenset(n for m in own for n in m.named) for c, own in enumerate(marks)}
    groups = _groups(links)
    for group in groups:
        places = [0] * len(marks)
        if not any(marks[c] for c in group):
            continue
        while True:
            met = _fire(group, places, lambda c, i: marks[c][i % len(marks[c])] if marks[c] else None)
            if not met or any(places[c] > _MOST_PASSES * len(marks[c]) for c in group):
                return None
            meetings += met
            if all(places[c] and places[c] % len(marks[c]) == 0 for c in group):
                break
        for channel in group:
            passes[channel] = places[channel] // len(marks[channel])
    return Round(tuple(meetings), tuple(passes), tuple(map(tuple, groups)))


class Walk(NamedTuple):
    """Channels in time.

    Attributes:
        arrive: of each channel, when it comes to each of its marks.
        depart: when it goes on from there.
        ends: when each channel has done its last leg.
    """

    arrive: list[list[float]]
    depart: list[list[float]]
    ends: list[float]


def walk(
    meetings: Iterable[Rendezvous], legs: Sequence[Sequence[float]], starts: Sequence[float], mark_s: float = 0.0
) -> Walk:
    """When every channel is where.

    Args:
        meetings: in an order in which they can happen.
        legs: seconds of each leg of each channel, one more than it has marks.
        starts: when each channel starts; minus infinity for one that is not to count.
        mark_s: seconds from the last arrival to going on.
    """
    now = list(starts)
    arrive: list[list[float]] = [[] for _ in legs]
    depart: list[list[float]] = [[] for _ in legs]
    for meeting in meetings:
        for channel, place, _ in meeting.members:
            now[channel] += legs[channel][place]
            arrive[channel].append(now[channel])
        there = {m.channel: now[m.channel] for m in meeting.members}
        for channel, _, awaits in meeting.members:
            now[channel] = max([there[channel], *(there[c] for c in awaits)]) + mark_s
            depart[channel].append(now[channel])
    for channel, own in enumerate(legs):
        now[channel] += own[-1]
    return Walk(arrive, depart, now)


class Leg(NamedTuple):
    """A leg on a critical path: the how manieth of its channel, and the number of the mark before it, if one is."""

    channel: int
    place: int
    mark: int | None


def trace(meetings: Iterable[Rendezvous], walked: Walk, channel: int) -> list[Leg]:
    """The legs that decide when a channel ends, from the start on. Of channels that arrive together, its own."""
    at = {(m.channel, m.place): (meeting, m) for meeting in meetings for m in meeting.members}
    place = len(walked.depart[channel])
    found: list[Leg] = []
    while place > 0:
        meeting, member = at[channel, place - 1]
        found.append(Leg(channel, place, meeting.number))
        late = channel
        for other in sorted(member.awaits):
            if walked.arrive[other][meeting.at(other)] > walked.arrive[late][meeting.at(late)]:
                late = other
        channel, place = late, meeting.at(late)
    found.append(Leg(channel, 0, None))
    return found[::-1]
