"""What one channel's control understands, as data: codes, letters, number rules, limits.

Nothing in `reading` knows a code of any machine: whatever a word means is looked up here, and `machines` fills it in
from the machine file. Lengths are in `unit`; X is a diameter where `x_is_diameter` says so (every lathe), and the
unit and the frame of every other length here are those of the program text.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["Axis", "Dialect", "Function", "NumberRules", "Tool", "ToolKind", "WaitForm", "code_key", "is_whole"]


class Function(NamedTuple):
    """The meaning of one code word: a kind, which of its things, and what is asked of it.

    Functions of the machine (a `Step` lists them in the order of execution):

    | kind | which | state |
    | --- | --- | --- |
    | `spindle` | a spindle's name, or `tool` for the tool drive of the channel | `forward` `reverse` `stop` |
    | `clamp` | a spindle's name | `close` `open` |
    | `c-axis`, `brake` | a spindle's name | `on` `off` |
    | `synchronisation` | | `speed` `phase` `off` |
    | `catcher` | | `out` `in` |
    | `bar-feed` | | `feed` |
    | `coolant`, `air` | which one | `on` `off` |
    | `stop` | | `always` `optional` |
    | `other` | a name for people | |

    Codes of the flow: `end`, `repeat` (from the start; return in a subprogram), `call` (a subprogram), `macro` (call
    with arguments).

    Codes that the interpretation carries out itself (a mode lives on, `motion` too):

    | kind | state |
    | --- | --- |
    | `motion` | `rapid` `feed` `arc-cw` `arc-ccw` `thread`, the cycles `drill` `tap` `bore` `single-turn` `single-thread` `single-face`, their end `cancel` |
    | `plane` | `xy` `zx` `yz` |
    | `unit` | `mm` `inch` |
    | `compensation` | `off` `left` `right` |
    | `offset` | which = name of the spindle whose work it is for, state = name of the offset |
    | `speed-mode` | `surface` `rpm` |
    | `feed-mode` | `minute` `revolution` `inverse` |
    | `distance` | `absolute` `incremental` |
    | `return` | `initial` `retract` (the milling dialect's end level of a cycle) |
    | `home` `machine` `dwell` `data` | one-shot; `data` are codes whose axis words are no motion |
    | `speed-clamp` | one-shot: S clamps the speed; axis words are no motion |
    | `origin` | one-shot: axis words say what the coordinates are to be from now on |
    | `cycle` | one-shot: `finish` `rough-turn` `rough-face` `groove` `thread` |
    | `plain` | understood, and without effect on what is proved |
    """  # noqa: E501 # the table is one row a line

    kind: str
    which: str = ""
    state: str = ""


class ToolKind(StrEnum):
    """What a tool can do."""

    TURNING = "turning"
    CUT_OFF = "cut-off"
    ROTATING = "rotating"
    BAR_STOP = "bar stop"
    BAR_PULLER = "bar puller"


class Tool(NamedTuple):
    """One tool that the channel holds.

    Attributes:
        name: as the machine file calls it, `cut-off-3`.
        kind: what it can do.
        station: where it sits; two T words of one station differ in their offset only.
    """

    name: str
    kind: ToolKind
    station: int


class Axis(NamedTuple):
    """What an axis letter moves.

    Attributes:
        name: `x` `y` `z` `c` `b` or `slide`, a field of `Position`.
        incremental: whether the word is a distance from where the axis stands (`U V W H`).
    """

    name: str
    incremental: bool = False


@dataclass(frozen=True, slots=True)
class WaitForm:
    """How a wait mark is written.

    Attributes:
        letter: the letter whose number is the wait's, `M`.
        first: the lowest number that the control takes as a wait.
        last: the highest one.
        shop_first: the lowest number that the shop uses.
        shop_last: the highest one.
        channels_letter: the letter that names the channels it is for (`P` in `M100 P12`), empty if none does.
        channels: channel name for each digit of that word, `{"1": "upper", "2": "lower"}`.
    """

    letter: str
    first: int
    last: int
    shop_first: int
    shop_last: int
    channels_letter: str = ""
    channels: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class NumberRules:
    """How numbers must be written for this control.

    Attributes:
        dimensions: letters whose number is a dimension and needs a decimal point unless it is zero.
        whole: letters whose number takes no decimal point.
        decimals: most digits behind the point that the control reads.
        digits: most digits before the point.
        sequence_digits: most digits of a block number.
    """

    dimensions: frozenset[str]
    whole: frozenset[str]
    decimals: int
    digits: int = 8
    sequence_digits: int = 8


@dataclass(frozen=True, slots=True)
class Dialect:
    """Everything the interpretation of one channel's text needs.

    Attributes:
        channel: the channel's name, as the machine file names it.
        codes: meaning of each code word, keyed by `code_key` (`M3`, `G59.1`).
        groups: sets of code keys of which a block may hold one only.
        after_motion: functions that act behind the motion of their block.
        wait: the wait mark's form, or None on a machine without.
        axes: what each axis letter moves, those of other channels included.
        own_axes: names of the axes that this channel has.
        tools: the tool of each station.
        tool_divisor: T number divided by this is the station; the rest is the offset. 1 where T is the station alone.
        numbers: rules of spelling.
        characters: characters allowed outside comments, besides line ends.
        longest_block: in characters, without the line end.
        home: home position of each axis name, in the frame of the program.
        travel: lowest and highest coordinate of each axis name.
        start: function state at the start, one `Function` for each mode (plane, offset, distance, feed mode...).
        unit: `mm` or `inch`.
        x_is_diameter: whether X is a diameter.
        arc_tolerance: how far the two radii of an arc may differ.
        clearance: X at or above which a channel is outside every zone.
        dwell: seconds for one unit of each letter that a dwell takes.
        call_depth: how deep subprograms may be nested.
        line_comment: the character that starts a comment to the end of the line, empty if none.
        retract_is_level: whether R of a drilling cycle is a level (milling); else the distance from where it began.
        least_increment: what one unit of a P, Q or other whole number of a cycle means as a length.
        cycle_retract: how far the turning cycles draw back unless they say so, in `unit` along the radius.
        named_variables: variables whose value is known before the program starts.
    """

    channel: str
    codes: Mapping[str, Function]
    groups: tuple[frozenset[str], ...]
    after_motion: frozenset[Function]
    wait: WaitForm | None
    axes: Mapping[str, Axis]
    tools: Mapping[int, Tool]
    numbers: NumberRules
    characters: frozenset[str]
    home: Mapping[str, float]
    start: tuple[Function, ...]
    own_axes: frozenset[str] = frozenset({"x", "y", "z", "c", "b", "slide"})
    travel: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    tool_divisor: int = 100
    longest_block: int = 80
    unit: str = "mm"
    x_is_diameter: bool = True
    arc_tolerance: float = 0.02
    clearance: float = 0.0
    dwell: Mapping[str, float] = field(default_factory=lambda: {"X": 1.0, "U": 1.0, "P": 0.001})
    call_depth: int = 10
    line_comment: str = ";"
    retract_is_level: bool = False
    least_increment: float = 0.001
    cycle_retract: float = 0.5
    named_variables: Mapping[int, float] = field(default_factory=dict)


_CLOSE = 0.0001 + 1e-12
"""How close to a whole number counts as that one (NISTIR 6556, 3.3.2.1), and the error of doubles."""


def is_whole(value: float) -> bool:
    """Whether a number counts as a whole one."""
    return abs(value - round(value)) <= _CLOSE


def code_key(letter: str, value: float) -> str:
    """The key of a code word in `Dialect.codes`: letter and shortest number, `M03` and `m3.` both give `M3`.

    A number close to a whole one counts as that one; of a G word, ten times the number (NISTIR 6556, 3.3.2.1).
    """
    if is_whole(value * 10 if letter == "G" else value):
        value = round(value, 1) + 0.0  # no minus zero
    return f"{letter}{value:.10g}"
