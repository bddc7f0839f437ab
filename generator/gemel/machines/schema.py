"""The machine file's schema: everything that differs from machine to machine.

Lengths are in the file's `unit`; X is a diameter throughout; angles in degrees; times in seconds.
"""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from gemel.documents import Strict
from gemel.machines.codes import Codes
from gemel.machines.kinds import Amount, Code, ToolKind
from gemel.numbers import NumberForm

__all__ = ["Channel", "Machine", "MoreStations", "Numbers", "Spindle", "Station"]

Axis = Literal["x", "y", "z", "c", "b", "a"]


class Station(Strict):
    """A place that holds a tool.

    Attributes:
        call: the word that brings it to work, `T0101`.
        kind: what such a tool may do there; None: as the tool is.
        tool: the tool that stands there for every family; None: free for the families.
    """

    call: Code
    kind: ToolKind | None = None
    tool: str | None = None


class MoreStations(Strict):
    """A magazine: stations `from` to `to`, called by `call` with `{n}`."""

    call: Code
    from_: int = Field(alias="from")
    to: int
    kind: ToolKind


class Drive(Strict):
    """A motor. `torque` is a curve of [rpm, N m] points, straight between them.

    Attributes:
        inertia_kgm2: of all that turns; None: unknown, and so is how long it takes to start.
        efficiency: share of the motor's power and torque that reaches the cut (0.8: as handbook examples reckon).
    """

    power_kw: Amount
    top_speed: Amount
    torque: list[list[Amount]]
    inertia_kgm2: Amount | None = None
    efficiency: Amount = 0.8


class FeedLimits(Strict):
    """The fastest feed that the control takes, unit/min and unit/rev."""

    per_minute: Amount
    per_revolution: Amount


class ToolChange(Strict):
    """Where a channel may change its tool (`home`, or anywhere `clear` of the zones), and how long it takes.

    Attributes:
        z: Z to which the channel draws back before it changes tools clear of the zones, far enough from the chuck for
            the longest tool of the turret; None: it stays where it is.
    """

    at: Literal["home", "clear"]
    seconds: Amount
    z: Amount | None = None


class Channel(Strict):
    """One of the programs that the control runs at the same time.

    Attributes:
        number: by which waits name the channel.
        suffix: end of its program's file name.
        travel: [least, most] of each axis in the work offset's frame, X as diameter.
        home: position after the home move, in every offset.
        rapid: unit/min, C in degrees/min. acceleration: m/s2, C in degrees/s2. Both of X along the radius.
        rapid_path: `dog-leg`: every axis runs at its own rate until it is there; `straight`: all arrive together.
        drive: the motor of its rotating tools.
    """

    title: str
    number: int
    suffix: str
    axes: list[Axis]
    travel: dict[Axis, list[Amount]]
    home: dict[Axis, Amount]
    rapid: dict[Axis, Amount]
    acceleration: dict[Axis, Amount]
    rapid_path: Literal["dog-leg", "straight"] = "dog-leg"
    feed: FeedLimits
    tool_change: ToolChange
    drive: Drive
    stations: dict[str, Station]
    more: MoreStations | None = None


class Spindle(Strict):
    """A work spindle.

    Attributes:
        side: `bar` holds the bar, `hand-over` takes the part over and sits on the slide.
        offset: name of the work offset under which one works on it.
        bore: diameter of the hole in the bar, at which a cut-off is through; 0 for solid bar.
        torque: a curve of [rpm, N m] points, straight between them.
        efficiency: share of the motor's power and torque that reaches the cut (0.8: as handbook examples reckon).
    """

    title: str
    side: Literal["bar", "hand-over"]
    offset: str
    top_speed: Amount
    power_kw: Amount
    torque: list[list[Amount]]
    inertia_kgm2: Amount
    efficiency: Amount = 0.8
    bore: Amount = 0.0


class Frame(Strict):
    """Which way the axes of an offset point."""

    z: Literal["out of the chuck", "to the right"]


class Waits(Strict):
    """The wait mark's form and the numbers that may be used.

    Attributes:
        write: `{number}` and, where the control wants it, `{channels}` (the digits of the channels named).
        first, last, step: the shop's numbers. control: what the control takes as waits.
    """

    write: Code
    first: int
    last: int
    step: int = 1
    control: list[int]


