"""From a document to a machine whose entries fit together."""

from __future__ import annotations

import codecs
import re
from itertools import pairwise
from typing import TYPE_CHECKING

from gemel.documents import compose, validate
from gemel.findings import Findings, Label, Span, did_you_mean
from gemel.machines.faults import CONTRADICTION, FORM, MISSING, RANGE
from gemel.machines.schema import Machine

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from gemel.documents import Document
    from gemel.findings import Finding
    from gemel.machines.schema import Channel

    At = Callable[..., Label]

__all__ = ["load_machine"]

_TOOL = re.compile(r"[A-Z]\d+\Z")
_CODE = re.compile(r"[A-Z]\d+(\.\d+)?\Z")
_NUMBERED = re.compile(r"[^{}]*\{number(:0?\d?d?)?\}[^{}]*(\{channels\}[^{}]*)?\Z")
_PER_SPINDLE = ("spindle", "clamp", "c_axis", "c_brake")
_NOT_CODES = frozenset({"slide", "increments"})
_SHORTEST = 24  # characters; a block with a comment must fit
_LONGEST = 2000
_TWO, _DIGITS, _STATIONS = 2, 9, 999
_FORMS = ("length", "angle", "feed_per_minute", "feed_per_revolution", "lead", "dwell", "peck")
_Path = tuple[str | int, ...]
_Checks = list[tuple[bool, str, _Path]]


def load_machine(text: str, file: str) -> Machine:
    """The machine of a machine file.

    Raises:
        Findings: every fault of the document, or everything in it that does not fit together.
    """
    document = compose(text, file)
    machine = validate(Machine, document)

    def at(*path: str | int) -> Label:
        return _label(document, path)

    findings = [*_forms(machine, at), *_ranges(machine, at), *_names(machine, at), *_differing(machine, at)]
    if findings:
        raise Findings(findings)
    return machine


def _label(document: Document, path: _Path) -> Label:
    """The entry at a path, or what is nearest above it."""
    while path and path not in document.places:
        path = path[:-1]
    span = document.places.get(path, Span(document.file))
    return Label(span, str(path[-1]) if path else "")


def _forms(machine: Machine, at: At) -> Iterator[Finding]:
    for name, channel in machine.channels.items():
        for number, station in channel.stations.items():
            if not _TOOL.match(station.call):
                place = at("channels", name, "stations", number, "call")
                yield FORM.found(f"`{station.call}` is no tool call, such as T0101", place)
        more = channel.more
        if more is not None and (more.call.count("{n}") != 1 or not _TOOL.match(more.call.replace("{n}", "1"))):
            place = at("channels", name, "more", "call")
            yield FORM.found(f"`{more.call}` is no form of tool calls, such as T{{n}}", place)
    for what, part, form in (
        ("waits", "waits", machine.waits.write),
        ("sequence numbers", "sequence", machine.sequence.write),
        ("program numbers", "programs", machine.programs.write),
    ):
        if not _NUMBERED.match(form) or not _fills(form):
            yield FORM.found(f"`{form}` is no form for {what}: it needs {{number}} once", at(part, "write"))
    for code, path in _codes(machine.codes.model_dump(by_alias=True), ("codes",)):
        if not _CODE.match(code):
            yield FORM.found(f"`{code}` is no code word, such as M68", at(*path))
    encoding = machine.lines.encoding
    if not _is_encoding(encoding):
        remedy = did_you_mean(encoding, ("ascii", "latin-1", "cp1252"))
        yield FORM.found(f"there is no encoding `{encoding}`", at("lines", "encoding"), remedy=remedy)


def _fills(form: str) -> bool:
    try:
        return bool(form.format(number=1, channels="12"))
    except (ValueError, KeyError, IndexError, AttributeError):
        return False


def _is_encoding(name: str) -> bool:
    try:
        return bool("%".encode(codecs.lookup(name).name))
    except (LookupError, ValueError, TypeError):
        return False


def _codes(values: object, path: _Path) -> Iterator[tuple[str, _Path]]:
    """Every code word under `codes`, with its path."""
    if isinstance(values, dict):
        for name, value in values.items():
            if name not in _NOT_CODES:
                yield from _codes(value, (*path, name))
    elif isinstance(values, list):
        for number, value in enumerate(values):
            yield from _codes(value, (*path, number))
    elif isinstance(values, str):
        yield values, path


