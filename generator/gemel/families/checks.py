"""Everything in a family that names something else: does it exist, is it named where it must be, once?"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from gemel.documents import label_of, place_of
from gemel.families import codes
from gemel.families.features import Turned
from gemel.families.formula import WrittenThread
from gemel.families.holes import Hole
from gemel.families.schema import Threaded
from gemel.families.stations import find_station, held_tools
from gemel.families.threads import UnknownThread, thread
from gemel.findings import Label, Span, did_you_mean

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Mapping

    from gemel.families.catalogue import Material, Tool
    from gemel.families.processes import Operation
    from gemel.families.schema import FamilyFile
    from gemel.findings import Explanation, Finding
    from gemel.machines.schema import Machine

__all__ = ["faults_of", "label_at"]

_FILE_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]*\Z")


def label_at(value: object, fallback: str = "") -> Label:
    """A label on a placed value; the document as a whole when it has no place."""
    place = place_of(value)
    return label_of(place) if place else Label(Span(fallback), str(value))


def faults_of(
    form: FamilyFile, machine: Machine, tools: Mapping[str, Tool], materials: Mapping[str, Material]
) -> list[Finding]:
    """All faults of the names in a family, in no particular order."""
    return [
        *_unknown(form.material, materials, "material"),
        *_file_names(form),
        *_programs(form, machine),
        *_stations(form, machine, tools),
        *_operations(form, machine, tools),
        *_holding(form, machine),
        *_stages(form, machine),
        *_threads(form),
        *_alternatives(form),
        *_comments(form, machine),
    ]


def _unknown(name: str, known: Collection[str], what: str, code: Explanation = codes.UNKNOWN) -> Iterator[Finding]:
    if name not in known:
        yield code.found(f"there is no {what} `{name}`", label_at(name), remedy=did_you_mean(name, known))


def _file_names(form: FamilyFile) -> Iterator[Finding]:
    for name in (form.family, *form.members):
        if not _FILE_NAME.match(name) or ".." in name:
            yield codes.MEMBER_NAME.found(f"`{name}` cannot be part of a file name", label_at(name))


def _programs(form: FamilyFile, machine: Machine) -> Iterator[Finding]:
    seen: dict[float, str] = {}
    for member, row in form.members.items():
        written = row.get("program")
        number = getattr(written, "value", None)
        if number is None or number != int(number):
            cause = f"member `{member}` needs a whole program number"
            yield codes.PROGRAM_RANGE.found(cause, label_at(member if written is None else written))
            continue
        first, last = machine.programs.first, machine.programs.last
        if not first <= number <= last:
            cause = f"program {number:g} of member `{member}` is outside {first} to {last}"
            yield codes.PROGRAM_RANGE.found(cause, label_at(written))
        if number in seen:
            cause = f"members `{seen[number]}` and `{member}` both have program {number:g}"
            yield codes.PROGRAM_TWICE.found(cause, label_at(written))
        seen.setdefault(number, member)


def _stations(form: FamilyFile, machine: Machine, tools: Mapping[str, Tool]) -> Iterator[Finding]:
    for channel, rows in form.stations.items():
        yield from _unknown(channel, machine.channels, "channel")
        facts = machine.channels.get(channel)
        if facts is None:
            continue
        for station, tool in rows.items():
            yield from _unknown(tool, tools, "tool")
            found = find_station(facts, station)
            if found is None:
                cause = f"channel `{channel}` has no station `{station}`"
                yield codes.UNKNOWN.found(cause, label_at(station), remedy=did_you_mean(station, facts.stations))
                continue
            if found.tool is not None and found.tool != tool:
                cause = f"station `{station}` of `{channel}` holds `{found.tool}` for every family"
                yield codes.UNKNOWN.found(cause, label_at(tool), remedy="use a free station")
            if found.kind is not None and tool in tools and tools[tool].kind != found.kind:
                cause = f"station `{station}` of `{channel}` takes {found.kind} tools, `{tool}` is {tools[tool].kind}"
                yield codes.UNKNOWN.found(cause, label_at(tool), remedy="use a station of that kind")


def _holding(form: FamilyFile, machine: Machine) -> Iterator[Finding]:
    for spindle in form.holding:
        yield from _unknown(spindle, machine.spindles, "spindle")


def _operations(form: FamilyFile, machine: Machine, tools: Mapping[str, Tool]) -> Iterator[Finding]:
    for operation in form.operations.values():
        yield from _unknown(operation.feature, form.features, "feature")
        yield from _unknown(operation.channel, machine.channels, "channel")
        yield from _unknown(operation.spindle, machine.spindles, "spindle")
        yield from _unknown(operation.tool, tools, "tool")
        if operation.tool in tools and operation.channel in machine.channels:
            yield from _held(form, machine, operation)


def _held(form: FamilyFile, machine: Machine, operation: Operation) -> Iterator[Finding]:
    held = held_tools(machine.channels[operation.channel], form.stations.get(operation.channel, {}))
    if operation.tool not in held:
        cause = f"channel `{operation.channel}` holds no tool `{operation.tool}`"
        remedy = f"put it into a free station under `stations:`; {did_you_mean(operation.tool, held)}"
        yield codes.UNKNOWN.found(cause, label_at(operation.tool), remedy=remedy)


def _stages(form: FamilyFile, machine: Machine) -> Iterator[Finding]:
    seen: set[str] = set()
    for row in form.stages:
        for channel, names in row.items():
            yield from _unknown(channel, machine.channels, "channel")
            for name in names:
                yield from _unknown(name, form.operations, "operation", codes.STAGE_UNKNOWN)
                operation = form.operations.get(name)
                if operation is not None and operation.channel != channel and channel in machine.channels:
                    cause = f"`{name}` belongs to channel `{operation.channel}`, the stage gives it to `{channel}`"
                    yield codes.STAGE_CHANNEL.found(cause, label_at(name))
                if name in seen:
                    yield codes.STAGE_TWICE.found(f"`{name}` stands in the stage table twice", label_at(name))
                seen.add(name)
    for name in form.operations:
        if name not in seen:
            yield codes.STAGE_MISSING.found(f"operation `{name}` stands in no stage", label_at(name))


def _alternatives(form: FamilyFile) -> Iterator[Finding]:
    """Holes have a diameter or a thread, turned steps a length or an end."""
    for name, feature in form.features.items():
        pairs: list[tuple[str, tuple[str, object], tuple[str, object]]] = []
        if isinstance(feature, Hole):
            pairs = [(f"`{name}`", ("diameter", feature.dia_mm), ("thread", feature.thread))]
        elif isinstance(feature, Turned):
            steps = enumerate(feature.steps, 1)
            pairs = [(f"step {n} of `{name}`", ("length", s.length_mm), ("to", s.to_mm)) for n, s in steps]
        for what, (one, first), (other, second) in pairs:
            if (first is None) == (second is None):
                had = f"neither `{one}` nor `{other}`" if first is None else f"both `{one}` and `{other}`"
                yield codes.ONE_OF_TWO.found(f"{what} has {had}", label_at(name))


def _threads(form: FamilyFile) -> Iterator[Finding]:
    values = [*form.values.items(), *(pair for row in form.members.values() for pair in row.items())]
    named = {name for name, value in values if isinstance(value, Threaded)}
    for feature in form.features.values():
        written = getattr(feature, "thread", None)
        if not isinstance(written, WrittenThread) or written.text in named:
            continue
        try:
            thread(written.text)
        except UnknownThread as error:
            cause = f"there is no thread `{written.text}`"
            remedy = did_you_mean(written.text, {*error.known, *named})
            yield codes.UNKNOWN_THREAD.found(cause, label_of(written.place), remedy=remedy)


def _comments(form: FamilyFile, machine: Machine) -> Iterator[Finding]:
    comment = machine.lines.comment
    refused = {comment.start, comment.end, *machine.lines.wrapper.start, *machine.lines.wrapper.end} - {""}
    allowed = set(machine.lines.characters) - refused
    titles = [operation.title for operation in form.operations.values() if operation.title is not None]
    for text in (form.title, form.drawing.number, form.drawing.revision, form.family, *form.members, *titles):
        wrong = "".join(dict.fromkeys(c for c in text.upper() if c not in allowed))
        if wrong:
            yield codes.COMMENT.found(f"a comment cannot hold `{wrong}` on this machine", label_at(text))