class Sequence(Strict):
    """Sequence numbers: stage s starts at s x `stage`; operations inside it step by `operation`.

    Attributes:
        write: `N{number}`, a format specification is allowed.
        blocks: `starts` numbers the first block of stages and operations; `all` every block, by one.
    """

    write: Code
    stage: int
    operation: int
    blocks: Literal["starts", "all"]


class Form(Strict):
    """How one kind of number is spelled; see `gemel.numbers.NumberForm`."""

    decimals: int = 3
    point: Literal["always", "never", "needed"] = "always"
    trailing: Literal["keep", "drop"] = "drop"
    leading: Literal["keep", "drop"] = "keep"

    def number_form(self) -> NumberForm:
        """The same, for the formatter."""
        return NumberForm(self.decimals, self.point, self.trailing, self.leading)


class Numbers(Strict):
    """Number rules: letters and kinds.

    Attributes:
        decimals_read: most decimals that the control reads.
        without_point: letters that never carry a point. either: letters that may.
        lead: of threads and taps, as finely as the control reads it; None: as other feeds per revolution.
        peck: the peck depth's word; a form without a point is written in thousandths of the unit.
        arc_tolerance: how far the ends of an arc may disagree in radius.
    """

    decimals_read: int
    without_point: list[str]
    either: list[str]
    length: Form
    angle: Form
    feed_per_minute: Form
    feed_per_revolution: Form
    lead: Form | None = None
    speed: Form
    surface_speed: Form
    dwell: Form
    peck: Form
    arc_tolerance: Amount


class Comment(Strict):
    """Start and end of a comment; an empty end means to the end of the line."""

    start: str
    end: str = ""


class Wrapper(Strict):
    """First and last line of the file, empty for none."""

    start: str = ""
    end: str = ""


class Lines(Strict):
    """Rules of a line of program."""

    longest: int
    characters: str
    end: str
    encoding: str
    comment: Comment
    wrapper: Wrapper


class Programs(Strict):
    """Program numbers: form and range.

    Attributes:
        file: name of a program's file in the control's folder, of `number`, `family`, `member`, `channel` and the
            channel's `suffix`.
    """

    write: Code
    first: int
    last: int
    file: Code = "{family}-{member}{suffix}"


class Zones(Strict):
    """When a channel counts as inside: X (diameter) below `clearance`; kinds of tools that may be inside together.

    Attributes:
        bar_clearance: lowest X at which a feed move counts as a cut; default `clearance`.
        z_below: Z at or below which a cut-off cuts the part off; None: anywhere.
    """

    clearance: Amount
    bar_clearance: Amount | None = None
    z_below: Amount | None = None
    allowed_together: list[list[ToolKind]] = Field(default_factory=list)


class Start(Strict):
    """The state in which the control starts a program."""

    offset: str
    plane: Literal["xy", "zx", "yz"]


class Slide(Strict):
    """The slide of the right spindle: at or above `back` it is back, below it is forward."""

    back: Amount


class Pecks(Strict):
    """How the control draws back between the pecks of a drilling cycle.

    Attributes:
        back: to the `start` of the hole, or by the `gap` only.
        gap: how far above the depth reached the rapid down ends; None: what the turning cycles draw back.
    """

    back: Literal["start", "gap"] = "start"
    gap: Amount | None = None


class BarFeeder(Strict):
    """What brings new bars.

    Attributes:
        longest: length of the longest bar that it takes.
        change: seconds in which it throws the remnant out and brings the next bar.
    """

    longest: Amount
    change: Amount


class Durations(Strict):
    """Seconds that a function takes when it changes something; `wait`: from the last arrival at a mark to going on."""

    clamp: Amount
    c_axis: Amount
    c_brake: Amount
    synchronise: Amount
    catcher: Amount
    bar_feed: Amount
    wait: Amount
    coolant: Amount
    air: Amount


class Machine(Strict):
    """A machine: how it is spoken to, and its limits."""

    machine: str
    title: str
    unit: Literal["mm", "inch"]
    channels: dict[str, Channel]
    spindles: dict[str, Spindle]
    frames: dict[str, Frame]
    codes: Codes
    waits: Waits
    sequence: Sequence
    numbers: Numbers
    lines: Lines
    programs: Programs
    zones: Zones
    start: Start
    slide: Slide
    catcher: bool
    pecks: Pecks = Field(default_factory=Pecks)
    durations: Durations
    bar_feeder: BarFeeder | None = None
