"""Movements of one block: targets, straight moves, arcs, homing, machine coordinates.

Every function moves `state.position` on and gives the motions it made, in order.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from gemel.reading.arcs import Arc, ArcError, arc_about, arc_by_radius
from gemel.reading.run import Motion, Position

if TYPE_CHECKING:
    from gemel.reading.dialect import Dialect
    from gemel.reading.line import Line
    from gemel.reading.state import State

__all__ = [
    "arc",
    "coordinate",
    "home",
    "lose_position",
    "machine",
    "move_to",
    "placed",
    "plane_axes",
    "rename",
    "scale",
    "straight",
    "targets",
]

_PLANE_AXES = {"xy": ("x", "y"), "zx": ("z", "x"), "yz": ("y", "z")}
"""First and second axis of each plane, seen from the positive end of its normal."""

_CENTRES = {"x": "I", "y": "J", "z": "K"}
_MM_PER_INCH = 25.4


def scale(state: State, dialect: Dialect) -> float:
    """How many of the dialect's units one unit of the program's lengths is."""
    unit = state.mode("unit")
    if not unit or unit == dialect.unit:
        return 1.0
    return _MM_PER_INCH if unit == "inch" else 1 / _MM_PER_INCH


def plane_axes(state: State) -> tuple[str, str]:
    """First and second axis of the plane in force."""
    return _PLANE_AXES.get(state.mode("plane"), _PLANE_AXES["zx"])


def targets(line: Line, state: State, dialect: Dialect) -> dict[str, float | None]:
    """Where each axis that the block words is to go; None where it cannot be known."""
    found: dict[str, float | None] = {}
    incremental = state.mode("distance") == "incremental"
    factor = scale(state, dialect)
    for letter, axis in dialect.axes.items():
        if letter in line.undecided:
            found[axis.name] = None
            continue
        value = line.take(letter)
        if value is None:
            continue
        value *= 1.0 if axis.name in {"c", "b"} else factor
        if axis.incremental or (incremental and axis.name != "slide"):
            here = coordinate(state.position, axis.name)
            found[axis.name] = None if here is None else here + value
        else:
            found[axis.name] = value
    return found


def coordinate(position: Position, name: str) -> float | None:
    """One coordinate by the axis's name."""
    value: float | None = getattr(position, "x_dia" if name == "x" else name)
    return value


def placed(position: Position, goal: dict[str, float | None]) -> Position:
    """The position with the goal's coordinates."""
    return position._replace(**{"x_dia" if n == "x" else n: v for n, v in goal.items()})


def move_to(kind: str, goal: dict[str, float | None], state: State, *, machine: bool = False) -> Motion:
    """A straight motion to the goal."""
    start = state.position
    end = placed(start, goal)
    low = high = None
    if start.x_dia is not None and end.x_dia is not None:
        low, high = min(start.x_dia, end.x_dia), max(start.x_dia, end.x_dia)
    state.position = end
    state.homed -= goal.keys()
    fed = kind not in {"rapid", "retract"}
    return Motion(
        kind,
        start,
        end,
        low,
        high,
        state.offset,
        state.feed if fed else None,
        state.mode("feed-mode") if fed else "",
        machine=machine,
    )


def straight(kind: str, line: Line, state: State, dialect: Dialect) -> tuple[Motion, ...]:
    """The motion to the block's target at rapid, feed, or a thread's lead."""
    goal = targets(line, state, dialect)
    if any(letter in dialect.axes for letter in line.undecided):
        line.remark("position-unknown", "where this block moves to cannot be known")
    return (move_to(kind, goal, state),)


def home(line: Line, state: State, dialect: Dialect) -> tuple[Motion, ...]:
    """By way of the named point to the home position of the named axes."""
    goal = targets(line, state, dialect)
    axes = set(goal) | {dialect.axes[letter].name for letter in line.blank}
    motions = []
    if any(coordinate(state.position, n) != v for n, v in goal.items()):
        motions.append(move_to("rapid", goal, state))
    ends = {n: _home(n, state, dialect) for n in axes}
    if not ends:
        line.remark("not-understood", "it names no axis to send home")
    else:
        motions.append(move_to("rapid", ends, state, machine=True))
        state.homed |= axes & {"x", "y", "z"}
    return tuple(motions)


