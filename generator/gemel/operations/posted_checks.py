"""Whether a body from elsewhere may stand where an operation stands."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from gemel.operations import posted_codes as codes
from gemel.operations.posted_lines import function_of, label
from gemel.reading.blocks import read
from gemel.reading.channel import ChannelText
from gemel.reading.dialect import Function
from gemel.reading.interpret import interpret
from gemel.reading.run import Position
from gemel.reading.state import start_state

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from gemel.findings import Finding
    from gemel.operations.posted_lines import PostedLine
    from gemel.reading.dialect import Dialect
    from gemel.reading.parts import Word
    from gemel.reading.run import Run
    from gemel.reading.state import State

__all__ = ["Place", "check_motion", "check_words", "run_of"]

_OF_THE_PAIR = {
    "clamp": "a clamp",
    "synchronisation": "the synchronisation of the spindles",
    "catcher": "the catcher",
    "bar-feed": "the bar feed",
    "data": "data of the control",
    "origin": "the origin",
}
"""Functions that one operation may not command, by their kind in `gemel.reading.dialect.Function`."""

_BY_NUMBERS = frozenset({"cycle"})
_UNFINISHED = frozenset({"no-end"})
"""Remarks about a text that ends without an end code: a body does."""


class Place(NamedTuple):
    """Where a body is to stand.

    Attributes:
        dialect: of the channel.
        spindle: whose part it works on, as the machine file names it.
        planes: those in which its process works, the one that gemel states first.
        feed_mode: that gemel states, `minute` or `revolution`.
        station: number of the tool that gemel calls.
    """

    dialect: Dialect
    spindle: str
    planes: tuple[str, ...]
    feed_mode: str
    station: int


def check_words(lines: Sequence[PostedLine], place: Place) -> list[Finding]:
    """What the words say that they may not.

    Findings: `body:unit`, `body:plane`, `body:offset`, `body:forbidden`, `body:macro`.
    """
    return [finding for line in lines for word in line.words for finding in _word(line, word, place)]


def _word(line: PostedLine, word: Word, place: Place) -> Iterator[Finding]:
    dialect = place.dialect
    here = label(line.block, word)
    said = f"{word.letter}{word.text}"
    wait = dialect.wait
    if wait and word.letter == wait.letter and word.value is not None and wait.first <= word.value <= wait.last:
        yield codes.FORBIDDEN.found(f"{said} is a wait mark", here)
        return
    axis = dialect.axes.get(word.letter)
    if axis is not None and axis.name == "slide":
        yield codes.FORBIDDEN.found(f"{said} moves the slide of the other spindle", here)
    function = function_of(word, dialect)
    if function is None:
        return
    if function.kind == "unit" and function.state != dialect.unit:
        yield codes.UNIT.found(f"{said} says {function.state}, the machine works in {dialect.unit}", here)
    if function.kind == "plane" and function.state not in place.planes:
        yield codes.PLANE.found(f"{said} is plane {function.state}, the process works in {place.planes[0]}", here)
    if function.kind == "offset" and function.which != place.spindle:
        yield codes.OFFSET.found(f"{said} is the offset of the {function.which or 'machine'} spindle", here)
    if function.kind in {"call", "macro"}:
        yield codes.MACRO.found(f"{said} calls a subprogram", here)
    if function.kind in _BY_NUMBERS and {"P", "Q"} <= {w.letter for w in line.words}:
        yield codes.MACRO.found(f"{said} refers to block numbers, which do not stay", here)
    whose = _not_its_own(function, line, place)
    if whose:
        yield codes.FORBIDDEN.found(f"{said} commands {whose}", here)


def _not_its_own(function: Function, line: PostedLine, place: Place) -> str:
    """What of the pair's a function commands, empty if nothing."""
    if function.kind in _OF_THE_PAIR:
        return _OF_THE_PAIR[function.kind]
    if function.kind == "spindle" and function.which not in {place.spindle, "tool"}:
        return f"the {function.which} spindle"
    if function.kind in {"c-axis", "brake"} and function.which != place.spindle:
        return f"the C axis of the {function.which} spindle"
    # A code that clamps the speed shifts the origin as soon as axis words stand beside it.
    if function.kind in {"speed-clamp", "clamp-or-origin"} and any(w.letter in place.dialect.axes for w in line.words):
        return "the origin"
    return ""


def run_of(lines: Sequence[PostedLine], place: Place, *, skip: bool) -> Run:
    """What the channel does in the body, from the state in which gemel's own start leaves it.

    The block of line n of the run is that of `lines[n - 1]`.
    """
    program = read("\n".join(line.text for line in lines).encode("latin-1"), lines[0].block.source if lines else "")
    return interpret(ChannelText(place.dialect, (program,)), _start(place), skip=skip)


def _start(place: Place) -> State:
    """At the clearance, nothing known about the other axes, every mode as gemel's own start states it."""
    state = start_state(place.dialect)
    offset = next((f for f in place.dialect.codes.values() if f.kind == "offset" and f.which == place.spindle), None)
    stated = [
        Function("unit", "", place.dialect.unit),
        Function("plane", "", place.planes[0]),
        Function("feed-mode", "", place.feed_mode),
        Function("compensation", "", "off"),
        Function("distance", "", "absolute"),
        *([offset] if offset else []),
    ]
    state.modes.update({function.kind: function for function in stated})
    state.position = Position(place.dialect.clearance, None, None, None, None, None)
    state.homed = frozenset()
    state.station = place.station
    return state


def check_motion(lines: Sequence[PostedLine], run: Run, place: Place) -> list[Finding]:
    """What the run shows that may not be.

    Findings: `body:word`, `body:unsafe-start`, `body:unsafe-end`, `body:left-on`, `body:empty`.
    """
    findings = [
        codes.WORD.found(remark.cause, label(lines[remark.span.line - 1].block))
        for remark in run.remarks
        if remark.code not in _UNFINISHED
    ]
    moving = [step for step in run.steps if step.motions]
    if not moving:
        name = lines[0].block.source if lines else "the file"
        return [*findings, codes.EMPTY.found(f"{name} moves nothing", *([label(lines[0].block)] if lines else []))]
    findings += _way_in(lines, run, place)
    last = label(lines[moving[-1].block.line - 1].block)
    x_dia = run.state.position.x_dia
    if x_dia is None or x_dia < place.dialect.clearance:
        where = "at an unknown X" if x_dia is None else f"at X{x_dia:g}"
        cause = f"the last move ends {where}, the clearance is X{place.dialect.clearance:g}"
        findings.append(codes.UNSAFE_END.found(cause, last))
    if run.state.mode("compensation") not in {"", "off"}:
        findings.append(codes.LEFT_ON.found("nose compensation is still on at the end", last))
    if run.state.cycle is not None:
        findings.append(codes.LEFT_ON.found(f"the cycle ({run.state.cycle.kind}) is still on at the end", last))
    return findings


def _way_in(lines: Sequence[PostedLine], run: Run, place: Place) -> list[Finding]:
    """The first move that goes below the clearance from a Z that nobody knows."""
    for step in run.steps:
        for motion in step.motions:
            inside = motion.low_x is None or motion.low_x < place.dialect.clearance
            if inside and (motion.start.z is None or motion.low_x is None):
                cause = "the move goes below the clearance and its Z is not known where it begins"
                return [codes.UNSAFE_START.found(cause, label(lines[step.block.line - 1].block))]
            if inside:
                return []
    return []
