"""What a drive has at a speed: torque by its curve, power by its plate."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from gemel.machines.schema import Drive as Motor
    from gemel.machines.schema import Machine, Spindle

__all__ = ["TOOL", "Drive", "drive_of", "others"]

TOOL = "tool"
"""Name of a channel's drive of rotating tools, as program texts are read."""


@dataclass(frozen=True, slots=True)
class Drive:
    """A motor with what it can do at the cut.

    Attributes:
        title: for a sentence, `the left spindle`.
        power_kw: at the cut: the plate's, less what is lost on the way.
        top_rpm: highest speed.
        curve: [rpm, N m] at the motor, straight between the points. efficiency: share that reaches the cut.
    """

    title: str
    power_kw: float
    top_rpm: float
    curve: tuple[tuple[float, float], ...]
    efficiency: float

    def torque_nm(self, rpm: float) -> float:
        """Torque at the cut at a speed; beyond the curve's ends that of the end."""
        points = self.curve
        if rpm <= points[0][0]:
            return points[0][1] * self.efficiency
        for (low, at_low), (high, at_high) in pairwise(points):
            if rpm <= high:
                share = (rpm - low) / (high - low) if high > low else 1.0
                return (at_low + (at_high - at_low) * share) * self.efficiency
        return points[-1][1] * self.efficiency

    def can(self, power_kw: float, torque_nm: float, rpm: float) -> bool:
        """Whether it does such a cut."""
        return rpm <= self.top_rpm and power_kw <= self.power_kw and torque_nm <= self.torque_nm(rpm)

    def share(self, power_kw: float, torque_nm: float, rpm: float) -> float:
        """The larger share of power and torque that a cut takes; 1 is all there is."""
        return max(power_kw / self.power_kw, torque_nm / max(self.torque_nm(rpm), 1e-9))


def drive_of(machine: Machine, channel: str, drive: str) -> Drive:
    """The motor that turns for a cut: a spindle by its name, or the channel's tool drive as `tool`."""
    if drive == TOOL:
        facts = machine.channels[channel]
        return _drive(f"the tool drive of {channel} ({facts.title})", facts.drive)
    return _drive(f"the {drive} spindle", machine.spindles[drive])


def _drive(title: str, motor: Motor | Spindle) -> Drive:
    share = float(motor.efficiency)
    curve = tuple((float(rpm), float(torque)) for rpm, torque in motor.torque)
    return Drive(title, float(motor.power_kw) * share, float(motor.top_speed), curve, share)


def others(machine: Machine, channel: str) -> list[tuple[str, Drive]]:
    """The tool drives of the other channels."""
    return [(name, drive_of(machine, name, TOOL)) for name in machine.channels if name != channel]
