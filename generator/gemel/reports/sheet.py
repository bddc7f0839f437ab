"""The setup sheet: everything that a setter needs at the machine for one pair, as one page."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from gemel.findings import Severity
from gemel.reports.holding import holdings
from gemel.reports.inspection import inspection
from gemel.reports.page import render
from gemel.reports.picture import picture
from gemel.reports.progress import done_before
from gemel.reports.restart import mark_states
from gemel.reports.restart_rows import restart_row
from gemel.reports.sizes import exact, plain
from gemel.reports.stage_table import Known, stage_rows
from gemel.reports.times import duration, seconds
from gemel.reports.tool_list import tool_rows
from gemel.writing.words import formatted

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from gemel.families.bar_need import BarNeed
    from gemel.families.part import Job, Part
    from gemel.families.tool_plan import ToolPlan
    from gemel.machines.schema import Machine
    from gemel.pairs import PairPlan
    from gemel.proving import Verdict
    from gemel.reports.reread import Reread
    from gemel.reports.sizes import Size
    from gemel.timing import Timeline

__all__ = ["SheetSource", "sheet_page"]


@dataclass(frozen=True, slots=True)
class SheetSource:
    """Everything that a sheet is made from.

    Attributes:
        part: the member. plan: what its channels run. machine: its machine. jobs: its operations.
        files: names of the programs, channel by channel. pair: the programs, read.
        stamp: by which the programs name their baseline.
        verdict: of the proof of these programs. timeline: likewise.
        bar: what the part takes of the bar. tools: the tool plan of the machine.
        remarks: cautions of whoever makes the sheet, such as that other programs stand on disk.
    """

    part: Part
    plan: PairPlan
    machine: Machine
    jobs: Mapping[str, Job]
    files: tuple[str, ...]
    pair: Reread
    stamp: str
    verdict: Verdict
    timeline: Timeline
    bar: BarNeed
    tools: ToolPlan
    remarks: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """`family/member`."""
        return f"{self.part.family}/{self.part.member}"


class Fact(NamedTuple):
    """A line of the sheet's head."""

    label: str
    value: str
    also: str = ""


class Limit(NamedTuple):
    """A row of the inspection list, spelled."""

    number: int
    what: str
    text: str
    smallest: str
    largest: str
    aimed: str
    tolerance: str
    gauge: str


class Load(NamedTuple):
    """What a channel does with its time, spelled."""

    works: str
    cuts: str
    waits: str


def sheet_page(source: SheetSource) -> str:
    """The sheet as a page that prints on A4."""
    part, machine = source.part, source.machine
    sizes = inspection(part)
    marks = mark_states(source.pair)
    known = Known(part, machine, source.jobs, source.timeline, marks)
    stages = stage_rows(source.plan, known)
    drawn = picture(part, sizes)
    done = done_before(part, machine)
    return render(
        "sheet",
        part=part,
        machine=machine,
        name=source.name,
        stamp=source.stamp,
        channels=list(machine.channels.items()),
        facts=list(_facts(source)),
        cautions=list(_cautions(source)),
        picture=drawn.drawing.markup(),
        scale=drawn.scale,
        stages=stages,
        tools=tool_rows(str(part.family), source.jobs, stages, machine, source.tools),
        holdings=holdings(part, machine),
        bar=list(_bar(source.bar, source.machine)),
        limits=[_limit(size) for size in sizes],
        restarts=[restart_row(state, source.plan, known, done) for state in marks],
        loads=[_load(source.timeline, channel) for channel in machine.channels],
        cycle=_cycle(source.timeline)[0],
        exact=source.timeline.is_exact,
    )


