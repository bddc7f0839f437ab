"""A step of a run as deeds: what it does to the shared state, in the order of execution inside a block."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.proving.facts import LEFT, RIGHT, SIDES
from gemel.proving.shared import Cut, Deed
from gemel.reading.dialect import ToolKind

if TYPE_CHECKING:
    from gemel.proving.facts import Facts
    from gemel.proving.zones import Inside
    from gemel.reading.dialect import Function
    from gemel.reading.run import Motion, Step

__all__ = ["THINGS", "Doer", "commands", "deeds"]

_CUTTERS = frozenset({ToolKind.TURNING, ToolKind.CUT_OFF, ToolKind.ROTATING})

THINGS = (
    "spindle-left",
    "spindle-right",
    "clamp-left",
    "clamp-right",
    "C-axis-left",
    "C-axis-right",
    "slide",
    "catcher",
    "synchronisation",
    "bar-feed",
)
"""What two channels must not command in blocks that no wait orders; the index is the bit in `commands`."""


class Doer:
    """What a channel brings to its blocks: its tool and its tool drive, followed from block to block.

    Attributes:
        kind: kind of its tool, None without one.
        station: station of its tool, None without one.
        driven: whether its tool drive runs.
    """

    __slots__ = ("driven", "kind", "station")

    def __init__(self) -> None:
        self.kind: ToolKind | None = None
        self.station: int | None = None
        self.driven = False

    @property
    def carried(self) -> tuple[ToolKind | None, int | None, bool]:
        """Everything that lives on into the next pass."""
        return self.kind, self.station, self.driven

    def take(self, step: Step) -> None:
        """Calls the tool of a step, which comes first in its block."""
        if step.tool is not None:
            self.kind = step.tool.tool.kind if step.tool.tool else None
            self.station = step.tool.station


def deeds(step: Step, doer: Doer, during: Inside, facts: Facts) -> list[Deed]:
    """What the step does, in order; `doer` has taken the step's tool already and has its drive switched."""
    done = _functions(step.functions, doer, facts)
    side = facts.sides.get(step.offset, 0)
    if "c" in step.axes and side:
        done.append(Deed("c-move", side))
    if "slide" in step.axes:
        done.append(Deed("slide", forward=_ends_forward(step, facts)))
    if doer.kind is ToolKind.BAR_PULLER and any(m.start.z != m.end.z for m in step.motions):
        done.append(Deed("pull"))
    cut = _cut(step, doer, during, facts)
    if cut is not None:
        done.append(Deed("cut", side, cut))
    if doer.kind is ToolKind.CUT_OFF and side == LEFT:
        done.extend(Deed("cut-off", LEFT) for m in step.motions if _parts_off(m, facts))
    return done + _functions(step.late, doer, facts)


def _functions(functions: tuple[Function, ...], doer: Doer, facts: Facts) -> list[Deed]:
    """The deeds of function codes; those of the channel's own drive switch the doer."""
    found = []
    for function in functions:
        if function.kind == "spindle" and function.which == "tool":
            doer.driven = function.state != "stop"
            continue
        deed = _function(function, facts)
        if deed is not None:
            found.append(deed)
    return found


def _function(function: Function, facts: Facts) -> Deed | None:
    side = facts.sides.get(function.which, 0)
    match function.kind, function.state:
        case "spindle", state if side:
            return Deed("stop" if state == "stop" else "start", side)
        case "clamp", state if side:
            return Deed(state, side)
        case "c-axis", state if side:
            return Deed(f"c-{state}", side)
        case "brake", state if side:
            return Deed(f"brake-{state}", side)
        case "synchronisation", state:
            return Deed("sync-off" if state == "off" else "sync-on")
        case "catcher", state:
            return Deed(f"catcher-{state}")
        case "bar-feed", _:
            return Deed("bar-feed")
    return None


def _ends_forward(step: Step, facts: Facts) -> bool:
    """Whether the slide is forward behind the step; an unknown place counts as forward."""
    end = step.motions[-1].end.slide if step.motions else None
    return end is None or end < facts.slide_back


def _cut(step: Step, doer: Doer, during: Inside, facts: Facts) -> Cut | None:
    """The cut that the step makes: a feed move inside a zone below the bar's clearance, with a tool that cuts."""
    if doer.kind not in _CUTTERS or during == (-1, -1):
        return None
    cutting = [m for m in step.motions if m.cuts and m.low_x is not None and m.low_x < facts.bar_clearance]
    side = facts.sides.get(step.offset)
    if not cutting or side is None:
        return None
    visit = during[SIDES.index(side)]
    central = all(_is_central(m) for m in cutting)
    rotating = doer.kind is ToolKind.ROTATING
    return Cut(rotating, central, doer.driven, visit if visit >= 0 else max(during))


def _is_central(motion: Motion) -> bool:
    """Whether a cycle drills or taps along Z on the axis of the spindle."""
    start, end = motion.start, motion.end
    on_axis = start.x_dia == 0 and end.x_dia == 0 and start.y in {0, None} and end.y in {0, None}
    return motion.kind in {"drill", "tap"} and on_axis


def _parts_off(motion: Motion, facts: Facts) -> bool:
    """Whether a straight feed ends at the bore, behind the finished length where the machine file gives its Z."""
    end = motion.end
    if motion.kind != "feed" or end.x_dia is None or end.x_dia > facts.bore:
        return False
    return facts.z_below is None or (end.z is not None and end.z <= facts.z_below)


_SPINDLE = {LEFT: 1 << 0, RIGHT: 1 << 1}
_CLAMP = {LEFT: 1 << 2, RIGHT: 1 << 3}
_C_AXIS = {LEFT: 1 << 4, RIGHT: 1 << 5}
_SLIDE, _CATCHER, _SYNCHRONISATION, _BAR_FEED = 1 << 6, 1 << 7, 1 << 8, 1 << 9
_BY_SIDE = {
    "start": _SPINDLE,
    "stop": _SPINDLE,
    "open": _CLAMP,
    "close": _CLAMP,
    "c-on": _C_AXIS,
    "c-off": _C_AXIS,
    "brake-on": _C_AXIS,
    "brake-off": _C_AXIS,
    "c-move": _C_AXIS,
}
_ALONE = {
    "slide": _SLIDE,
    "catcher-out": _CATCHER,
    "catcher-in": _CATCHER,
    "sync-on": _SYNCHRONISATION | _SPINDLE[RIGHT],
    "sync-off": _SYNCHRONISATION | _SPINDLE[RIGHT],
    "bar-feed": _BAR_FEED,
}


def commands(done: list[Deed]) -> int:
    """The things that these deeds command, as bits in the order of THINGS."""
    found = 0
    for deed in done:
        if deed.side and deed.kind in _BY_SIDE:
            found |= _BY_SIDE[deed.kind][deed.side]
        else:
            found |= _ALONE.get(deed.kind, 0)
    return found
