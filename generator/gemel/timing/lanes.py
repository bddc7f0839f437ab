"""Bars and meetings: the blocks of a course placed in time and put together as operations."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from gemel.timing.model import Arrival, Bar, BlockTime, Meeting, Spent

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from gemel.timing.blocks import Timed
    from gemel.timing.course import Course
    from gemel.timing.naming import Stretch
    from gemel.timing.rendezvous import Walk

__all__ = ["Placed", "bars_of", "meetings_of", "place"]


class Placed(NamedTuple):
    """A block in time, and what it was made from."""

    timed: Timed
    block: BlockTime


def place(course: Course, walked: Walk, starts: Sequence[float]) -> list[list[Placed]]:
    """Every block in time, channel by channel; of a channel that stands for ever, up to the mark it stands at."""
    everything = []
    for channel, blocks in enumerate(course.blocks):
        now_s, passed = starts[channel], 0
        own: list[Placed] = []
        for timed in blocks:
            own.append(Placed(timed, _block(timed, now_s)))
            now_s += timed.spent.total_s
            if timed.step.wait is None:
                continue
            if passed == len(walked.depart[channel]):
                break
            now_s = walked.depart[channel][passed]
            passed += 1
        everything.append(own)
    return everything


def _block(timed: Timed, start_s: float) -> BlockTime:
    cut = timed.cut
    if cut is None:
        return BlockTime(timed.step, start_s, timed.spent, timed.step.offset, unknown=timed.unknown)
    drive = "tool" if cut.drive.startswith("tool:") else cut.drive
    low, high = cut.rpm_low, cut.rpm_high
    return BlockTime(
        timed.step, start_s, timed.spent, timed.step.offset, drive, low, high, cut.feed_high, timed.unknown
    )


def bars_of(
    channel: tuple[int, str],
    cut: Sequence[Stretch],
    placed: Sequence[Placed],
    course: Course,
    critical: frozenset[tuple[int, int]],
) -> list[tuple[int, Bar]]:
    """The operations of a channel, each with the place of the leg that it is in.

    Args:
        channel: its index and its name.
        cut: how its blocks are cut into operations.
        placed: its blocks in time.
        course: what everybody does, for what a second saved would bring.
        critical: channel and place of the legs that decide how long the pair takes.
    """
    index, name = channel
    whole_s = course.seconds(course.legs)
    bars = []
    for stretch in cut:
        blocks = [placed[i] for i in stretch.places if i < len(placed)]
        if blocks:
            seconds = sum(b.timed.spent.total_s for b in blocks)
            gain_s = whole_s - course.seconds(_shortened(course, index, stretch.leg, min(1.0, seconds)))
            critical_s = seconds if (index, stretch.leg) in critical else 0.0
            bars.append((stretch.leg, _bar(name, stretch, blocks, (critical_s, max(gain_s, 0.0)))))
    return bars


def _shortened(course: Course, channel: int, leg: int, seconds: float) -> list[Sequence[float]]:
    """The legs, one of them shorter."""
    legs: list[Sequence[float]] = list(course.legs)
    own = list(legs[channel])
    own[leg] -= seconds
    legs[channel] = own
    return legs


def _bar(name: str, stretch: Stretch, placed: Sequence[Placed], weight: tuple[float, float]) -> Bar:
    blocks = tuple(p.block for p in placed)
    cuts = [b for b in blocks if b.spent.cutting_s > 0]
    turned = [b for b in cuts if b.drive]
    fed = [b.step for b in cuts if b.step.feed]
    feeds = [s.feed for s in fed if s.feed]
    modes = {s.feed_mode for s in fed}
    spent = Spent(*(sum(column) for column in zip(*(b.spent for b in blocks), strict=True)))
    last = placed[-1].timed
    return Bar(
        channel=name,
        name=stretch.name,
        sequence=stretch.sequence,
        stage=stretch.stage,
        mark=stretch.mark,
        blocks=blocks,
        station=last.station,
        tool=last.tool,
        spindle=_most(cuts, "spindle"),
        drive=_most(cuts, "drive"),
        rpm=(min(b.rpm_low for b in turned), max(b.rpm_high for b in turned)) if turned else (0.0, 0.0),
        feed=(min(feeds), max(feeds)) if feeds else (0.0, 0.0),
        feed_mode=modes.pop() if len(modes) == 1 else "mixed" if modes else "",
        spent=spent,
        critical_s=weight[0],
        gain_s=weight[1],
    )


def _most(cuts: Sequence[BlockTime], attribute: str) -> str:
    """The value of an attribute with which most seconds are cut."""
    seconds: dict[str, float] = {}
    for block in cuts:
        value: str = getattr(block, attribute)
        seconds[value] = seconds.get(value, 0.0) + block.spent.cutting_s
    return max(seconds, key=lambda v: seconds[v], default="")


def meetings_of(
    course: Course, walked: Walk, placed: Sequence[Sequence[Placed]], names: Sequence[str]
) -> Iterator[Meeting]:
    """The wait marks in the order of departure."""
    marks = [[p.block for p in own if p.block.step.wait is not None] for own in placed]
    found = []
    for meeting in course.meetings:
        arrivals = []
        for member in sorted(meeting.members, key=lambda m: m.channel):
            channel, at, _ = member
            arrive_s, depart_s = walked.arrive[channel][at], walked.depart[channel][at]
            lost_s = max(depart_s - course.mark_s - arrive_s, 0.0)
            arrivals.append(Arrival(names[channel], marks[channel][at], arrive_s, lost_s, depart_s))
        found.append(Meeting(meeting.number, tuple(arrivals)))
    yield from sorted(found, key=lambda m: m.depart_s)
