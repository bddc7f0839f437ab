"""One channel of a made-up lathe, as data: what the interpretation is tested with, whatever the machine files say."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from gemel.reading import ChannelText, Dialect, Function, Position, interpret, read
from gemel.reading.dialect import Axis, NumberRules, Tool, ToolKind, WaitForm
from gemel.reading.state import start_state

if TYPE_CHECKING:
    from gemel.reading import Motion, Run

__all__ = ["BY_MODE", "HOME", "LATHE", "causes", "codes", "path", "run", "run_from"]

_MOTIONS = {
    "G0": "rapid",
    "G1": "feed",
    "G2": "arc-cw",
    "G3": "arc-ccw",
    "G32": "thread",
    "G80": "cancel",
    "G83": "drill",
    "G84": "tap",
    "G90": "single-turn",
    "G92": "single-thread",
    "G94": "single-face",
}
_CYCLES = {"G70": "finish", "G71": "rough-turn", "G72": "rough-face", "G75": "groove", "G76": "thread"}
_CODES = {
    **{code: Function("motion", "", state) for code, state in _MOTIONS.items()},
    **{code: Function("cycle", "", state) for code, state in _CYCLES.items()},
    "G4": Function("dwell"),
    "G10": Function("data"),
    "G17": Function("plane", "", "xy"),
    "G18": Function("plane", "", "zx"),
    "G19": Function("plane", "", "yz"),
    "G20": Function("unit", "", "inch"),
    "G21": Function("unit", "", "mm"),
    "G28": Function("home"),
    "G40": Function("compensation", "", "off"),
    "G41": Function("compensation", "", "left"),
    "G42": Function("compensation", "", "right"),
    "G50": Function("speed-clamp"),
    "G53": Function("machine"),
    "G54": Function("offset", "left", "G54"),
    "G55": Function("offset", "right", "G55"),
    "G65": Function("macro"),
    "G96": Function("speed-mode", "", "surface"),
    "G97": Function("speed-mode", "", "rpm"),
    "G98": Function("feed-mode", "", "minute"),
    "G99": Function("feed-mode", "", "revolution"),
    "M0": Function("stop", "", "always"),
    "M3": Function("spindle", "left", "forward"),
    "M4": Function("spindle", "left", "reverse"),
    "M5": Function("spindle", "left", "stop"),
    "M8": Function("coolant", "coolant", "on"),
    "M9": Function("coolant", "coolant", "off"),
    "M30": Function("end"),
    "M68": Function("clamp", "left", "close"),
    "M69": Function("clamp", "left", "open"),
    "M98": Function("call"),
    "M99": Function("repeat"),
    "M103": Function("spindle", "tool", "forward"),
}
HOME = Position(400.0, 0.0, 300.0, None, None, 0.0)
"""Where a channel of the lathe starts."""

LATHE = Dialect(
    channel="lower",
    codes=_CODES,
    groups=(frozenset({"G0", "G1", "G2", "G3", "G32"}), frozenset({"M3", "M4", "M5"})),
    after_motion=frozenset({_CODES["M5"], _CODES["M9"], _CODES["M0"]}),
    wait=WaitForm("M", 700, 799, 701, 799, "P", {"1": "upper", "2": "lower", "3": "rear"}),
    axes={
        **{letter: Axis(name) for letter, name in zip("XYZCA", ("x", "y", "z", "c", "slide"), strict=True)},
        **{letter: Axis(name, incremental=True) for letter, name in zip("UVWH", "xyzc", strict=True)},
    },
    tools={n: Tool(f"turn-{n}", ToolKind.TURNING, n) for n in range(1, 13)},
    numbers=NumberRules(frozenset("XYZUVWABCHIJKR"), frozenset("SPL"), decimals=4),
    characters=frozenset("%()+-*/.;:#=[],' 0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"),
    home={"x": 400.0, "y": 0.0, "z": 300.0, "slide": 0.0},
    start=(
        _CODES["G54"],
        _CODES["G18"],
        _CODES["G21"],
        Function("distance", "", "absolute"),
    ),
    clearance=120.0,
)
"""X is a diameter, U V W H are increments, G98 and G99 feed by time and by turn, waits may name channels with P."""

BY_MODE = replace(
    LATHE,
    codes={
        **_CODES,
        "G90": Function("distance", "", "absolute"),
        "G91": Function("distance", "", "incremental"),
    },
    axes={letter: axis for letter, axis in LATHE.axes.items() if not axis.incremental},
)
"""The same with G90 and G91 for absolute and incremental, and no letters for increments."""


def run(text: str, dialect: Dialect = LATHE, more: tuple[str, ...] = (), *, skip: bool = False) -> Run:
    """What a program does from home; `more` are further files with subprograms."""
    files = tuple(read(one.encode("latin-1"), f"{i}.nc") for i, one in enumerate((text, *more)))
    return interpret(ChannelText(dialect, files), skip=skip)


def run_from(x_dia: float, z: float, text: str, dialect: Dialect = LATHE) -> Run:
    """The same from a place, with feed mode and feed given, so that only what is asked for is said."""
    state = start_state(dialect)
    state.position = HOME._replace(x_dia=x_dia, z=z)
    state.homed = frozenset()
    state.modes["feed-mode"] = _CODES["G99"]
    state.feed = 0.1
    return interpret(ChannelText(dialect, (read(text.encode(), "a.nc"),)), state)


def _motion(motion: Motion) -> str:
    x, z = motion.end.x_dia, motion.end.z
    return f"{motion.kind} {'?' if x is None else f'{x:g}'} {'?' if z is None else f'{z:g}'}"


def path(done: Run) -> list[str]:
    """Kind, X (a diameter) and Z of the end of every motion; `?` where it cannot be known."""
    return [_motion(motion) for step in done.steps for motion in step.motions]


def codes(done: Run) -> list[str]:
    """Codes of the remarks."""
    return [remark.code for remark in done.remarks]


def causes(done: Run) -> str:
    """The remarks in words."""
    return "\n".join(remark.cause for remark in done.remarks)
