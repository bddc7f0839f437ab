"""Spindles and tool drives while a pair runs: what they were told, how fast they turn, when they are at speed.

A start code holds nobody up: the tool may move while the spindle speeds up, and the first cut waits until it is at
speed. A stop code holds its channel until the spindle stands (both common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from gemel.timing.feeding import Turning
from gemel.timing.spin import SpinCurve

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from gemel.machines.schema import Machine
    from gemel.reading.run import Speed

__all__ = ["Drive", "DriveEvent", "Ordered", "drives_of"]

UNITS_PER_SURFACE = {"mm": 1000.0, "inch": 12.0}
"""Length units in the unit of surface speed: mm in a metre, inches in a foot."""


class DriveEvent(NamedTuple):
    """A change of what a drive does.

    Attributes:
        drive: its key, see `drives_of`.
        kind: `turn` `stop` `c-on` `c-off`.
        at_s: seconds after the beginning of the block.
        rpm: of a turn, the speed that it is going to.
    """

    drive: str
    kind: str
    at_s: float
    rpm: float = 0.0


class Ordered(NamedTuple):
    """What a channel has ordered of a drive.

    Attributes:
        value: rpm, or surface speed in length units per minute; None if no S was given.
        surface: which of both.
        clamp_rpm: of a clamp code, None without.
    """

    value: float | None
    surface: bool
    clamp_rpm: float | None

    @classmethod
    def of(cls, speed: Speed, units: float) -> Ordered:
        """The order in the modal speed of a step; `units` are the length units of a surface speed."""
        value = speed.value
        if value is not None and speed.surface:
            value *= units
        return cls(value, speed.surface, speed.clamp_rpm)


@dataclass(slots=True)
class Drive:
    """One spindle or tool drive, changed in place while the pair runs.

    Attributes:
        key: a spindle's name, or `tool:` and the channel's.
        top_rpm: the fastest it can.
        curve: how it speeds up, None if the machine file does not say.
        sense: 1 forward, -1 reverse, 0 while it stands.
        ordered: the speed that it was told.
        rpm: the speed it was last asked to run at, without a sign.
        ready_s: when it is at that speed.
        c: where its C axis stands, degrees; None if unknown.
    """

    key: str
    top_rpm: float
    curve: SpinCurve | None
    sense: int = 0
    ordered: Ordered = field(default=Ordered(None, surface=False, clamp_rpm=None))
    rpm: float = 0.0
    ready_s: float = 0.0
    c: float | None = None

    @property
    def turning(self) -> Turning | None:
        """How it turns for a cut; None while it stands or nobody has said how fast."""
        return self._as_ordered() if self.sense else None

    def _as_ordered(self) -> Turning | None:
        value, surface, clamp_rpm = self.ordered
        highest = self.top_rpm if clamp_rpm is None else min(clamp_rpm, self.top_rpm)
        if not value or value < 0 or highest <= 0:
            return None
        return Turning(highest, value) if surface else Turning(min(value, highest))

    def wanted_rpm(self, x_dia: float | None) -> float:
        """The speed it was told, at an X; where X is unknown, the one it runs at."""
        turning = self._as_ordered()
        if turning is None:
            return 0.0
        if turning.surface and x_dia is None:
            return min(self.rpm, turning.rpm)
        return turning.at((x_dia or 0.0) / 2)

    def go(self, rpm: float, sense: int, now_s: float) -> bool:
        """Begins to turn at a speed; whether how long that takes is known."""
        before = self.rpm * self.sense if self.sense else 0.0
        known = self.curve is not None or before == rpm * sense
        spin_s = self.curve.seconds(before, rpm * sense) if self.curve else 0.0
        if spin_s:
            self.ready_s = max(self.ready_s, now_s) + spin_s
        self.rpm, self.sense = rpm, sense
        return known

    def stop(self, now_s: float) -> bool:
        """Begins to stop; it stands at `ready_s`. Whether how long that takes is known."""
        known = self.go(0.0, 0, now_s)
        self.ready_s = max(self.ready_s, now_s)
        return known

    def follow(self, x_dia: float | None) -> bool:
        """Takes the speed of an X that a feed move has reached; whether it has changed on the way."""
        before = self.rpm
        if self.sense and self.ordered.surface:
            self.rpm = self.wanted_rpm(x_dia)
        return self.rpm != before


def drives_of(machine: Machine) -> dict[str, Drive]:
    """Every spindle by its name, and the tool drive of every channel as `tool:` and the channel's name."""
    return dict(_drives(machine))


def _drives(machine: Machine) -> Iterator[tuple[str, Drive]]:
    for name, spindle in machine.spindles.items():
        curve = _curve(spindle.inertia_kgm2, spindle.power_kw, spindle.torque)
        yield name, Drive(name, float(spindle.top_speed), curve)
    for name, channel in machine.channels.items():
        motor = channel.drive
        curve = _curve(motor.inertia_kgm2, motor.power_kw, motor.torque)
        yield f"tool:{name}", Drive(f"tool:{name}", float(motor.top_speed), curve)


def _curve(inertia: float | None, power_kw: float, torque: Sequence[Sequence[float]]) -> SpinCurve | None:
    """How a drive speeds up; None where the machine file lacks a figure or gives one that cannot be."""
    if inertia is None:
        return None
    try:
        return SpinCurve(inertia, power_kw, torque)
    except (ValueError, TypeError):
        return None
