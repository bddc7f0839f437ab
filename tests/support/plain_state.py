"""The state table and the rules of `holding` once more, word by word from docs/proving.md, for a plain search.

Nothing here is taken from `gemel.proving`: a state is a dictionary, a rule is an `if`. Only what a block *is* comes
from `gemel.reading`, which has its own tests.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.machines.schema import Machine
    from gemel.reading.dialect import Function
    from gemel.reading.run import Step

__all__ = ["START", "Facts", "apply", "commanded"]

START: dict[str, Any] = {
    "clamp": {"left": "closed", "right": "open"},
    "spindle": {"left": "stopped", "right": "stopped"},
    "c": {"left": "off", "right": "off"},
    "brake": {"left": "off", "right": "off"},
    "sync": "off",
    "catcher": "in",
    "slide": "back",
    "stock": 1,
    "held": "nothing",
    "had": False,
}


class Facts:
    """What the rules ask of a machine file."""

    def __init__(self, machine: Machine) -> None:
        zones = machine.zones
        self.clearance = float(zones.clearance)
        self.bar_clearance = float(zones.clearance if zones.bar_clearance is None else zones.bar_clearance)
        self.z_below = zones.z_below
        self.bore = float(next(s.bore for s in machine.spindles.values() if s.side == "bar"))
        self.slide_back = float(machine.slide.back)
        self.shared = [frozenset(str(k) for k in kinds) for kinds in zones.allowed_together]
        self.home_x = {name: float(c.home["x"]) for name, c in machine.channels.items()}
        self.waits = int(machine.waits.first), int(machine.waits.last)


def _loose(s: dict[str, Any], side: str) -> bool:
    """The clamp is open while its spindle turns, except the right one while synchronisation is on."""
    excepted = side == "right" and s["sync"] == "on"
    return s["clamp"][side] == "open" and s["spindle"][side] == "turning" and not excepted


def _twisted(s: dict[str, Any]) -> bool:
    turns = "turning" in s["spindle"].values()
    return s["held"] == "joined" and s["clamp"]["left"] == "closed" and turns and s["sync"] == "off"


def apply(step: Step, who: dict[str, Any], s: dict[str, Any], facts: Facts) -> Iterator[tuple[str, str]]:
    """Does a block to the state `s`, and gives the codes that it breaks by itself, with the side concerned.

    Args:
        step: the block.
        who: `kind` of the channel's tool, `drive` of the channel, `during` zones it is inside, `others`: tool kind and
            zones of every other channel, `first`: whether this is the first pass of a pair whose channels all repeat.
        s: changed in place.
        facts: of the machine.
    """
    joined_before = s["held"] == "joined"
    opened: set[str] = set()
    slid_from = s["slide"]
    for function in step.functions:
        yield from _function(function, who, s, opened)
    if "c" in step.axes and step.offset and s["brake"][step.offset] == "on":
        yield "13", step.offset
    if "slide" in step.axes:
        yield from _slide(step, who, s, facts, slid_from)
    moves_z = any(m.start.z != m.end.z for m in step.motions)
    if who["kind"] == "bar puller" and moves_z and s["clamp"]["left"] == "open":
        s["stock"] = max(s["stock"], 1)
    yield from _cut(step, who, s, facts)
    for motion in step.motions:
        if motion.kind == "feed" and who["kind"] == "cut-off" and step.offset == "left":
            yield from _cut_off(motion, s, facts)
    for function in step.late:
        yield from _function(function, who, s, opened)
    if joined_before and "right" in opened and s["clamp"]["left"] == "open" and s["clamp"]["right"] == "open":
        yield "14", "right"


def _function(f: Function, who: dict[str, Any], s: dict[str, Any], opened: set[str]) -> Iterator[Any]:
    if f.kind == "spindle" and f.which == "tool":
        who["drive"] = "stopped" if f.state == "stop" else "running"
        return
    loose, twisted = {side: _loose(s, side) for side in ("left", "right")}, _twisted(s)
    first = "-first-part" if who["first"] and not s["had"] else ""
    if f.kind == "clamp" and f.state == "open":
        yield from _open(f.which, who, s, opened, first if f.which == "right" else "")
    elif f.kind in {"c-axis", "brake"}:
        yield from _c_axis(f, s)
    else:
        yield from _others(f, who, s)
    for side in ("left", "right"):
        if _loose(s, side) and not loose[side]:
            yield "2" + (first if side == "right" else ""), side
    if _twisted(s) and not twisted:
        yield "4", ""


def _c_axis(f: Function, s: dict[str, Any]) -> Iterator[tuple[str, str]]:
    if f.state == "on" and s["spindle"][f.which] == "turning":
        yield ("10-c-on" if f.kind == "c-axis" else "13"), f.which
    s["c" if f.kind == "c-axis" else "brake"][f.which] = f.state


def _others(f: Function, who: dict[str, Any], s: dict[str, Any]) -> Iterator[tuple[str, str]]:
    match f.kind:
        case "spindle":
            yield from _spindle(f.which, f.state, s)
        case "clamp" if s["clamp"][f.which] == "open":
            s["clamp"][f.which] = "closed"
            if f.which == "right" and s["slide"] == "forward" and s["stock"] >= 1:
                s["held"], s["had"] = "joined", True
        case "synchronisation" if f.state == "off":
            s["sync"] = "off"
        case "synchronisation":
            s["sync"] = "on"
            if s["spindle"]["left"] == "turning" and s["spindle"]["right"] == "stopped":
                yield from _started("right", s)
            s["spindle"]["right"] = s["spindle"]["left"]
        case "catcher":
            s["catcher"] = f.state
        case "bar-feed":
            yield from _bar_feed(who, s)


def _started(side: str, s: dict[str, Any]) -> Iterator[tuple[str, str]]:
    if s["c"][side] == "on":
        yield "10-start", side
    if s["brake"][side] == "on":
        yield "13", side


def _spindle(side: str, order: str, s: dict[str, Any]) -> Iterator[tuple[str, str]]:
    acts_on = [side]
    if s["sync"] == "on":
        acts_on = ["left", "right"] if side == "left" else []
    for each in acts_on:
        if order != "stop":
            yield from _started(each, s)
        s["spindle"][each] = "stopped" if order == "stop" else "turning"


def _open(side: str, who: dict[str, Any], s: dict[str, Any], opened: set[str], first: str) -> Iterator[Any]:
    if s["clamp"][side] == "open":
        return
    if s["spindle"][side] == "turning":
        yield "2" + first, side
    opened.add(side)
    for kind, inside in [(who["kind"], who["during"]), *who["others"]]:
        if side in inside and kind not in {"bar stop", "bar puller"}:
            yield "3", side
    if side == "right":
        if s["held"] == "piece" and s["catcher"] == "in":
            yield "6", side
        if s["held"] == "joined" and s["clamp"]["left"] == "open":
            yield "14", side
        s["held"] = "nothing"
    s["clamp"][side] = "open"


def _bar_feed(who: dict[str, Any], s: dict[str, Any]) -> Iterator[tuple[str, str]]:
    if s["clamp"]["left"] == "closed":
        yield "8-clamp", ""
    for kind, inside in [(who["kind"], who["during"]), *who["others"]]:
        if "left" in inside and kind != "bar stop":
            yield "8-zone", ""
    s["stock"] = max(s["stock"], 1)


def _slide(step: Step, who: dict[str, Any], s: dict[str, Any], facts: Facts, begins: str) -> Iterator[tuple[str, str]]:
    a = step.motions[-1].end.slide
    ends = "forward" if a is None or a < facts.slide_back else "back"
    if s["held"] == "joined" and s["clamp"]["left"] == "closed":
        yield "7", ""
    if s["held"] == "joined" and s["clamp"]["left"] == "open":
        s["stock"] = 2
    s["slide"] = ends
    who["slid"] = "forward" in {begins, ends}


def _cut(step: Step, who: dict[str, Any], s: dict[str, Any], facts: Facts) -> Iterator[tuple[str, str]]:
    feeds = [m for m in step.motions if m.kind in {"feed", "arc", "thread", "drill", "tap"}]
    feeds = [m for m in feeds if m.low_x is not None and m.low_x < facts.bar_clearance]
    kind, side = who["kind"], step.offset
    if not feeds or not who["during"] or not side or kind not in {"turning", "cut-off", "rotating"}:
        return
    first = "-first-part" if side == "right" and who["first"] and not s["had"] else ""
    if s["clamp"][side] == "open":
        yield "1" + first, side
    if side == "right" and s["held"] == "nothing":
        yield "11" + first, side
    turns, c_on = s["spindle"][side] == "turning", s["c"][side] == "on"
    if kind == "rotating":
        exempt = all(m.kind in {"drill", "tap"} and _at_centre(m) for m in feeds)
        if not exempt and not c_on:
            yield "9-c-off", side
        if not exempt and turns:
            yield "9-turning", side
        if who["drive"] == "stopped":
            yield "9-drive-stopped", side
        return
    if not turns:
        yield "9-stopped", side
    if c_on:
        yield "9-c-on", side


def _at_centre(motion: Any) -> bool:
    """Along Z at X0 Y0."""
    still = motion.start.x_dia == motion.end.x_dia == 0
    return still and (motion.end.y or 0) == 0 and (motion.start.y or 0) == 0


def _cut_off(motion: Any, s: dict[str, Any], facts: Facts) -> Iterator[tuple[str, str]]:
    through = motion.end.x_dia is not None and motion.end.x_dia <= facts.bore
    behind = facts.z_below is None or (motion.end.z is not None and motion.end.z <= facts.z_below)
    if not through or not behind or s["stock"] < 1:
        return
    if s["held"] != "joined" and s["catcher"] == "in":
        yield "5", ""
    s["stock"] -= 1
    if s["held"] == "joined":
        s["held"] = "piece"


def commanded(step: Step) -> set[str]:
    """The things of the rule `order` that a block commands."""
    things = set()
    for f in (*step.functions, *step.late):
        match f.kind:
            case "spindle" | "clamp" if f.which != "tool":
                things.add(f"{f.kind}-{f.which}")
            case "c-axis" | "brake":
                things.add(f"C-axis-{f.which}")
            case "synchronisation":
                things |= {"synchronisation", "spindle-right"}
            case "catcher" | "bar-feed":
                things.add(f.kind)
    if "c" in step.axes and step.offset:
        things.add(f"C-axis-{step.offset}")
    if "slide" in step.axes:
        things.add("slide")
    return things