def _facts(source: SheetSource) -> Iterator[Fact]:
    part, machine = source.part, source.machine
    word = formatted(machine.programs.write, number=int(part.program))
    yield Fact("part", part.title, f"{part.family}, member {part.member}")
    yield Fact("drawing", part.drawing, f"revision {part.revision}")
    yield Fact("machine", str(machine.machine), str(machine.title))
    yield Fact("programs", word, ", ".join(source.files))
    yield Fact("stamp", source.stamp, "in the head of both programs")
    yield Fact("material", str(part.material), f"bar {part.stock.shape} {plain(part.stock.size_mm)} mm")
    yield Fact("cycle", *_cycle(source.timeline))
    yield Fact("parts of a bar", str(source.bar.parts), f"of {plain(source.bar.bar_mm)} mm")
    yield Fact("proof", "passes" if source.verdict.passes else "does not pass", _remarked(source.verdict))


def _cycle(timeline: Timeline) -> tuple[str, str]:
    if timeline.period_s is None:
        return "unknown", "the pair does not run to its end"
    least = "at least " if timeline.unknown else ""
    hourly = f"{plain(3600 / timeline.period_s, 1)} parts an hour" if timeline.period_s else ""
    return least + duration(timeline.period_s), f"calculated; {hourly}"


def _remarked(verdict: Verdict) -> str:
    count = sum(1 for fault in verdict.findings if fault.severity is Severity.WARNING)
    return f"{count} warning{'s' if count != 1 else ''}, below" if count else "no warnings"


def _cautions(source: SheetSource) -> Iterator[tuple[str, str]]:
    """What must be read first: what is special about this pair, then what always holds."""
    for remark in source.remarks:
        yield "Look here first.", remark
    yield from _warnings(source.verdict)
    yield "Prove out", "in single block, rapid held low, with no part or with clearance first."
    yield "Doors closed.", "The builder's manual, the shop's rules and local law come first."
    yield "Cutting data", "are starting values."
    yield "Passing the proof", "means that gemel's checks found nothing, never that the pair is safe to run unattended."


def _warnings(verdict: Verdict) -> Iterator[tuple[str, str]]:
    """What the proof warns of, one line for each code."""
    causes: dict[str, list[str]] = {}
    for fault in verdict.findings:
        if fault.severity is Severity.WARNING:
            causes.setdefault(fault.name, []).append(fault.cause)
    for first, *more in causes.values():
        yield (
            "The proof warns:",
            first
            + (f" (and in {len(more)} more places)" if len(more) > 1 else "")
            + (" (and in one more place)" if len(more) == 1 else ""),
        )


def _bar(need: BarNeed, machine: Machine) -> Iterator[Fact]:
    yield Fact("section", f"{need.shape} {plain(need.size_mm)} mm", need.material)
    yield Fact("new bar", f"{plain(need.bar_mm)} mm", f"{plain(need.kg, 2)} kg")
    taken = f"part {plain(need.part_mm)}, faced {plain(need.front_mm + need.back_mm)}, cut-off {plain(need.blade_mm)}"
    yield Fact("bar for a part", f"{plain(need.pitch_mm)} mm", taken)
    yield Fact(
        "parts of a bar", str(need.parts), f"{plain(need.left_mm)} mm left, {plain(need.remnant_mm)} in the clamp"
    )
    if machine.bar_feeder is not None:
        longest = float(machine.bar_feeder.longest) * (25.4 if machine.unit == "inch" else 1.0)
        also = "" if longest >= need.bar_mm else f"saw the bar: {need.parts_of(longest)} parts of such a piece"
        yield Fact("feeder takes", f"{plain(longest)} mm", also)


def _limit(size: Size) -> Limit:
    if size.smallest_mm is None or size.largest_mm is None:
        return Limit(size.number, size.what, size.text, "", "", "", size.tolerance, size.gauge)
    ends = (exact(size.smallest_mm), exact(size.largest_mm), exact(size.aimed_mm))
    return Limit(size.number, size.what, size.text, *ends, size.tolerance, size.gauge)


def _load(timeline: Timeline, channel: str) -> Load | None:
    """What a channel does with its time; None where the pair does not run to its end."""
    found = [x for x in timeline.loads if (x.name, x.kind) == (channel, "channel")]
    if not found:
        return None
    return Load(seconds(found[0].busy_s), seconds(found[0].cutting_s), seconds(found[0].lost_s))
