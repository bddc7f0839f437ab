"""Sheet and chart of one pair, from its files; may run in another process."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from gemel.families.bar_need import bar_need
from gemel.families.cutting_facts import cutting_facts
from gemel.families.resolve import jobs_of
from gemel.findings import Findings, Label, Severity, Span
from gemel.history import PairName, read_pair
from gemel.proving import prove
from gemel.reports.chart import ChartSource, chart_page
from gemel.reports.pdf import PdfUnavailable, pdf_of
from gemel.reports.powers import powers_of
from gemel.reports.reread import reread
from gemel.reports.sheet import SheetSource, sheet_page
from gemel.reports.times import duration
from gemel.shop import pipeline, sheet_codes
from gemel.writing.words import formatted

if TYPE_CHECKING:
    from gemel.families.tool_plan import ToolPlan
    from gemel.findings import Finding
    from gemel.proving import Verdict
    from gemel.reports.reread import Reread
    from gemel.shop.pipeline import Rendered
    from gemel.timing import Timeline

__all__ = ["MadeSheet", "SheetTask", "about_text", "make_sheet", "name_of", "pdf_or_finding", "programs_of", "timed"]


class SheetTask(NamedTuple):
    """One pair of which sheet and chart are to be made."""

    task: pipeline.Task
    tools: ToolPlan
    pdf: bool

    @property
    def key(self) -> str:
        """By which the folder knows the pair."""
        return f"{self.task.machine}:{self.task.family}/{self.task.member}"


@dataclass(frozen=True, slots=True)
class MadeSheet:
    """What came of it.

    Attributes:
        key, name: of the pair; `name` is `family/member`.
        about: for the index; None where there is no sheet.
        files: by path relative to the folder.
        findings: why there is none, or what was remarked.
    """

    key: str
    name: str
    about: dict[str, Any] | None
    files: dict[str, bytes]
    findings: tuple[Finding, ...]


def name_of(made: Rendered) -> PairName:
    """The pair's name on disk."""
    return PairName(str(made.loaded.machine.machine), str(made.part.family), str(made.part.member))


def programs_of(made: Rendered) -> dict[str, tuple[str, bytes]]:
    """The programs by channel, named as they lie in the shop."""
    folder = name_of(made).folder
    return {channel: (f"{folder}/{file}", made.texts[file]) for file, channel in made.names.items()}


def about_text(made: Rendered) -> str:
    """Drawing, revision and stamp in a line."""
    return f"drawing {made.part.drawing} revision {made.part.revision}, stamp {made.stamp}"


def timed(made: Rendered, pair: Reread, timeline: Timeline, about: str) -> ChartSource:
    """A chart's source: programs of this pair, as they are or were, with what their cuts ask of the drives."""
    powers = powers_of(pair, cutting_facts(made.loaded.family, made.part), timeline)
    return ChartSource(f"{made.part.family}/{made.part.member}", about, timeline, pair.machine, powers)


def make_sheet(order: SheetTask) -> MadeSheet:
    """The files of one pair, or why there are none. Never raises `Findings`."""
    task = order.task
    name = f"{task.family}/{task.member}"
    try:
        made = pipeline.render(task)
        programs = programs_of(made)
    except Findings as error:
        return MadeSheet(order.key, name, None, {}, error.findings)
    cutting = cutting_facts(made.loaded.family, made.part)
    verdict = prove(programs, made.loaded.machine, cutting=cutting)
    if not verdict.passes:
        cause = f"{name} does not pass the proof; there is no sheet of it"
        refusal = sheet_codes.NOT_PROVED.found(cause, Label(Span(made.loaded.inputs.family.name)))
        errors = tuple(f for f in verdict.findings if f.severity is Severity.ERROR)
        return MadeSheet(order.key, name, None, {}, (*errors, refusal))
    remarks = _other_programs(Path(task.root), made)
    source = _source(order, made, verdict, tuple(f.cause for f in remarks))
    files, findings = _files(order, made, source)
    return MadeSheet(order.key, name, _about(made, source.timeline, files), files, (*remarks, *findings))


def _source(order: SheetTask, made: Rendered, verdict: Verdict, remarks: tuple[str, ...]) -> SheetSource:
    pair = reread(programs_of(made), made.loaded.machine)
    return SheetSource(
        part=made.part,
        plan=made.plan,
        machine=made.loaded.machine,
        jobs=jobs_of(made.loaded.family, made.part),
        files=tuple(made.names),
        pair=pair,
        stamp=made.stamp,
        verdict=verdict,
        timeline=pair.timeline(),
        bar=bar_need(made.loaded.family, made.part),
        tools=order.tools,
        remarks=remarks,
    )


def _files(order: SheetTask, made: Rendered, source: SheetSource) -> tuple[dict[str, bytes], list[Finding]]:
    path = f"{source.machine.machine}/{name_of(made).stem}"
    page = sheet_page(source)
    chart = chart_page(timed(made, source.pair, source.timeline, about_text(made)))
    files = {f"{path}.sheet.html": page.encode(), f"{path}.chart.html": chart.encode()}
    findings: list[Finding] = []
    if order.pdf:
        pdf, findings = pdf_or_finding(page, f"{path}.sheet.html")
        if pdf is not None:
            files[f"{path}.sheet.pdf"] = pdf
    return files, findings


def pdf_or_finding(page: str, name: str) -> tuple[bytes | None, list[Finding]]:
    """The PDF of a page, or a remark that there is none."""
    try:
        return pdf_of(page), []
    except PdfUnavailable as error:
        return None, [sheet_codes.NO_PDF.found(f"no PDF of {name}: {error}", Label(Span(name)))]


def _other_programs(root: Path, made: Rendered) -> list[Finding]:
    """A remark where the programs in `output/` are not those that were rendered."""
    name = name_of(made)
    try:
        stored = read_pair(root, name)
    except Findings:
        stored = None
    if stored is None:
        cause = f"{name.folder} holds no such pair yet: write it before it is run"
    elif stored.edited:
        cause = f"{name.folder} was changed by hand: this sheet is for the programs as gemel writes them"
    elif dict(stored.texts) != dict(made.texts):
        cause = f"{name.folder} holds another state: this sheet is for stamp {made.stamp}, which is not written yet"
    else:
        return []
    return [sheet_codes.OTHER_PROGRAMS.found(cause, Label(Span(name.folder)))]


def _about(made: Rendered, timeline: Timeline, files: dict[str, bytes]) -> dict[str, Any]:
    kinds = {".sheet.html": "sheet", ".sheet.pdf": "PDF", ".chart.html": "chart"}
    pages = {path: next(text for end, text in kinds.items() if path.endswith(end)) for path in files}
    part, machine = made.part, made.loaded.machine
    return {
        "machine": str(machine.machine),
        "name": f"{part.family}/{part.member}",
        "title": str(part.title),
        "drawing": str(part.drawing),
        "revision": str(part.revision),
        "program": formatted(machine.programs.write, number=int(part.program)),
        "stamp": made.stamp,
        "cycle": "unknown" if timeline.period_s is None else duration(timeline.period_s),
        "pages": dict(sorted(pages.items(), key=lambda page: list(kinds.values()).index(page[1]))),
    }
