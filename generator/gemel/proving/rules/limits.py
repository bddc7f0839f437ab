"""The family `limits`: travel, speed and feed against what the machine file allows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.findings import Severity
from gemel.proving.rule import Place, Rule
from gemel.proving.sightings import Sighting
from gemel.reading.run import Position

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.machines.schema import Channel, Machine
    from gemel.proving.model import ChannelModel
    from gemel.reading.run import Motion, Step

__all__ = ["RULES", "check"]

TRAVEL = Rule(
    "limits",
    "travel",
    Severity.ERROR,
    what="A move leaves the travel of an axis.",
    why="The control stops at the software limit in the middle of the part, or the axis runs onto its end switch.",
    example="G00 Z900.",
    remedy="correct the coordinate, or the offset it was meant for",
    cause="{a} moves beyond the travel of {detail}",
)
SPINDLE_SPEED = Rule(
    "limits",
    "spindle-speed",
    Severity.ERROR,
    what="A speed, or a speed clamp, lies above what the spindle or tool drive can do.",
    why="The control stops with an alarm or runs at its top speed; feed and speed no longer fit each other.",
    example="G97 S9000 M03",
    remedy="lower the speed, or clamp it at the drive's top speed",
    cause="{a} asks for more than {detail}",
)
FEED = Rule(
    "limits",
    "feed",
    Severity.ERROR,
    what="A feed lies above what the control takes.",
    why="A feed meant per minute under feed per revolution tears the tool off.",
    example="G99\nG01 X20. F120.",
    remedy="correct the feed or the feed mode",
    cause="{a} feeds faster than {detail}",
)

RULES = (TRAVEL, SPINDLE_SPEED, FEED)

_AXIS_OF = {"x": "x_dia", "y": "y", "z": "z", "a": "slide"}
_SLACK = 1e-6
"""A coordinate may exceed its limit by this much, so that a limit itself is inside whatever its binary form is."""


def check(models: list[ChannelModel], machine: Machine) -> Iterator[Sighting]:
    """The limits that steps exceed; one fault per code and block."""
    for channel, model in enumerate(models):
        limits = machine.channels.get(model.name)
        if limits is None:
            continue
        before: Step | None = None
        for index, step in enumerate(model.steps):
            for rule, detail in _of_step(step, before, limits, machine):
                yield Sighting(rule, (Place(channel, index),), words=detail)
            before = step


def _of_step(step: Step, before: Step | None, limits: Channel, machine: Machine) -> Iterator[tuple[Rule, str]]:
    axis = next((a for m in step.motions for a in _beyond(m, limits)), None)
    if axis is not None:
        least, most = limits.travel[axis]  # type: ignore[index] # the key comes from this very table
        yield TRAVEL, f"{axis.upper()}, {least:g} to {most:g}"
    letters = {w.letter for w in step.block.words}
    if before is None or before.speed != step.speed or "S" in letters:
        yield from _speed(step, limits, machine)
    if before is None or (before.feed, before.feed_mode) != (step.feed, step.feed_mode) or "F" in letters:
        yield from _feed(step, limits)


def _beyond(motion: Motion, limits: Channel) -> Iterator[str]:
    """The axes that a motion takes beyond their travel; in machine coordinates the slide alone has a known limit."""
    for axis, span in limits.travel.items():
        name = _AXIS_OF.get(axis)
        if name is None or (motion.machine and name != "slide"):
            continue
        index = Position._fields.index(name)
        start, end = motion.start[index], motion.end[index]
        reached = [end, motion.low_x, motion.high_x] if axis == "x" and motion.sweep_deg else [end]
        moved = start != end or motion.sweep_deg
        if moved and any(e is not None and not span[0] - _SLACK <= e <= span[1] + _SLACK for e in reached):
            yield axis


def _speed(step: Step, limits: Channel, machine: Machine) -> Iterator[tuple[Rule, str]]:
    speed = step.speed
    spindle = machine.spindles.get(speed.drive)
    if spindle is not None:
        top, name = float(spindle.top_speed), f"the {speed.drive} spindle"
    elif speed.drive == "tool":
        top, name = float(limits.drive.top_speed), "the tool drive"
    else:
        return
    rpm = speed.clamp_rpm if speed.surface else speed.value
    if rpm is not None and rpm > top:
        yield SPINDLE_SPEED, f"{name}'s {top:g} rpm"


def _feed(step: Step, limits: Channel) -> Iterator[tuple[Rule, str]]:
    if step.feed is None:
        return
    if step.feed_mode == "minute" and step.feed > limits.feed.per_minute:
        yield FEED, f"{limits.feed.per_minute:g} a minute"
    if step.feed_mode == "revolution" and step.feed > limits.feed.per_revolution:
        yield FEED, f"{limits.feed.per_revolution:g} a revolution"
