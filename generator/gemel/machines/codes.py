"""The code words of a machine: one field per function that gemel writes or understands."""

from __future__ import annotations

from pydantic import Field

from gemel.documents import Strict
from gemel.machines.kinds import Code

__all__ = ["Codes", "EngageCodes", "StartStop"]


class Motion(Strict):
    """Kinds of motion."""

    rapid: Code
    feed: Code
    arc_cw: Code
    arc_ccw: Code
    thread: Code


class Cycles(Strict):
    """Drilling with pecks, rigid tapping, and their end.

    Attributes:
        tap, tap_left: right-hand and left-hand threads, the work turning.
        driven_tap, driven_tap_left: the same with a tap that turns, where the control has words of its own for it.
    """

    drill: Code
    tap: Code
    tap_left: Code | None = None
    driven_tap: Code | None = None
    driven_tap_left: Code | None = None
    cancel: Code


class Planes(Strict):
    """Working planes."""

    xy: Code
    zx: Code
    yz: Code


class Units(Strict):
    """Unit of lengths."""

    inch: Code
    mm: Code


class Feeds(Strict):
    """Feed mode."""

    per_minute: Code
    per_revolution: Code


class Speeds(Strict):
    """Speed mode, and the code whose S clamps the speed."""

    surface: Code
    fixed: Code
    clamp: Code


class Distances(Strict):
    """Absolute and incremental, for dialects that have codes for it."""

    absolute: Code
    incremental: Code


class Compensations(Strict):
    """Nose-radius and cutter-radius compensation."""

    none: Code
    left: Code
    right: Code


class Rotation(Strict):
    """Forward, reverse, stop."""

    forward: Code
    reverse: Code
    stop: Code


class ClampCodes(Strict):
    """A work holder."""

    close: Code
    open: Code


class EngageCodes(Strict):
    """Something that is engaged and released (C axis, brake)."""

    engage: Code
    release: Code


class Synchronise(Strict):
    """Spindle synchronisation by speed, by phase, and its end."""

    speed: Code
    phase: Code
    end: Code


class Catcher(Strict):
    """Part catcher."""

    out: Code
    in_: Code = Field(alias="in")


class StartStop(Strict):
    """Something that runs or not (coolant, air)."""

    start: Code
    stop: Code


class ProgramCodes(Strict):
    """Stops, end, repeat from the start, subprogram call."""

    stop: Code
    optional_stop: Code
    end: Code
    repeat: Code
    call: Code


class LatheCycles(Strict):
    """Cycles of turning programs that gemel reads and never writes."""

    finish: Code | None = None
    rough: Code | None = None
    face: Code | None = None
    groove: Code | None = None
    thread: Code | None = None
    single_turn: Code | None = None
    single_thread: Code | None = None
    single_face: Code | None = None


class Codes(Strict):
    """Every function by its code word. Per-spindle tables are keyed by the spindle's name."""

    motion: Motion
    cycles: Cycles
    plane: Planes
    unit: Units
    feed: Feeds
    speed: Speeds
    distance: Distances | None = None
    compensation: Compensations
    offset: dict[str, Code]
    home: Code
    machine_coordinates: Code
    dwell: Code
    set: list[Code] = Field(default_factory=list)
    increments: dict[str, Code] = Field(default_factory=dict)
    spindle: dict[str, Rotation]
    drive: Rotation
    clamp: dict[str, ClampCodes]
    c_axis: dict[str, EngageCodes]
    c_brake: dict[str, EngageCodes]
    synchronise: Synchronise
    catcher: Catcher | None = None
    bar_feed: Code | None = None
    coolant: StartStop
    coolant_high: StartStop | None = None
    air: StartStop | None = None
    program: ProgramCodes
    slide: Code
    after_motion: list[Code] = Field(default_factory=list)
    groups: list[list[Code]] = Field(default_factory=list)
    lathe_cycles: LatheCycles = LatheCycles()