def _ranges(machine: Machine, at: At) -> Iterator[Finding]:
    waits, sequence, programs, lines = machine.waits, machine.sequence, machine.programs, machine.lines
    low, high = waits.control if len(waits.control) == _TWO else (1, 0)
    inside = low <= waits.first and waits.last <= high
    checks: _Checks = [
        (waits.first <= waits.last, "the shop's wait numbers run backwards", ("waits", "first")),
        (low <= high, "the control's wait numbers are [first, last]", ("waits", "control")),
        (inside, "the shop's wait numbers lie outside the control's", ("waits", "control")),
        (waits.step > 0, "the step from one wait to the next must be over 0", ("waits", "step")),
        (sequence.operation > 0, "the step between operations must be over 0", ("sequence", "operation")),
        (sequence.stage > sequence.operation, "a stage has no room for numbers of operations", ("sequence", "stage")),
        (0 < programs.first <= programs.last, "the program numbers run backwards, or from 0", ("programs", "first")),
        (lines.longest >= _SHORTEST, f"blocks must have room for {_SHORTEST} characters", ("lines", "longest")),
        (lines.longest <= _LONGEST, f"no control reads blocks of over {_LONGEST} characters", ("lines", "longest")),
        (0 <= machine.numbers.decimals_read <= _DIGITS, f"at most {_DIGITS} decimals", ("numbers", "decimals_read")),
        (machine.zones.clearance > 0, "the clearance must be over 0", ("zones", "clearance")),
        (lines.end in {"\n", "\r\n", "\r"}, "a line ends with LF, CR LF or CR", ("lines", "end")),
    ]
    for name, channel in machine.channels.items():
        checks += _channel(channel, ("channels", name))
    for name, spindle in machine.spindles.items():
        path: _Path = ("spindles", name)
        checks.append((_rises(spindle.torque), f"the torque curve of {name} must rise in speed", (*path, "torque")))
        checks.append((spindle.top_speed > 0, f"the top speed of {name} must be over 0", (*path, "top_speed")))
    most = machine.numbers.decimals_read
    for kind in _FORMS:
        form = getattr(machine.numbers, kind)
        if form is not None:
            within = 0 <= form.decimals <= most
            checks.append((within, f"the control reads 0 to {most} decimals", ("numbers", kind, "decimals")))
    for holds, cause, path in checks:
        if not holds:
            yield RANGE.found(cause, at(*path))


def _channel(channel: Channel, path: _Path) -> _Checks:
    """Travel, home, speeds and drive of a channel."""
    name = path[-1]
    checks: _Checks = []
    for axis, ends in channel.travel.items():
        ordered = len(ends) == _TWO and ends[0] < ends[1]
        checks.append((ordered, f"the travel of {axis} in {name} is [least, most]", (*path, "travel", axis)))
        home = channel.home.get(axis)
        if ordered and home is not None:
            inside = ends[0] <= home <= ends[1]
            checks.append((inside, f"home of {axis} in {name} lies outside its travel", (*path, "home", axis)))
    for what, values in (("rapid", channel.rapid), ("acceleration", channel.acceleration)):
        for axis, value in values.items():
            checks.append((value > 0, f"the {what} of {axis} in {name} must be over 0", (*path, what, axis)))
    for kind in ("per_minute", "per_revolution"):
        fastest = getattr(channel.feed, kind)
        checks.append((fastest > 0, f"the fastest feed of {name} must be over 0", (*path, "feed", kind)))
    if channel.more is not None:
        rising = 0 < channel.more.from_ <= channel.more.to <= _STATIONS
        checks.append((rising, f"the magazine of {name} has stations 1 to {_STATIONS}", (*path, "more", "to")))
    drive, seconds = channel.drive, channel.tool_change.seconds
    return [
        *checks,
        (seconds >= 0, f"the tool change of {name} takes 0 seconds or more", (*path, "tool_change", "seconds")),
        (_rises(drive.torque), f"the torque curve of {name} must rise in speed", (*path, "drive", "torque")),
        (drive.top_speed > 0, f"the top speed of {name} must be over 0", (*path, "drive", "top_speed")),
    ]


def _rises(curve: Sequence[Sequence[float]]) -> bool:
    """Whether a curve has points of [rpm, N m], in rising speed."""
    if not curve or any(len(point) != _TWO or point[0] < 0 or point[1] < 0 for point in curve):
        return False
    return all(before[0] < after[0] for before, after in pairwise(curve))


def _names(machine: Machine, at: At) -> Iterator[Finding]:
    codes = machine.codes
    offsets = list(codes.offset)
    for name, spindle in machine.spindles.items():
        for table in _PER_SPINDLE:
            if name not in getattr(codes, table):
                yield MISSING.found(f"spindle `{name}` has no codes under `codes.{table}`", at("codes", table))
        if name not in codes.offset or spindle.offset not in codes.offset:
            cause = f"there is no offset `{spindle.offset if name in codes.offset else name}`"
            remedy = did_you_mean(spindle.offset, offsets)
            yield MISSING.found(cause, at("spindles", name, "offset"), remedy=remedy)
    if machine.start.offset not in codes.offset:
        cause = f"there is no offset `{machine.start.offset}`"
        remedy = did_you_mean(machine.start.offset, offsets)
        yield MISSING.found(cause, at("start", "offset"), remedy=remedy)
    for name, channel in machine.channels.items():
        for number, axis in enumerate(channel.axes):
            place = at("channels", name, "axes", number)
            if axis != "c" and (axis not in channel.travel or axis not in channel.home):
                yield MISSING.found(f"axis `{axis}` of {name} has no travel or no home", place)
            if axis not in channel.rapid or axis not in channel.acceleration:
                yield MISSING.found(f"axis `{axis}` of {name} has no rapid or no acceleration", place)


def _differing(machine: Machine, at: At) -> Iterator[Finding]:
    for what in ("suffix", "number"):
        seen: dict[object, str] = {}
        for name, channel in machine.channels.items():
            value = getattr(channel, what)
            if value in seen:
                cause = f"channels `{seen[value]}` and `{name}` have one {what}, `{value}`"
                yield CONTRADICTION.found(cause, at("channels", name, what))
            seen.setdefault(value, name)
    sides: set[str] = set()
    for name, spindle in machine.spindles.items():
        if spindle.side in sides:
            cause = f"two spindles are the `{spindle.side}` side"
            yield CONTRADICTION.found(cause, at("spindles", name, "side"))
        sides.add(spindle.side)
