"""What an operation is made of: machine-neutral steps, in the order in which the channel runs them.

An operation gives steps; templates turn each into blocks (`steps.nc.j2` has one macro per `kind`).
Frame: the work offset of the spindle worked on. X is a diameter, Z grows out of the chuck with Z0 at the
finished face, Y completes the right-handed frame. Lengths mm, angles degrees, feeds mm/min or mm/rev, times
seconds, whatever the machine's unit: the writer converts. Every number should be a `Number` with an origin.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, Literal

if TYPE_CHECKING:
    from gemel.documents import PlacedText

__all__ = [
    "Arc",
    "CycleEnd",
    "Drill",
    "Dwell",
    "Feed",
    "FeedMode",
    "Function",
    "Home",
    "Note",
    "Posted",
    "Rapid",
    "SlideMove",
    "SpeedLimit",
    "SpindleStart",
    "Step",
    "Tap",
    "ThreadPass",
    "ToolCall",
    "ToolDrive",
    "ToolpathState",
]

Spindle = Literal["left", "right"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Axes:
    """Target position; an axis that is None is not named in the block."""

    x: float | None = None
    y: float | None = None
    z: float | None = None
    c: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Rapid(Axes):
    """A rapid move to a position."""

    kind: ClassVar[str] = "rapid"


@dataclass(frozen=True, slots=True, kw_only=True)
class Feed(Axes):
    """A straight feed move; `feed` None keeps the feed in force; `compensation` switches in this block."""

    kind: ClassVar[str] = "feed"
    feed: float | None = None
    compensation: Literal["none", "left", "right"] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Arc(Axes):
    """An arc by radius (at most a half circle) in the plane in force."""

    kind: ClassVar[str] = "arc"
    clockwise: bool
    radius: float
    feed: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreadPass(Axes):
    """One cut of a thread along Z, `lead` in mm per revolution."""

    kind: ClassVar[str] = "thread_pass"
    lead: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Drill(Axes):
    """Drilling cycle at the position: to `depth`, `peck` mm a peck or None, back to `clear`.

    `depth` is an X diameter when `along` is x, a Z when it is z.

    `clear` is the level (same axis as `depth`) at which the cycle starts and to which it returns.
    """

    kind: ClassVar[str] = "drill"
    along: Literal["x", "z"]
    depth: float
    clear: float
    peck: float | None = None
    dwell_s: float | None = None
    feed: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Tap(Axes):
    """Rigid tapping cycle: to `depth` at `pitch` mm per revolution with the speed in force (`rpm`), back to `clear`.

    `driven`: the tap turns, else the work does. `left_hand`: it goes in turning in reverse.
    """

    kind: ClassVar[str] = "tap"
    along: Literal["x", "z"]
    depth: float
    clear: float
    pitch: float
    rpm: float
    left_hand: bool = False
    driven: bool = False


@dataclass(frozen=True, slots=True)
class CycleEnd:
    """Cancels the cycle in force."""

    kind: ClassVar[str] = "cycle_end"


@dataclass(frozen=True, slots=True)
class Dwell:
    """Stand still for `seconds`."""

    kind: ClassVar[str] = "dwell"
    seconds: float


@dataclass(frozen=True, slots=True)
class Home:
    """Send the channel home, X first (all its linear axes)."""

    kind: ClassVar[str] = "home"


@dataclass(frozen=True, slots=True)
class ToolCall:
    """Brings a station's tool to work. `call` is the machine file's word, `title` the tool's description."""

    kind: ClassVar[str] = "tool_call"
    call: str
    title: str


@dataclass(frozen=True, slots=True)
class ToolpathState:
    """States again what a restart here needs: unit, plane, feed mode, offset, compensation off, cycle off.

    `plane`: zx for turning, xy for milling along Z, yz for milling along X (radial).
    """

    kind: ClassVar[str] = "state"
    plane: Literal["xy", "zx", "yz"]
    feed_mode: Literal["per_minute", "per_revolution"]
    spindle: str


@dataclass(frozen=True, slots=True)
class FeedMode:
    """Changes the feed mode inside an operation; the next feed move must name its feed."""

    kind: ClassVar[str] = "feed_mode"
    mode: Literal["per_minute", "per_revolution"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeedLimit:
    """Clamps the speed of the work spindle, rpm; stands before constant surface speed is switched on."""

    kind: ClassVar[str] = "speed_limit"
    rpm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SpindleStart:
    """Starts a work spindle at fixed `rpm`, or at constant surface speed `surface_m_min` (exactly one given)."""

    kind: ClassVar[str] = "spindle_start"
    spindle: str
    direction: Literal["forward", "reverse"] = "forward"
    rpm: float | None = None
    surface_m_min: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ToolDrive:
    """Starts the channel's rotating tool at `rpm` (speed mode fixed)."""

    kind: ClassVar[str] = "tool_drive"
    rpm: float
    direction: Literal["forward", "reverse"] = "forward"


@dataclass(frozen=True, slots=True)
class Function:
    """One function of the machine by its path in the machine file's `codes`: `clamp.left.open`, `coolant.start`.

    Others: `spindle.left.stop`, `drive.stop`, `c_axis.left.engage`, `c_brake.right.release`, `synchronise.phase`,
    `catcher.out`, `catcher.in`, `bar_feed`, `air.start`, `program.optional_stop`.
    """

    kind: ClassVar[str] = "function"
    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SlideMove:
    """Moves the right spindle's slide to machine coordinate `position`: 0 back, negative forward.

    Rapid without `feed` (mm/min).
    """

    kind: ClassVar[str] = "slide"
    position: float
    feed: float | None = None


@dataclass(frozen=True, slots=True)
class Note:
    """A comment for the operator."""

    kind: ClassVar[str] = "note"
    text: str


@dataclass(frozen=True, slots=True)
class Posted:
    """One block from elsewhere, as the control is to read it; `text` knows file and line that it came from."""

    kind: ClassVar[str] = "posted"
    text: PlacedText


Step = (
    Rapid
    | Feed
    | Arc
    | ThreadPass
    | Drill
    | Tap
    | CycleEnd
    | Dwell
    | Home
    | ToolCall
    | ToolpathState
    | FeedMode
    | SpeedLimit
    | SpindleStart
    | ToolDrive
    | Function
    | SlideMove
    | Note
    | Posted
)
"""Any step."""
