"""The milling dialect of NISTIR 6556 (Kramer, Proctor, Messina, The NIST RS274/NGC Interpreter, Version 3, 2000).

A dialect for tests: the published tables of that report hold our reader, whose own machines are lathes. Lengths are mm,
X is a length like Y and Z, R of a cycle is a level, a dwell counts in seconds. The report has no turning cycles, no
subprograms, no wait marks; G98 and G99 choose where a cycle ends.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.reading import ChannelText, Dialect, Function, Position, interpret, read
from gemel.reading.dialect import Axis, NumberRules, Tool, ToolKind
from gemel.reading.state import start_state

if TYPE_CHECKING:
    from gemel.reading import Run

__all__ = ["GROUPS", "RS274", "run", "run_from"]

GROUPS = {
    "motion": "G0 G1 G2 G3 G38.2 G80 G81 G82 G83 G84 G85 G86 G87 G88 G89",
    "plane": "G17 G18 G19",
    "distance": "G90 G91",
    "feed mode": "G93 G94",
    "units": "G20 G21",
    "radius compensation": "G40 G41 G42",
    "length offset": "G43 G49",
    "retract": "G98 G99",
    "offsets": "G54 G55 G56 G57 G58 G59 G59.1 G59.2 G59.3",
    "path": "G61 G61.1 G64",
    "not modal": "G4 G10 G28 G30 G53 G92 G92.1 G92.2 G92.3",
    "stop": "M0 M1 M2 M30 M60",
    "tool": "M6",
    "spindle": "M3 M4 M5",
    "coolant": "M7 M8 M9",
    "override": "M48 M49",
}
"""Modal groups, Table 4."""

_CODES = {
    "G0": Function("motion", "", "rapid"),
    "G1": Function("motion", "", "feed"),
    "G2": Function("motion", "", "arc-cw"),
    "G3": Function("motion", "", "arc-ccw"),
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
    "G43": Function("plain"),
    "G49": Function("plain"),
    "G53": Function("machine"),
    "G80": Function("motion", "", "cancel"),
    **{f"G{n}": Function("motion", "", "drill") for n in (81, 82, 83)},
    "G84": Function("motion", "", "tap"),
    "G85": Function("motion", "", "bore"),
    "G90": Function("distance", "", "absolute"),
    "G91": Function("distance", "", "incremental"),
    "G92": Function("origin"),
    "G93": Function("feed-mode", "", "inverse"),
    "G94": Function("feed-mode", "", "minute"),
    "G98": Function("return", "", "initial"),
    "G99": Function("return", "", "retract"),
    **{f"G{n}": Function("offset", "table", f"G{n}") for n in (54, 55, 56, 57, 58, 59, 59.1, 59.2, 59.3)},
    **{f"G{n}": Function("plain") for n in (61, 61.1, 64)},
    "M0": Function("stop", "", "always"),
    "M1": Function("stop", "", "optional"),
    "M2": Function("end"),
    "M3": Function("spindle", "tool", "forward"),
    "M4": Function("spindle", "tool", "reverse"),
    "M5": Function("spindle", "tool", "stop"),
    "M6": Function("other", "tool change"),
    "M7": Function("coolant", "mist", "on"),
    "M8": Function("coolant", "flood", "on"),
    "M9": Function("coolant", "all", "off"),
    "M30": Function("end"),
    "M48": Function("other", "override on"),
    "M49": Function("other", "override off"),
    "M60": Function("stop", "", "always"),
}

RS274 = Dialect(
    channel="mill",
    codes=_CODES,
    groups=tuple(frozenset(names.split()) for names in GROUPS.values()),
    after_motion=frozenset({_CODES["M0"], _CODES["M1"]}),
    wait=None,
    axes={letter: Axis(letter.lower()) for letter in "XYZCB"},
    tools={n: Tool(f"tool {n}", ToolKind.ROTATING, n) for n in range(1, 100)},
    numbers=NumberRules(frozenset(), frozenset(), decimals=17, digits=300, sequence_digits=5),
    characters=frozenset("%()+-*/.#=[], 0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"),
    home={"x": 100.0, "y": 100.0, "z": 100.0},
    start=(
        Function("plane", "", "xy"),
        Function("unit", "", "mm"),
        Function("distance", "", "absolute"),
        Function("feed-mode", "", "minute"),
        Function("compensation", "", "off"),
        Function("return", "", "initial"),
        _CODES["G54"],
    ),
    tool_divisor=1,
    longest_block=256,
    x_is_diameter=False,
    arc_tolerance=0.002,
    dwell={"P": 1.0},
    line_comment="",
    retract_is_level=True,
)


def run(text: str) -> Run:
    """What a program of this dialect does, from home."""
    return interpret(ChannelText(RS274, (read(text.encode(), "a.ngc"),)))


def run_from(at: tuple[float, float, float], text: str) -> Run:
    """The same from a position."""
    state = start_state(RS274)
    state.position = Position(*at, None, None, None)
    state.homed = frozenset()
    return interpret(ChannelText(RS274, (read(text.encode(), "a.ngc"),)), state)
