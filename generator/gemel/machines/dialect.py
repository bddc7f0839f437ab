"""The machine file as `reading` needs it: what one channel's control understands."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.reading.dialect import Axis, Dialect, Function, NumberRules, Tool, ToolKind, WaitForm, code_key

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.machines.schema import Channel, Machine

__all__ = ["dialect_of"]

_DIMENSIONS = frozenset("XYZUVWABCHIJKR")
"""Letters whose number is a dimension on every control that reads ISO word-address code."""

_LEAST_INCREMENT = {"mm": 0.001, "inch": 0.0001}
"""What a whole number of a cycle counts in; common practice, no source."""

_CYCLE_RETRACT = {"mm": 0.5, "inch": 0.02}
"""How far turning cycles draw back unless they say so; common practice, no source."""

_AXIS_NAMES = {"x": "x", "y": "y", "z": "z", "c": "c", "b": "b", "a": "slide"}


def dialect_of(machine: Machine, channel: str) -> Dialect:
    """What the control of one channel of a machine understands."""
    facts = machine.channels[channel]
    codes = dict(_codes(machine))
    return Dialect(
        channel=channel,
        codes=codes,
        groups=tuple(frozenset(_key(c) for c in group) for group in machine.codes.groups),
        after_motion=frozenset(codes[_key(c)] for c in machine.codes.after_motion if _key(c) in codes),
        wait=_wait(machine),
        axes=_axes(machine),
        own_axes=frozenset(_AXIS_NAMES[a] for a in facts.axes),
        tools=_tools(facts),
        numbers=NumberRules(
            dimensions=_DIMENSIONS,
            whole=frozenset(str(c) for c in machine.numbers.without_point),
            decimals=machine.numbers.decimals_read,
        ),
        characters=frozenset(machine.lines.characters),
        home={_AXIS_NAMES[a]: float(v) for a, v in facts.home.items()},
        start=(
            Function("offset", machine.start.offset, str(machine.codes.offset[machine.start.offset])),
            Function("plane", "", machine.start.plane),
            Function("distance", "", "absolute"),
            Function("unit", "", machine.unit),
        ),
        travel={_AXIS_NAMES[a]: (float(v[0]), float(v[1])) for a, v in facts.travel.items()},
        tool_divisor=_divisor(facts),
        longest_block=machine.lines.longest,
        unit=machine.unit,
        arc_tolerance=float(machine.numbers.arc_tolerance),
        clearance=float(machine.zones.clearance),
        line_comment="" if machine.lines.comment.end else machine.lines.comment.start,
        least_increment=_LEAST_INCREMENT[machine.unit],
        cycle_retract=_CYCLE_RETRACT[machine.unit],
    )


def _key(code: str) -> str:
    """The key of a code word as the machine file spells it."""
    return code_key(code[0].upper(), float(code[1:]))


def _codes(machine: Machine) -> Iterator[tuple[str, Function]]:
    """Every code of the machine file with its meaning; a later one wins where two share a word."""
    for code, function in (*_modes(machine), *_one_shots(machine), *_functions(machine), *_flow(machine)):
        if code and code[0].upper() in "GM":
            yield _key(code), function


def _modes(machine: Machine) -> Iterator[tuple[str, Function]]:
    codes = machine.codes
    motion = codes.motion
    yield motion.rapid, Function("motion", "", "rapid")
    yield motion.feed, Function("motion", "", "feed")
    yield motion.arc_cw, Function("motion", "", "arc-cw")
    yield motion.arc_ccw, Function("motion", "", "arc-ccw")
    yield motion.thread, Function("motion", "", "thread")
    yield codes.cycles.drill, Function("motion", "", "drill")
    cycles = codes.cycles
    for tap in (cycles.tap, cycles.tap_left, cycles.driven_tap, cycles.driven_tap_left):
        if tap:
            yield tap, Function("motion", "", "tap")
    yield codes.cycles.cancel, Function("motion", "", "cancel")
    for name in ("xy", "zx", "yz"):
        yield getattr(codes.plane, name), Function("plane", "", name)
    yield codes.unit.inch, Function("unit", "", "inch")
    yield codes.unit.mm, Function("unit", "", "mm")
    yield codes.feed.per_minute, Function("feed-mode", "", "minute")
    yield codes.feed.per_revolution, Function("feed-mode", "", "revolution")
    yield codes.speed.surface, Function("speed-mode", "", "surface")
    yield codes.speed.fixed, Function("speed-mode", "", "rpm")
    yield codes.compensation.none, Function("compensation", "", "off")
    yield codes.compensation.left, Function("compensation", "", "left")
    yield codes.compensation.right, Function("compensation", "", "right")
    for spindle, code in codes.offset.items():
        yield code, Function("offset", spindle, str(code))
    if codes.distance:
        yield codes.distance.absolute, Function("distance", "", "absolute")
        yield codes.distance.incremental, Function("distance", "", "incremental")


def _one_shots(machine: Machine) -> Iterator[tuple[str, Function]]:
    codes, cycles = machine.codes, machine.codes.lathe_cycles
    yield codes.home, Function("home")
    yield codes.machine_coordinates, Function("machine")
    yield codes.dwell, Function("dwell")
    for code in codes.set:
        yield code, Function("data")
    yield codes.speed.clamp, Function("speed-clamp")
    shots = (
        (cycles.finish, "finish"),
        (cycles.rough, "rough-turn"),
        (cycles.face, "rough-face"),
        (cycles.groove, "groove"),
        (cycles.thread, "thread"),
    )
    yield from ((code, Function("cycle", "", name)) for code, name in shots if code)
    modal = (
        (cycles.single_turn, "single-turn"),
        (cycles.single_thread, "single-thread"),
        (cycles.single_face, "single-face"),
    )
    yield from ((code, Function("motion", "", name)) for code, name in modal if code)


def _functions(machine: Machine) -> Iterator[tuple[str, Function]]:
    codes = machine.codes
    for name, rotation in {**codes.spindle, "tool": codes.drive}.items():
        yield rotation.forward, Function("spindle", name, "forward")
        yield rotation.reverse, Function("spindle", name, "reverse")
        yield rotation.stop, Function("spindle", name, "stop")
    for name, clamp in codes.clamp.items():
        yield clamp.close, Function("clamp", name, "close")
        yield clamp.open, Function("clamp", name, "open")
    for kind, table in (("c-axis", codes.c_axis), ("brake", codes.c_brake)):
        for name, engage in table.items():
            yield engage.engage, Function(kind, name, "on")
            yield engage.release, Function(kind, name, "off")
    yield codes.synchronise.speed, Function("synchronisation", "", "speed")
    yield codes.synchronise.phase, Function("synchronisation", "", "phase")
    yield codes.synchronise.end, Function("synchronisation", "", "off")
    if codes.catcher:
        yield codes.catcher.out, Function("catcher", "", "out")
        yield codes.catcher.in_, Function("catcher", "", "in")
    if codes.bar_feed:
        yield codes.bar_feed, Function("bar-feed", "", "feed")
    for kind, which, flow in (
        ("coolant", "coolant", codes.coolant),
        ("coolant", "high pressure", codes.coolant_high),
        ("air", "right", codes.air),
    ):
        if flow:
            yield flow.start, Function(kind, which, "on")
            yield flow.stop, Function(kind, which, "off")


def _flow(machine: Machine) -> Iterator[tuple[str, Function]]:
    program = machine.codes.program
    yield program.stop, Function("stop", "", "always")
    yield program.optional_stop, Function("stop", "", "optional")
    yield program.end, Function("end")
    yield program.repeat, Function("repeat")
    yield program.call, Function("call")


def _wait(machine: Machine) -> WaitForm:
    """The wait mark's form: a letter with the number, and a letter with the channels where the control wants it."""
    words = machine.waits.write.split()
    letter = next((w[0] for w in words if "{number" in w), "M")
    channels = next((w[0] for w in words if "{channels" in w), "")
    low, high = machine.waits.control
    return WaitForm(
        letter,
        low,
        high,
        machine.waits.first,
        machine.waits.last,
        channels,
        {str(c.number): name for name, c in machine.channels.items()},
    )


