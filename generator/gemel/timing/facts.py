"""The machine's facts that durations rest on, and the state that its channels share while a pair runs."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from gemel.timing.drives import UNITS_PER_SURFACE, Drive, drives_of
from gemel.timing.travel import axis_rates

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.machines.schema import Machine
    from gemel.reading.dialect import Function
    from gemel.timing.travel import AxisRate

__all__ = ["ChannelFacts", "Floor", "channel_facts"]

_LEAST_GAP = {"mm": 0.5, "inch": 0.02}
"""How far above the depth reached the rapid down of a peck ends, unless the machine file says (as turning cycles)."""


@dataclass(frozen=True, slots=True)
class ChannelFacts:
    """What one channel can do.

    Attributes:
        name: as the machine file calls it.
        axes: rate and acceleration of each axis.
        straight: whether all axes of a rapid move arrive together.
        fastest: the fastest feed, unit/min.
        tool_change_s: seconds to bring another station to work.
        peck_gap: how far above the depth reached the rapid down ends.
        peck_out: whether the tool comes all the way out between pecks.
        units_per_surface: length units in the unit of surface speed.
        home_z: Z at home, the same number under every offset.
        z_senses: of each spindle's offset, 1 if its Z grows to the right, -1 if to the left.
    """

    name: str
    axes: Mapping[str, AxisRate]
    straight: bool
    fastest: float
    tool_change_s: float
    peck_gap: float
    peck_out: bool
    units_per_surface: float
    home_z: float
    z_senses: Mapping[str, float]

    def z_from_home(self, z: float, offset: str) -> float:
        """How far right of home a Z is: what ties the frames of two offsets together."""
        return (z - self.home_z) * self.z_senses.get(offset, 1.0)


def channel_facts(machine: Machine, channel: str) -> ChannelFacts:
    """The facts of one channel of a machine file."""
    facts = machine.channels[channel]
    gap = machine.pecks.gap
    return ChannelFacts(
        name=channel,
        axes=axis_rates(machine, facts),
        straight=facts.rapid_path == "straight",
        fastest=float(facts.feed.per_minute) if facts.feed.per_minute > 0 else math.inf,
        tool_change_s=max(0.0, float(facts.tool_change.seconds)),
        peck_gap=_LEAST_GAP[machine.unit] if gap is None else float(gap),
        peck_out=machine.pecks.back == "start",
        units_per_surface=UNITS_PER_SURFACE[machine.unit],
        home_z=float(facts.home.get("z", 0.0)),
        z_senses={name: _z_sense(machine, name) for name in machine.spindles},
    )


def _z_sense(machine: Machine, spindle: str) -> float:
    """Out of the left chuck is to the right, out of the right one to the left."""
    frame = machine.frames.get(spindle)
    turned = frame is not None and frame.z == "out of the chuck" and machine.spindles[spindle].side == "hand-over"
    return -1.0 if turned else 1.0


@dataclass(slots=True)
class Floor:
    """What the channels share: drives, clamps, catcher, coolant; changed in place while the pair runs.

    Attributes:
        drives: every spindle and tool drive by its key.
        leading: spindles that the others follow while synchronised: those of the bar side.
        following: the others.
        seconds: how long a function of each kind takes when it changes something.
        states: the state of each kind of function and each of its things.
        wait_s: from the last arrival at a wait mark to going on.
    """

    drives: dict[str, Drive]
    leading: tuple[str, ...]
    following: tuple[str, ...]
    seconds: Mapping[str, float]
    wait_s: float
    states: dict[tuple[str, str], str] = field(default_factory=dict)

    @classmethod
    def of(cls, machine: Machine) -> Floor:
        """The state in which a pair starts: bar clamped, right clamp open, everything standing and off."""
        times = machine.durations
        states = {("clamp", name): "close" if s.side == "bar" else "open" for name, s in machine.spindles.items()}
        seconds = {
            "clamp": times.clamp,
            "c-axis": times.c_axis,
            "brake": times.c_brake,
            "synchronisation": times.synchronise,
            "catcher": times.catcher,
            "coolant": times.coolant,
            "air": times.air,
            "bar-feed": times.bar_feed,
        }
        states["catcher", ""] = "in"
        states["synchronisation", ""] = "off"
        return cls(
            drives=drives_of(machine),
            leading=tuple(n for n, s in machine.spindles.items() if s.side == "bar"),
            following=tuple(n for n, s in machine.spindles.items() if s.side != "bar"),
            seconds={kind: max(0.0, float(seconds)) for kind, seconds in seconds.items()},
            wait_s=max(0.0, float(times.wait)),
            states=states,
        )

    def change(self, function: Function) -> float | None:
        """Takes note of a function; the seconds it takes, None where everything is so already."""
        kind, which, state = function
        before = self.states.get((kind, which), "off")
        if before == state and kind != "bar-feed":
            return None
        self.states[kind, which] = state
        return self.seconds[kind]

    def driven(self, spindle: str) -> tuple[str, ...]:
        """The spindles on which a start or stop code of one acts: while synchronised, the right ones follow the left.

        The codes of one that follows then move nothing.
        """
        if self.states["synchronisation", ""] == "off" or (
            spindle not in self.leading and spindle not in self.following
        ):
            return (spindle,)
        return (spindle, *self.following) if spindle in self.leading else ()
