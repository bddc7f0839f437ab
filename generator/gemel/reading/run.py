"""What one channel does, block by block, in the order of execution: the result of interpreting its text.

Lengths are in the dialect's unit, X is a diameter where the dialect says so, angles are in degrees, frames are those of
the active offset. None stands for "cannot be known from the text".
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from gemel.findings import Span
    from gemel.reading.blocks import Block
    from gemel.reading.dialect import Function, Tool
    from gemel.reading.state import State

__all__ = ["CUTTING_KINDS", "Motion", "Position", "Remark", "Run", "Speed", "Step", "ToolCall", "Wait"]

CUTTING_KINDS = frozenset({"feed", "arc", "thread", "drill", "tap"})
"""Kinds of motion that cut if the tool meets the workpiece."""


class Position(NamedTuple):
    """Where a channel stands."""

    x_dia: float | None
    y: float | None
    z: float | None
    c: float | None
    b: float | None
    slide: float | None


class Remark(NamedTuple):
    """Something to be said about a place; `proving` makes findings of the rule family `words` from it.

    Attributes:
        code: code within `words`, such as `no-feed` or `not-understood`.
        span: where.
        text: the offending text as it stands there.
        cause: one sentence.
    """

    code: str
    span: Span
    text: str
    cause: str


class Wait(NamedTuple):
    """A wait mark: its number, and the channels it names (None: all of them)."""

    number: int
    channels: frozenset[str] | None


class ToolCall(NamedTuple):
    """A T word: its number, its station, and the tool if the machine file lists it."""

    number: int
    station: int
    tool: Tool | None


class Speed(NamedTuple):
    """A speed in force.

    Attributes:
        drive: the spindle's name, or `tool`; empty while no start code has said whose speed it is.
        value: rpm, or metres (feet) a minute at constant surface speed.
        surface: whether it is a constant surface speed.
        clamp_rpm: the highest speed allowed by a clamp code, None without.
    """

    drive: str
    value: float | None
    surface: bool
    clamp_rpm: float | None


class Motion(NamedTuple):
    """One movement of one block; a block has several where it homes by way of a point or runs a cycle.

    Attributes:
        kind: `rapid` `feed` `arc` `thread` `drill` (down) `tap` (down) `retract` (a cycle's way back, no cut).
        start: where it begins.
        end: where it ends.
        low_x: the lowest X on the way, ends included (of an arc whose bulge is unknown, the ends); None if unknown.
        high_x: the highest X on the way.
        offset: the spindle whose work offset is active (empty: none known).
        feed: F in force, None without or where F does not matter.
        feed_mode: `minute` `revolution` `inverse`, empty if none was given. For threads F is the lead.
        center: centre of an arc in the coordinates of the plane (diameter halved), else None.
        plane: `zx` `xy` `yz` for arcs, else empty.
        clockwise: for arcs.
        sweep_deg: angle of an arc, 0 for others.
        machine: whether the target was given in machine coordinates (`G53`) or is home.
        dwell_s: how long it rests at its end: the P of a drilling cycle.
    """

    kind: str
    start: Position
    end: Position
    low_x: float | None
    high_x: float | None
    offset: str = ""
    feed: float | None = None
    feed_mode: str = ""
    center: tuple[float, float] | None = None
    plane: str = ""
    clockwise: bool = False
    sweep_deg: float = 0.0
    machine: bool = False
    dwell_s: float = 0.0

    @property
    def cuts(self) -> bool:
        """Whether this is a feed move, which cuts where it meets the workpiece."""
        return self.kind in CUTTING_KINDS


@dataclass(frozen=True, slots=True)
class Step:
    """One executed block, its parts in the order of execution: tool, functions, motions, late functions, wait.

    Attributes:
        block: the block itself (`block.source`, `block.line`, `block.text`).
        pass_number: 1 for the first pass of a channel that repeats.
        tool: the tool it calls.
        functions: function codes that act before the motion (modes are not among them).
        motions: its movements in order.
        late: function codes that act after the motion.
        wait: the wait it ends with.
        offset: name of the spindle whose offset is active in it, behind its own offset code.
        offset_name: name of that offset.
        changes_offset: whether it names another offset than was active.
        axes: names of the axes it words, `c` and `slide` among them, whether or not they move.
        plane: in force for its motions.
        speed: speed in force behind it.
        feed: F in force behind it, None if none.
        feed_mode: in force behind it.
        dwell_s: how long it dwells.
        cycle: `drill` `tap` `bore` `single-turn`... if a cycle is active in it, else empty.
        peck: depth of one peck of a drilling cycle, 0 without.
        compensation: `off` `left` `right` in force.
        skippable: whether it begins with `/`.
        depth: how many subprograms deep.
        remarks: what is to be said about it.
    """

    block: Block
    pass_number: int
    tool: ToolCall | None
    functions: tuple[Function, ...]
    motions: tuple[Motion, ...]
    late: tuple[Function, ...]
    wait: Wait | None
    offset: str
    offset_name: str
    changes_offset: bool
    axes: frozenset[str]
    plane: str
    speed: Speed
    feed: float | None
    feed_mode: str
    dwell_s: float
    cycle: str
    peck: float
    compensation: str
    skippable: bool
    depth: int
    remarks: tuple[Remark, ...]

    @property
    def low_x(self) -> float | None:
        """Lowest X of its motions, ends included; None without motions or where unknown."""
        lows = [m.low_x for m in self.motions if m.low_x is not None]
        return min(lows) if lows else None

    @property
    def is_empty(self) -> bool:
        """Whether it does nothing that another channel, a spindle or a tool could notice."""
        return not (self.functions or self.motions or self.late or self.wait or self.tool or self.axes)


@dataclass(frozen=True, slots=True)
class Run:
    """One pass of one channel.

    Attributes:
        channel: whose it is.
        steps: executed blocks in order; blank lines and comment lines have none.
        ending: `end` (M30), `repeat` (M99), `text` (neither), `endless` (goes round for ever), `bound` (cut short).
        state: modes, feed, position, variables at the end, for `interpret(..., start=run.state)`.
        remarks: every remark of the pass in order, those of the steps included.
        blocks: how many blocks were read, those without effect included.
    """

    channel: str
    steps: tuple[Step, ...]
    ending: str
    state: State
    remarks: tuple[Remark, ...]
    blocks: int