def _home(name: str, state: State, dialect: Dialect) -> float | None:
    """The home position of an axis in the coordinates in force, None where unknown."""
    place = dialect.home.get(name, 0.0 if name in {"c", "slide"} else None)
    shift = state.shift.get(name, 0.0)
    return None if place is None or shift is None else place + shift


def rename(line: Line, state: State, dialect: Dialect) -> None:
    """The axis words say what the coordinates are from now on; nothing moves."""
    goal = targets(line, state, dialect)
    for name, value in goal.items():
        here, shift = coordinate(state.position, name), state.shift.get(name, 0.0)
        state.shift[name] = None if value is None or here is None or shift is None else shift + value - here
    state.position = placed(state.position, goal)


def machine(line: Line, state: State, dialect: Dialect) -> tuple[Motion, ...]:
    """To machine coordinates, in which home is zero; X elsewhere cannot be placed in the frame of the program."""
    goal: dict[str, float | None] = {}
    for name, value in targets(line, state, dialect).items():
        if name in {"slide", "c", "b"}:
            goal[name] = value
        else:
            goal[name] = _home(name, state, dialect) if value == 0 else None
    if "x" in goal and goal["x"] is None:
        line.remark("position-unknown", "X in machine coordinates away from home has no known place in this frame")
    kind = "feed" if state.mode("motion") == "feed" else "rapid"
    motion = move_to(kind, goal, state, machine=True)
    state.homed |= {n for n in goal if n in {"x", "y", "z"} and goal[n] is not None}
    return (motion,)


def lose_position(line: Line, state: State, dialect: Dialect) -> None:
    """After axis words of a code that is not understood: those axes may stand anywhere."""
    goal: dict[str, float | None] = {}
    for letter, axis in dialect.axes.items():
        if line.take(letter) is not None:
            goal[axis.name] = None
    state.position = placed(state.position, goal)
    state.homed -= goal.keys()
    line.remark("position-unknown", "after a code that is not understood nobody knows where these axes stand")


def arc(line: Line, state: State, dialect: Dialect, *, clockwise: bool) -> tuple[Motion, ...]:
    """The motion along an arc; one that does not exist goes straight, with a remark."""
    start = state.position
    goal = targets(line, state, dialect)
    shape = _shape(line, state, dialect, goal, clockwise=clockwise)
    motion = move_to("arc", goal, state)._replace(plane=state.mode("plane"), clockwise=clockwise)
    if shape is None:
        return (motion,)
    low, high = motion.low_x, motion.high_x
    axes = plane_axes(state)
    if "x" in axes:
        factor = 2.0 if dialect.x_is_diameter else 1.0
        low, high = (value * factor for value in shape.extremes(axes.index("x")))
    elif start.x_dia is None:
        low = high = None
    return (motion._replace(low_x=low, high_x=high, center=shape.center, sweep_deg=math.degrees(shape.sweep)),)


def _shape(line: Line, state: State, dialect: Dialect, goal: dict[str, float | None], *, clockwise: bool) -> Arc | None:
    """The arc in its plane; None, with a remark where it is at fault, if there is none."""
    axes = plane_axes(state)
    end_position = placed(state.position, goal)
    ends = []
    for position in (state.position, end_position):
        first, second = (_in_plane(position, n, dialect) for n in axes)
        ends.append((first, second))
    offset = [line.take(_CENTRES[n]) for n in axes]
    radius = line.take("R")
    (sx, sy), (ex, ey) = ends
    if sx is None or sy is None or ex is None or ey is None:
        return None
    factor = scale(state, dialect)
    sense = clockwise, dialect.arc_tolerance
    try:
        if radius is not None:
            return arc_by_radius((sx, sy), (ex, ey), radius * factor, sense)
        centre = (offset[0] or 0.0) * factor, (offset[1] or 0.0) * factor
        return arc_about((sx, sy), (ex, ey), centre, sense)
    except ArcError as error:
        line.remark("arc-radius", str(error))
        return None


def _in_plane(position: Position, name: str, dialect: Dialect) -> float | None:
    """A coordinate as a length in the plane: a diameter is halved."""
    value = coordinate(position, name)
    if value is not None and name == "x" and dialect.x_is_diameter:
        return value / 2
    return value