def _axes(machine: Machine) -> dict[str, Axis]:
    """What the axis letters move, absolute and incremental, of all channels."""
    found = {}
    for axis in dict.fromkeys(a for c in machine.channels.values() for a in c.axes):
        letter = machine.codes.slide if axis == "a" else axis.upper()
        found[str(letter)] = Axis(_AXIS_NAMES[axis])
        increment = machine.codes.increments.get(axis)
        if increment:
            found[str(increment)] = Axis(_AXIS_NAMES[axis], incremental=True)
    return found


def _divisor(facts: Channel) -> int:
    """100 where T words carry station and offset, `T0101`; 1 where they carry the station alone."""
    return 100 if any(len(s.call) > 3 for s in facts.stations.values()) else 1


def _tools(facts: Channel) -> dict[int, Tool]:
    """The tool of each station; a station whose kind the machine file leaves open holds what the magazine holds."""
    found = {}
    divisor = _divisor(facts)
    fallback = facts.more.kind if facts.more else "turning"
    for name, station in facts.stations.items():
        number = int(station.call[1:]) // divisor
        found[number] = Tool(str(station.tool or f"station {name}"), ToolKind(station.kind or fallback), number)
    if facts.more:
        for n in range(facts.more.from_, facts.more.to + 1):
            number = int(facts.more.call.format(n=n)[1:]) // divisor
            found.setdefault(number, Tool(f"station {n}", ToolKind(fallback), number))
    return found
