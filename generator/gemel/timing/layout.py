"""From durations to the timeline: every block in time, the critical path, what is lost where, and what would help."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.timing.course import course_of
from gemel.timing.lanes import bars_of, meetings_of, place
from gemel.timing.model import CriticalPiece, Lane, Stuck, Timeline, Unknown
from gemel.timing.naming import stretches
from gemel.timing.usage import channel_load, drive_loads, spindle_lanes

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from gemel.machines.schema import Machine
    from gemel.timing.course import Course
    from gemel.timing.lanes import Placed
    from gemel.timing.model import Bar, Load, Meeting, SpindleLane
    from gemel.timing.rendezvous import Leg, Walk
    from gemel.timing.running import Channel

__all__ = ["MARK", "lay_out"]

MARK = "wait mark"
"""Name of the seconds that a mark itself takes."""


def lay_out(channels: Sequence[Channel], stands: Sequence[bool], machine: Machine, override: float) -> Timeline:
    """The timeline of channels whose blocks have been timed.

    Args:
        channels: in the order of the machine file.
        stands: which of them stand for ever.
        machine: where they run.
        override: what they were timed with.
    """
    hangs = any(stands)
    names = [c.name for c in channels]
    course = course_of(channels, float(machine.durations.wait), hangs=hangs)
    starts = course.starts()
    walked = course.walk(course.legs, starts)
    placed = place(course, walked, starts)
    critical = [] if hangs else course.critical()
    decisive = frozenset((leg.channel, leg.place) for leg in critical)
    lanes: list[Lane] = []
    by_leg: dict[tuple[int, int], list[Bar]] = {}
    for index, channel in enumerate(channels):
        cut = stretches(course.blocks[index], channel.text.files)
        bars = bars_of((index, channel.name), cut, placed[index], course, decisive)
        for place_of_leg, bar in bars:
            by_leg.setdefault((index, place_of_leg), []).append(bar)
        own = tuple(bar for _, bar in bars)
        lanes.append(Lane(channel.name, own, starts[index], walked.ends[index], channel.first.ending))
    meetings = tuple(meetings_of(course, walked, placed, names))
    spindles = spindle_lanes(placed, names, machine)
    is_known = not hangs and course.repeats == channels[0].repeats
    period_s = course.seconds(course.legs) if is_known else None
    return Timeline(
        machine=str(machine.machine),
        override=override,
        lanes=tuple(lanes),
        meetings=meetings,
        spindles=spindles,
        cycle_s=None if hangs else max(walked.ends) - min(starts),
        period_s=period_s,
        repeats=channels[0].repeats,
        critical=tuple(_pieces(critical, walked, names, by_leg, course.mark_s)),
        loads=tuple(_loads(lanes, meetings, spindles, course)) if period_s else (),
        unknown=tuple(_unknown(placed, names)),
        stuck=tuple(_stuck(placed, names, stands)),
    )


def _pieces(
    critical: Sequence[Leg],
    walked: Walk,
    names: Sequence[str],
    by_leg: Mapping[tuple[int, int], Sequence[Bar]],
    mark_s: float,
) -> Iterator[CriticalPiece]:
    """The critical path by the names of operations."""
    for channel, leg, mark in critical:
        if mark is not None and mark_s:
            depart_s = walked.depart[channel][leg - 1]
            yield CriticalPiece(names[channel], MARK, depart_s - mark_s, mark_s, mark)
        for bar in by_leg.get((channel, leg), ()):
            if bar.seconds:
                yield CriticalPiece(names[channel], bar.name, bar.start_s, bar.seconds, mark)


def _loads(
    lanes: Sequence[Lane], meetings: Sequence[Meeting], spindles: Sequence[SpindleLane], course: Course
) -> Iterator[Load]:
    """Channels, spindles, tool drives, as shares of a round."""
    rounds = {c: course.seconds(course.legs) for c in range(len(lanes))}
    if course.repeats:
        for group, _ in course.groups:
            rounds |= dict.fromkeys(group, course.round_s(course.legs, group))
    for index, lane in enumerate(lanes):
        arrivals = [a for m in meetings if (a := m.of(lane.channel)) is not None]
        lost_s = sum(a.lost_s for a in arrivals)
        if rounds[index]:
            yield channel_load(lane, lost_s, len(arrivals) * course.mark_s, rounds[index])
    yield from drive_loads(spindles, lanes, max(rounds.values()))


def _unknown(placed: Sequence[Sequence[Placed]], names: Sequence[str]) -> Iterator[Unknown]:
    """Blocks whose duration is not known, each once."""
    for name, own in zip(names, placed, strict=True):
        seen: dict[tuple[str, int], Unknown] = {}
        for _, block in own:
            if block.unknown:
                said = Unknown(name, block.step.block.span(), block.step.block.text, block.unknown)
                seen.setdefault((said.span.source, block.line), said)
        yield from sorted(seen.values(), key=lambda u: (u.span.source, u.span.line))


def _stuck(placed: Sequence[Sequence[Placed]], names: Sequence[str], stands: Sequence[bool]) -> Iterator[Stuck]:
    """Where channels stand for ever."""
    for name, own, is_stuck in zip(names, placed, stands, strict=True):
        step = own[-1].block.step if own else None
        if is_stuck and step is not None and step.wait is not None:
            yield Stuck(name, step.block.span(), step.block.text, step.wait.number)
