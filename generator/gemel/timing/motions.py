"""How long the motions of one block take, cycles peck by peck.

Feed moves are taken to run into each other without a stop; every rapid move starts and ends at rest. X is a diameter.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from gemel.timing.drives import Drive, DriveEvent
from gemel.timing.feeding import per_minute_s, per_revolution_s
from gemel.timing.travel import rapid_s

if TYPE_CHECKING:
    from gemel.reading.run import Motion, Position, Step
    from gemel.timing.facts import ChannelFacts
    from gemel.timing.feeding import Turning

__all__ = ["Cut", "MotionTimer", "Moved", "Turners"]

_MOST_PECKS = 10_000
_COORDINATES = ("y", "z", "b", "slide")
_FED_BACK = frozenset({"tap", "bore"})
"""Cycles whose way back is a feed move."""

_HALF_TURN = 30.0
"""Seconds x rpm until a spindle passes its start mark, on average: half a revolution."""


class Cut(NamedTuple):
    """What turned and fed in the feed moves of a block.

    Attributes:
        drive: key of what turned; empty if nothing did.
        rpm_low: its lowest speed, 1/min.
        rpm_high: its highest one.
        feed_high: fastest path feed, unit/min.
    """

    drive: str
    rpm_low: float
    rpm_high: float
    feed_high: float

    def joined(self, other: Cut | None) -> Cut:
        """Both of one block."""
        if other is None:
            return self
        low, high = min(self.rpm_low, other.rpm_low), max(self.rpm_high, other.rpm_high)
        return Cut(self.drive or other.drive, low, high, max(self.feed_high, other.feed_high))


class Turners(NamedTuple):
    """What turns while a block runs.

    Attributes:
        cutting: what turns for its cuts: a spindle or the channel's tool drive.
        spindle: the spindle of the offset, whose C axis it moves.
        following: the spindles whose speed follows the X of this channel, none without surface speed.
    """

    cutting: Drive | None
    spindle: Drive | None
    following: tuple[Drive, ...]


@dataclass(slots=True)
class Moved:
    """What the motions of a block took, and what they did to drives (`at_s` counts from the start of the pair)."""

    cutting_s: float = 0.0
    rapid_s: float = 0.0
    dwell_s: float = 0.0
    function_s: float = 0.0
    cut: Cut | None = None
    events: list[DriveEvent] = field(default_factory=list)
    reasons: list[str] = field(default_factory=list)

    @property
    def total_s(self) -> float:
        """All of it."""
        return self.cutting_s + self.rapid_s + self.dwell_s + self.function_s


class MotionTimer:
    """Times the motions of one channel, one block behind the other.

    Attributes:
        x_dia: where the channel stands in X, None if unknown or before its first motion.
    """

    def __init__(self, facts: ChannelFacts, override: float) -> None:
        self.x_dia: float | None = None
        self._facts = facts
        self._override = override
        self._moved = Moved()
        self._z: float | None = None
        self._z_offset = ""

    def time(self, step: Step, turners: Turners, now_s: float) -> Moved:
        """The motions of a block that begin at a moment."""
        self._moved = moved = Moved()
        for motion in step.motions:
            begun_s = now_s + moved.total_s
            if motion.kind == "rapid" or (motion.kind == "retract" and step.cycle not in _FED_BACK):
                self._rapid(motion, step, turners.spindle)
                for drive in turners.following:
                    self._speed_up(motion, drive, begun_s)
            else:
                self._await_speed(turners.cutting, begun_s)
                self._fed(motion, step, turners)
                for drive in turners.following:
                    if drive.follow(motion.end.x_dia):
                        moved.events.append(DriveEvent(drive.key, "turn", now_s + moved.total_s, drive.rpm))
            moved.dwell_s += motion.dwell_s
            self.x_dia = motion.end.x_dia
            if motion.end.z is not None:
                self._z, self._z_offset = motion.end.z, motion.offset
        return moved

    def forget(self) -> None:
        """Nobody knows any more where the channel stands."""
        self.x_dia = self._z = None

    def _speed_up(self, motion: Motion, drive: Drive, begun_s: float) -> None:
        """At constant surface speed the spindle goes to the speed of the rapid's end while the tool goes there."""
        rpm = drive.wanted_rpm(motion.end.x_dia)
        if drive.sense and rpm != drive.rpm:
            if not drive.go(rpm, drive.sense, begun_s):
                self._moved.reasons.append(f"the machine file does not say how the {drive.key} spindle speeds up")
            self._moved.events.append(DriveEvent(drive.key, "turn", begun_s, rpm))

    def _await_speed(self, drive: Drive | None, begun_s: float) -> None:
        if drive is not None and drive.sense and drive.ready_s > begun_s:
            self._moved.function_s += drive.ready_s - begun_s

    def _ways(self, motion: Motion, step: Step, spindle: Drive | None) -> dict[str, float]:
        """How far each axis goes, X along the radius, C in degrees; says which way cannot be known."""
        start, end = motion.start, motion.end
        ways: dict[str, float] = {}
        if start.x_dia != end.x_dia:
            if start.x_dia is None or end.x_dia is None:
                self._lost("X")
            else:
                ways["x"] = abs(end.x_dia - start.x_dia) / 2
        elif start.x_dia is None and "x" in step.axes:
            self._lost("X")
        for name in _COORDINATES:
            before, after = getattr(start, name), getattr(end, name)
            if name == "z" and before is None and after is not None:
                before = self._z_before(after, motion.offset)
            if before is None or after is None:
                if before is not after or name in step.axes:
                    self._lost(name.upper())
            elif before != after:
                ways[name] = abs(after - before)
        if "c" in step.axes:
            self._turn_c(motion, spindle, ways)
        return ways

    def _z_before(self, after: float, offset: str) -> float | None:
        """Where Z stood before the offset changed, such that the difference is the way to go: home ties the frames."""
        if self._z is None or self._z_offset == offset:
            return None
        way = self._facts.z_from_home(after, offset) - self._facts.z_from_home(self._z, self._z_offset)
        return after - abs(way)

    def _turn_c(self, motion: Motion, spindle: Drive | None, ways: dict[str, float]) -> None:
        """C stands at zero when its axis was engaged, whatever the text said of it before."""
        goal = motion.end.c
        if spindle is None or goal is None or spindle.c is None:
            if motion.start.c != goal or goal is None:
                self._lost("C")
            return
        if spindle.c != goal:
            ways["c"] = abs(goal - spindle.c)
        spindle.c = goal

    def _lost(self, axis: str) -> None:
        self._moved.reasons.append(f"nobody knows how far {axis} moves here")

    def _rapid(self, motion: Motion, step: Step, spindle: Drive | None) -> None:
        ways = self._ways(motion, step, spindle)
        seconds = rapid_s(ways, self._facts.axes, straight=self._facts.straight)
        if seconds is None:
            self._moved.reasons.append("the machine file has no rapid rate or acceleration for an axis that moves here")
        else:
            self._moved.rapid_s += seconds

    def _fed(self, motion: Motion, step: Step, turners: Turners) -> None:
        """A feed move, a thread, the stroke of a cycle or its way back at feed."""
        drive = turners.cutting
        length = self._length(motion, step, turners.spindle)
        if length is None:
            return
        turning = drive.turning if drive is not None else None
        if motion.kind == "drill" and step.peck:
            length = self._pecks(motion, length, step.peck)
        if motion.kind == "retract":
            motion = motion._replace(feed=step.feed, feed_mode=step.feed_mode)
        elif motion.kind == "thread":
            motion = motion._replace(feed_mode="revolution")
            length = _lead_way(motion)
            self._moved.function_s += _HALF_TURN / turning.rpm if turning and turning.rpm > 0 else 0.0
        seconds = self._cutting_s(motion, length, turning)
        if seconds is None:
            self._moved.reasons.append(_why_not(motion, turning))
        else:
            self._moved.cutting_s += seconds
            self._note_cut(motion, drive, turning)
        if step.cycle == "tap":
            self._reverse(drive)

    def _cutting_s(self, motion: Motion, length: float, turning: Turning | None) -> float | None:
        """Seconds of a feed move; None if it has no feed, or a feed per revolution of something that stands."""
        feed, mode = motion.feed, motion.feed_mode
        if not length:
            return 0.0
        if not feed:
            return None
        override = 1.0 if motion.kind in {"thread", "tap", "retract"} else self._override
        if mode == "minute":
            return per_minute_s(length, min(feed * override, self._facts.fastest))
        if mode == "inverse":
            return 60.0 / (feed * override)
        if mode != "revolution" or turning is None:
            return None
        feed *= override
        return per_revolution_s(motion, length, feed, turning.capped(self._facts.fastest / feed))

    def _length(self, motion: Motion, step: Step, spindle: Drive | None) -> float | None:
        """Length of the path: along the arc, else straight, degrees of C and B as if lengths; None if unknown."""
        known = len(self._moved.reasons)
        ways = self._ways(motion, step, spindle)
        if len(self._moved.reasons) > known:
            return None
        if motion.kind != "arc":
            return math.hypot(*ways.values())
        if motion.center is None:
            self._moved.reasons.append("the arc has no centre, so that its length cannot be known")
            return None
        radius = _radius(motion)
        flat = radius * math.radians(abs(motion.sweep_deg))
        return math.hypot(flat, *(way for name, way in ways.items() if name not in motion.plane))

    def _pecks(self, motion: Motion, depth: float, peck: float) -> float:
        """The length that is fed in all pecks; the rapids between them are counted at once."""
        facts = self._facts
        if depth > peck * _MOST_PECKS:
            self._moved.reasons.append(f"the cycle has more than {_MOST_PECKS} pecks")
            return depth
        count = math.ceil(depth / peck - 1e-9)
        axis = next(n for n, (a, b) in _ends(motion).items() if a != b)
        for i in range(1, count):
            gap = min(facts.peck_gap, i * peck)
            ways = (i * peck, i * peck - gap) if facts.peck_out else (gap,)
            for way in ways:
                self._moved.rapid_s += rapid_s({axis: way}, facts.axes, straight=False) or 0.0
        return depth + sum(min(facts.peck_gap, i * peck) for i in range(1, count))

    def _reverse(self, drive: Drive | None) -> None:
        """A tap stops and turns the other way at the depth, and again at the top."""
        if drive is None or not drive.sense:
            return
        if drive.curve is None:
            self._moved.reasons.append("the machine file does not say how the drive of the tap reverses")
        else:
            self._moved.function_s += drive.curve.seconds(drive.rpm, -drive.rpm)

    def _note_cut(self, motion: Motion, drive: Drive | None, turning: Turning | None) -> None:
        low = high = 0.0
        if turning is not None:
            near, far = _radii(motion)
            low, high = turning.at(far), turning.at(near)
        feed = motion.feed or 0.0
        feed *= 1.0 if motion.kind in {"thread", "tap", "retract"} else self._override
        path = feed * high if motion.feed_mode == "revolution" else feed
        key = drive.key if drive is not None and turning is not None else ""
        cut = Cut(key, low, high, min(path, self._facts.fastest) if motion.feed_mode != "inverse" else 0.0)
        self._moved.cut = cut.joined(self._moved.cut)


