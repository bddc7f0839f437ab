"""An operation whose blocks come from elsewhere: gemel's own safe start, the blocks, gemel's own safe end.

The file is for one machine: its words are read with that machine's dialect and set in as they stand, each knowing the
file and line it came from. Only the machine's start and end around them are gemel's.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.documents import PlacedText
from gemel.findings import Findings
from gemel.machines.dialect import dialect_of
from gemel.numbers import Source
from gemel.operations.common import retract, tool_title
from gemel.operations.posted_checks import Place, check_motion, check_words, run_of
from gemel.operations.posted_lines import strip
from gemel.operations.steps import Function, Home, Note, Posted, Rapid, Step, ToolCall, ToolpathState

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.families.part import Job
    from gemel.operations.posted_lines import PostedLine
    from gemel.reading.run import Run

__all__ = ["posted_body"]

_TURNING = frozenset(
    {
        "face",
        "rough_turn",
        "finish_turn",
        "groove",
        "face_groove",
        "external_thread",
        "internal_thread",
        "spot_axial",
        "drill_axial",
        "tap_axial",
        "bore",
        "cut_off",
        "back_face",
        "back_chamfer",
    }
)
_ALONG_Z = frozenset({"bolt_circle_spot", "bolt_circle_drill", "bolt_circle_tap"})
_FEED_MODES = {"per_minute": "minute", "per_revolution": "revolution"}
_ENDS = (
    ("coolant", "coolant", "off", "coolant.stop"),
    ("coolant", "high pressure", "off", "coolant_high.stop"),
    ("air", "right", "off", "air.stop"),
    ("spindle", "tool", "stop", "drive.stop"),
    ("brake", "{spindle}", "off", "c_brake.{spindle}.release"),
    ("c-axis", "{spindle}", "off", "c_axis.{spindle}.release"),
    ("spindle", "{spindle}", "stop", "spindle.{spindle}.stop"),
)
"""What must not stay on: kind, which, the state in which it is off, the function that brings it there; in order."""


def posted_body(job: Job) -> list[Step]:
    """Steps of an operation that names a file of blocks: safe start, one `Posted` a block, safe end.

    Raises:
        Findings: every fault of the file with its line; see `gemel.operations.posted_codes`.
    """
    assert job.body is not None, f"{job.id} has no body"
    place = _place(job)
    lines, findings = strip(job.body, place.dialect, job.call)
    findings += check_words(lines, place)
    run = run_of(lines, place, skip=False)
    findings += check_motion(lines, run, place)
    if any(line.block.skippable for line in lines):
        findings += check_motion(lines, run_of(lines, place, skip=True), place)
    if findings:
        raise Findings(list(dict.fromkeys(findings)))
    return [*_start(job, place, run), *_blocks(job, lines), *_end(job, place, run)]


def _planes(process: str) -> tuple[tuple[str, ...], str]:
    """The planes in which a process works, and its feed mode."""
    if process in _TURNING:
        return ("zx",), "per_revolution"
    return (("xy", "yz") if process in _ALONG_Z else ("yz", "xy")), "per_minute"


def _place(job: Job) -> Place:
    dialect = dialect_of(job.machine, str(next(n for n, c in job.machine.channels.items() if c is job.channel)))
    planes, feed_mode = _planes(job.operation.process)
    station = int(job.call[1:]) // dialect.tool_divisor
    return Place(dialect, str(job.operation.spindle), planes, _FEED_MODES[feed_mode], station)


def _start(job: Job, place: Place, run: Run) -> Iterator[Step]:
    if job.channel.tool_change.at == "home":
        yield Home()
    plane, feed_mode = place.planes[0], _planes(job.operation.process)[1]
    yield ToolCall(job.call, tool_title(job))
    yield ToolpathState(plane, feed_mode, place.spindle)  # type: ignore[arg-type] # both come from the tables above
    yield Rapid(x=job.clearance_mm)
    if plane != "zx" and ("c-axis", place.spindle) not in _commanded(run):
        yield Function(f"spindle.{place.spindle}.stop")
        yield Function(f"c_axis.{place.spindle}.engage")


def _commanded(run: Run) -> dict[tuple[str, str], str]:
    """The last state of everything that the run commands, by kind and which."""
    return {(f.kind, f.which): f.state for step in run.steps for f in (*step.functions, *step.late)}


def _blocks(job: Job, lines: list[PostedLine]) -> Iterator[Step]:
    assert job.body is not None
    name = f"operations.{job.id}.body"
    for line in lines:
        block = line.block
        start = len(block.text) - len(block.text.lstrip())
        source = Source(name, job.body.name, block.line, start, block.text.strip())
        for comment in line.comments:
            yield Note(PlacedText(comment, source))
        if line.words:
            yield Posted(PlacedText(line.text, source))


def _end(job: Job, place: Place, run: Run) -> Iterator[Step]:
    left = _commanded(run)
    if place.planes[0] != "zx":
        left.setdefault(("c-axis", place.spindle), "on")
    yield from retract(job)
    for kind, which, off, path in _ENDS:
        state = left.get((kind, which.format(spindle=place.spindle)), off)
        if state != off:
            yield Function(path.format(spindle=place.spindle))
