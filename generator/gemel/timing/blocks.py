"""How long one block takes, in the order of execution: tool, speed, functions, dwell, motions, late functions.

What is not in the machine file or cannot be decided from the text is said, never counted as nothing.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NamedTuple

from gemel.reading.dialect import ToolKind
from gemel.timing.drives import Drive, DriveEvent, Ordered
from gemel.timing.model import Spent
from gemel.timing.motions import Cut, MotionTimer, Turners

if TYPE_CHECKING:
    from gemel.reading.dialect import Function
    from gemel.reading.run import Speed, Step, ToolCall
    from gemel.timing.facts import ChannelFacts, Floor

__all__ = ["BlockTimer", "Timed"]

_UNDECIDED = frozenset({"position-unknown", "jump", "no-program", "call-depth"})
"""Remarks of reading behind which stands something that was not followed."""

_LONGEST_S = 366 * 24 * 3600.0
"""A block that takes longer is a slip of the pen, and its seconds are not to be added up."""

_CODE_WORD = re.compile("[GM][0-9. ]+", re.IGNORECASE)


class Timed(NamedTuple):
    """One block with its duration, not yet placed in time.

    Attributes:
        step: the block.
        spent: its seconds.
        cut: what turned and fed in it, None without a cut.
        station: in use behind its tool call, None before the first.
        tool: name of that tool, empty if it is not listed.
        events: what it did to drives.
        unknown: why its duration is not known in full, empty where it is.
    """

    step: Step
    spent: Spent
    cut: Cut | None
    station: int | None
    tool: str
    events: tuple[DriveEvent, ...]
    unknown: str


class BlockTimer:
    """Times the blocks of one channel, one behind the other.

    Args:
        facts: what the channel can do.
        floor: what the channels share.
        override: feed override, 1 for 100 %.
    """

    def __init__(self, facts: ChannelFacts, floor: Floor, override: float) -> None:
        self._facts = facts
        self._floor = floor
        self._motions = MotionTimer(facts, override)
        self._speed: Speed | None = None
        self._station: int | None = None
        self._tool = ""
        self._rotating = False
        self._follows: Drive | None = None
        self._events: list[DriveEvent] = []
        self._reasons: list[str] = []
        self._begun_s = 0.0
        self._now_s = 0.0

    def time(self, step: Step, now_s: float) -> Timed:
        """The duration of a block that begins at a moment; the shared state is then that behind it."""
        self._begun_s = self._now_s = now_s
        self._events, self._reasons = [], []
        change_s = function_s = 0.0
        moved = None
        if step.tool is not None:
            change_s = self._change_tool(step.tool)
        if step.speed is not self._speed:
            self._change_speed(step)
        for function in step.functions:
            function_s += self._function(function, step)
        dwell_s = max(step.dwell_s, 0.0)
        self._now_s += dwell_s
        if step.motions:
            turners = Turners(self._governing(step), self._floor.drives.get(step.offset), self._following())
            moved = self._motions.time(step, turners, self._now_s)
            self._now_s += moved.total_s
            self._reasons += moved.reasons
            self._events += (e._replace(at_s=e.at_s - self._begun_s) for e in moved.events)
        for function in step.late:
            function_s += self._function(function, step)
        if step.remarks:
            self._undecided(step)
        spent = Spent(
            moved.cutting_s if moved else 0.0,
            moved.rapid_s if moved else 0.0,
            dwell_s + (moved.dwell_s if moved else 0.0),
            change_s,
            function_s + (moved.function_s if moved else 0.0),
        )
        if not spent.total_s < _LONGEST_S:
            spent = Spent()
            self._reasons.append("it would take more than a year")
        cut = moved.cut if moved else None
        reasons = "; ".join(dict.fromkeys(self._reasons))
        return Timed(step, spent, cut, self._station, self._tool, tuple(self._events), reasons)

    def _change_tool(self, call: ToolCall) -> float:
        """Seconds to bring a station to work; none where it is there already."""
        same = call.station == self._station
        self._station = call.station
        self._tool = call.tool.name if call.tool else ""
        self._rotating = call.tool is not None and call.tool.kind is ToolKind.ROTATING
        seconds = 0.0 if same else self._facts.tool_change_s
        self._now_s += seconds
        return seconds

    def _drive(self, which: str) -> Drive | None:
        return self._floor.drives.get(f"tool:{self._facts.name}" if which == "tool" else which)

    def _governing(self, step: Step) -> Drive | None:
        """What turns for a cut: the drive of a rotating tool if it turns, else the spindle of the offset."""
        if self._rotating:
            drive = self._drive("tool")
            if drive is not None and drive.sense:
                return drive
        return self._floor.drives.get(step.offset)

    def _following(self) -> tuple[Drive, ...]:
        """The spindles whose speed follows the X of this channel."""
        if self._follows is None:
            return ()
        return tuple(self._floor.drives[name] for name in self._floor.driven(self._follows.key))

    def _change_speed(self, step: Step) -> None:
        """A new S, clamp or speed mode while a drive turns; a start code in the block takes it by itself."""
        before, speed = self._speed, step.speed
        self._speed = speed
        drive = self._drive(speed.drive) if speed.drive else None
        if drive is None or not drive.sense or speed == before or any(f.kind == "spindle" for f in step.functions):
            return
        ordered = Ordered.of(speed, self._facts.units_per_surface)
        if before and before.surface and not speed.surface and not any(w.letter == "S" for w in step.block.words):
            # Fixed speed without S holds the speed of that moment (common practice, no source).
            ordered = Ordered(drive.rpm, surface=False, clamp_rpm=speed.clamp_rpm)
        names = [drive.key] if speed.drive == "tool" else self._floor.driven(speed.drive)
        for name in names:
            self._turn(self._floor.drives[name], ordered, drive.sense)
        self._follows = drive if ordered.surface else None

    def _turn(self, drive: Drive, ordered: Ordered, sense: int) -> None:
        """Lets a drive go to what was ordered."""
        drive.ordered = ordered
        rpm = drive.wanted_rpm(self._motions.x_dia)
        if (rpm, sense) == (drive.rpm, drive.sense):
            return
        if not drive.go(rpm, sense, self._now_s):
            self._reasons.append(f"the machine file does not say how {_named(drive)} speeds up")
        self._event(drive, "turn", rpm)

    def _event(self, drive: Drive, kind: str, rpm: float = 0.0) -> None:
        self._events.append(DriveEvent(drive.key, kind, self._now_s - self._begun_s, rpm))

    def _function(self, function: Function, step: Step) -> float:
        """Seconds that a function code holds the channel."""
        begun_s = self._now_s
        kind = function.kind
        if kind == "spindle":
            self._spindle(function, step)
        elif kind == "c-axis":
            self._c_axis(function)
        elif kind == "synchronisation":
            self._synchronise(function)
        elif kind in self._floor.seconds:
            self._now_s += self._floor.change(function) or 0.0
        elif kind != "stop":
            self._reasons.append(f"how long `{function.which or kind}` takes is not in the machine file")
        elif function.state != "optional":
            self._reasons.append("a person decides how long a program stop takes")
        return self._now_s - begun_s

    def _spindle(self, function: Function, step: Step) -> None:
        tool = function.which == "tool"
        names = (f"tool:{self._facts.name}",) if tool else self._floor.driven(function.which)
        drives = [self._floor.drives[n] for n in names if n in self._floor.drives]
        if function.state == "stop":
            self._stop(drives)
            return
        ordered = Ordered.of(step.speed, self._facts.units_per_surface)
        for drive in drives:
            self._turn(drive, ordered, 1 if function.state == "forward" else -1)
        if drives and not tool:
            self._follows = drives[0] if ordered.surface else None

    def _stop(self, drives: list[Drive]) -> None:
        """Stops drives and waits until they stand."""
        turned = [d for d in drives if d.sense]
        for drive in turned:
            if not drive.stop(self._now_s):
                self._reasons.append(f"the machine file does not say how {_named(drive)} slows down")
            if drive is self._follows:
                self._follows = None
        self._now_s = max([self._now_s, *(d.ready_s for d in turned)])
        for drive in turned:
            self._event(drive, "stop")

    def _c_axis(self, function: Function) -> None:
        drive = self._drive(function.which)
        changed_s = self._floor.change(function)
        if changed_s is None:
            return
        on = function.state == "on"
        if drive is None:
            self._now_s += changed_s
            return
        if on and drive.sense:
            self._stop([drive])
        self._now_s += changed_s
        # Engaging finds the reference: C stands at zero then (common practice, no source).
        drive.c = 0.0 if on else None
        self._event(drive, "c-on" if on else "c-off")

    def _synchronise(self, function: Function) -> None:
        """Spindles that follow take the speed of the one that leads; both stand at that speed before it goes on."""
        floor = self._floor
        self._now_s += floor.change(function) or 0.0
        if function.state == "off" or not floor.leading:
            return
        leader = floor.drives[floor.leading[0]]
        for name in floor.following:
            drive = floor.drives[name]
            if leader.sense:
                self._turn(drive, leader.ordered, leader.sense)
            elif drive.sense:
                self._stop([drive])
            self._now_s = max(self._now_s, drive.ready_s, leader.ready_s)

    def _undecided(self, step: Step) -> None:
        """What reading could not follow has a duration all the same."""
        for remark in step.remarks:
            if remark.code == "position-unknown":
                self._motions.forget()
            strange = remark.code == "not-understood" and _CODE_WORD.fullmatch(remark.text)
            if remark.code in _UNDECIDED or strange:
                self._reasons.append(remark.cause)


def _named(drive: Drive) -> str:
    """A drive in a sentence."""
    return "the tool drive" if drive.key.startswith("tool:") else f"the {drive.key} spindle"