def _lead_way(motion: Motion) -> float:
    """The way that a thread's lead counts along: X (radius) or Z, whichever is longer."""
    ends = _ends(motion)
    return max(abs((ends[n][1] or 0.0) - (ends[n][0] or 0.0)) for n in ("x", "z"))


def _radius(motion: Motion) -> float:
    """Radius of an arc, X halved."""
    assert motion.center is not None  # asked before
    start = {name: ends[0] or 0.0 for name, ends in _ends(motion).items()}
    return math.hypot(*(start[n] - c for n, c in zip(motion.plane, motion.center, strict=True)))


def _ends(motion: Motion) -> dict[str, tuple[float | None, float | None]]:
    """Start and end along each linear axis, X along the radius."""

    def half(position: Position) -> float | None:
        return None if position.x_dia is None else position.x_dia / 2

    start, end = motion.start, motion.end
    return {"x": (half(start), half(end)), "y": (start.y, end.y), "z": (start.z, end.z)}


def _radii(motion: Motion) -> tuple[float, float]:
    """Least and greatest distance from the spindle's axis on the way, along X."""
    if motion.low_x is None or motion.high_x is None:
        return 0.0, 0.0
    ends = abs(motion.low_x) / 2, abs(motion.high_x) / 2
    return 0.0 if motion.low_x < 0 < motion.high_x else min(ends), max(ends)


def _why_not(motion: Motion, turning: Turning | None) -> str:
    """Why a feed move has no duration."""
    if not motion.feed:
        return "a feed move without a feed"
    if motion.feed_mode not in {"minute", "revolution", "inverse"}:
        return "nothing says whether the feed is per minute or per revolution"
    if turning is None or turning.rpm <= 0:
        return "a feed per revolution, and nothing turns or nobody has said how fast"
    return "constant surface speed at an X that nobody knows"
