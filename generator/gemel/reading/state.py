"""What lives on from block to block in one channel: modes, feed, speed, position, variables."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from gemel.reading.run import Position, Speed

if TYPE_CHECKING:
    from gemel.reading.dialect import Dialect, Function

__all__ = ["Cycle", "State", "start_state"]


@dataclass(frozen=True, slots=True)
class Cycle:
    """A drilling cycle, or a single turning cycle, that is active.

    Attributes:
        kind: `drill` `tap` `bore` `single-turn` `single-thread` `single-face`.
        axis: name of the axis the tool goes in along, `x` `y` or `z`; empty for single turning cycles.
        goal: where the stroke ends along it; of a single turning cycle, nothing.
        initial: where the axis stood when the cycle began.
        retract: the R word in force.
        peck: depth of one peck in the dialect's unit, 0 for none.
        corner: X and Z of a single turning cycle.
        dwell_s: how long it rests at the depth.
    """

    kind: str
    axis: str = ""
    goal: float | None = None
    initial: float | None = None
    retract: float | None = None
    peck: float = 0.0
    corner: tuple[float | None, float | None] = (None, None)
    dwell_s: float = 0.0


NO_SPEED = Speed("", None, surface=False, clamp_rpm=None)
"""No S word yet."""


@dataclass(slots=True)
class State:
    """The modal state of one channel; changed in place while interpreting, copied where it is handed out.

    Attributes:
        modes: the function in force of each modal kind (`motion` `plane` `unit` `compensation` `offset`
            `speed-mode` `feed-mode` `distance` `return`).
        position: where the channel stands.
        homed: names of the axes that stand at home and have not moved since.
        feed: F in force, None without.
        speed: speed in force.
        station: the station in use, None before the first T.
        cycle: an active cycle.
        said: codes of remarks that are not to be repeated until their cause is mended (`no-feed` until the feed comes).
        variables: macro variables that have a value.
        shift: what `origin` codes have added to the coordinates of each axis, None where unknown.
        cycle_words: words that the first line of a two-line turning cycle has left for the second.
    """

    modes: dict[str, Function]
    position: Position
    homed: frozenset[str]
    feed: float | None = None
    speed: Speed = NO_SPEED
    station: int | None = None
    cycle: Cycle | None = None
    said: set[str] = field(default_factory=set)
    variables: dict[int, float] = field(default_factory=dict)
    shift: dict[str, float | None] = field(default_factory=dict)
    cycle_words: dict[str, float] = field(default_factory=dict)

    def copy(self) -> State:
        """The same state, independent of this one."""
        return replace(
            self,
            modes=dict(self.modes),
            said=set(self.said),
            variables=dict(self.variables),
            shift=dict(self.shift),
            cycle_words=dict(self.cycle_words),
        )

    def mode(self, kind: str) -> str:
        """State of the function in force of a modal kind, empty if none is."""
        function = self.modes.get(kind)
        return function.state if function else ""

    @property
    def offset(self) -> str:
        """Name of the spindle whose work offset is active, empty if none is known."""
        function = self.modes.get("offset")
        return function.which if function else ""


def start_state(dialect: Dialect) -> State:
    """The state in which a channel starts: home, and the dialect's modes."""
    home = Position(*(dialect.home.get(n) for n in ("x", "y", "z", "c", "b", "slide")))
    return State(
        modes={f.kind: f for f in dialect.start},
        position=home,
        homed=frozenset(n for n in ("x", "y", "z") if n in dialect.home),
        variables=dict(dialect.named_variables),
    )
