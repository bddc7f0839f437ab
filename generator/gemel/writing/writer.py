"""Writes the programs of a pair: plain for the control, traced for people who ask."""

from __future__ import annotations

import pickle
from dataclasses import dataclass
from typing import TYPE_CHECKING

from gemel.findings import Findings, Label, Span
from gemel.writing.blocks import Blocks
from gemel.writing.checks import check_lines, prefixes
from gemel.writing.codes import MAP_DROPPED, NO_ORIGIN, NO_TEMPLATE, PRIVATE
from gemel.writing.comments import STAMP
from gemel.writing.environment import TemplateEnvironment, TracingEnvironment
from gemel.writing.lint import FAULTS, fault_of, lint, lint_names
from gemel.writing.marks import PRIVATE_USE, Plain, Trace, is_marked
from gemel.writing.origins import TextMap
from gemel.writing.scribe import PROGRAM, STEPS, Scribe
from gemel.writing.stamp import stamp_of
from gemel.writing.views import program_view

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.families.part import Part
    from gemel.findings import Finding
    from gemel.machines.schema import Machine
    from gemel.pairs import ChannelPlan, PairPlan
    from gemel.writing.marks import Site

__all__ = ["Writer", "Written", "WrittenPair", "write_pair"]


@dataclass(frozen=True, slots=True)
class Written:
    """One channel's program.

    Attributes:
        text: with the machine's line ends.
        map: the origins of its words; None when tracing changed the text (`findings` of the pair say so).
    """

    text: str
    map: TextMap | None


@dataclass(frozen=True, slots=True)
class WrittenPair:
    """The programs of all channels, by channel, the stamp that they bear, and remarks that stop nothing."""

    channels: Mapping[str, Written]
    stamp: str
    findings: tuple[Finding, ...] = ()


_MOST_EQUAL = 16


class Writer:
    """Writes for one machine with one set of templates; compiles them once.

    Args:
        machine: the machine file.
        templates: texts of `program.nc.j2` and `steps.nc.j2` by these names.

    Raises:
        Findings: `template:` faults that show without rendering.
    """

    def __init__(self, machine: Machine, templates: Mapping[str, str]) -> None:
        self._machine = machine
        self._templates = dict(templates)
        # Each family comes with a machine read anew; values and their places tell whether it is the same one.
        self._fingerprint = pickle.dumps(machine)
        self._equal = [machine]
        folder = f"templates/{machine.machine}"
        missing = [name for name in (PROGRAM, STEPS) if name not in templates]
        if missing:
            raise Findings(
                [NO_TEMPLATE.found(f"there is no template `{name}`", _file(folder, name)) for name in missing]
            )
        self._plain = TemplateEnvironment(self._templates, folder)
        findings = [*_private(self._templates, folder), *lint(self._plain, self._templates)]
        if findings:
            raise Findings(findings)
        self._blocks = Blocks()
        trace = Trace()
        self._tracing = TracingEnvironment(self._templates, folder, trace.output)
        try:
            self._scribes = (
                Scribe(self._plain, machine, Plain(), self._blocks),
                Scribe(self._tracing, machine, trace, self._blocks),
            )
        except FAULTS as error:
            raise fault_of(error, self._plain, self._templates) from error
        findings = lint_names(self._plain, self._templates, frozenset({"program"}))
        if findings:
            raise Findings(findings)

    def write(self, part: Part, plan: PairPlan) -> WrittenPair:
        """The programs of all channels of one part.

        Raises:
            Findings: `template:` and `writing:` faults.
        """
        drafts = {name: self._draft(part, channel, repeat=plan.repeat) for name, channel in plan.channels.items()}
        findings = [finding for draft in drafts.values() for finding in draft.findings]
        if any(finding.is_error for finding in findings):
            raise Findings(findings)
        stamp = stamp_of({name: draft.text for name, draft in drafts.items()}, self._machine)
        end = str(self._machine.lines.end)
        channels = {
            name: Written(draft.text.replace(STAMP, stamp).replace("\n", end), draft.map(stamp, self._machine))
            for name, draft in drafts.items()
        }
        return WrittenPair(channels, stamp, tuple(findings))

    def is_for(self, machine: Machine, templates: Mapping[str, str]) -> bool:
        """Whether this writer was made from these texts and this machine, or one equal to it down to its places."""
        if self._templates != templates:
            return False
        if any(known is machine for known in self._equal):
            return True
        if self._fingerprint != pickle.dumps(machine):
            return False
        self._equal = [machine, *self._equal[:_MOST_EQUAL]]
        return True

    def _draft(self, part: Part, plan: ChannelPlan, *, repeat: bool) -> _Draft:
        view = program_view(part, plan, self._machine, repeat=repeat, stamp=STAMP)
        plain, tracing = self._scribes
        self._blocks.begin()
        try:
            text = plain.program(view)
            numbers, findings = prefixes(text, self._machine)
            findings += check_lines(_with(text, numbers).replace(STAMP, "0" * len(STAMP)), plan.channel, self._machine)
            if not text.isascii() and PRIVATE_USE.search(text):
                return _Draft(plan.channel, text, None, {}, findings)
            marked = tracing.program(view)
        except FAULTS as error:
            raise fault_of(error, self._plain, self._templates) from error
        trace = tracing.trace
        assert isinstance(trace, Trace)
        findings += self._without_origin(trace)
        traced: _Traced | None = _Traced(marked, (trace.values, trace.sites), self._tracing)
        if not is_marked(marked, text):
            findings.append(_dropped(plan.channel))
            traced = None
        return _Draft(plan.channel, _with(text, numbers), traced, numbers, findings)

    def _without_origin(self, trace: Trace) -> list[Finding]:
        found: dict[tuple[object, Site], Finding] = {}
        for value, index in trace.unknown:
            site = self._tracing.sites[index]
            rows = self._templates[site.template.rpartition("/")[2]].split("\n")
            row = rows[site.line - 1]
            label = Label(Span(site.template, site.line, 0, max(1, len(row))), row.strip())
            found.setdefault((value, site), NO_ORIGIN.found(f"the number {value} has no origin", label))
        return list(found.values())


@dataclass(frozen=True, slots=True)
class _Traced:
    marked: str
    trace: tuple[list[object], list[int]]
    environment: TracingEnvironment


@dataclass(frozen=True, slots=True)
class _Draft:
    """A program before its stamp is known."""

    channel: str
    text: str
    traced: _Traced | None
    numbers: dict[int, tuple[str, object]]
    findings: list[Finding]

    def map(self, stamp: str, machine: Machine) -> TextMap | None:
        """The origins of the finished text."""
        if self.traced is None:
            return None
        comment = str(machine.lines.comment.start), str(machine.lines.comment.end)
        marked = self.traced.marked.replace(STAMP, stamp)
        sites = self.traced.environment.sites
        return TextMap(self.channel, marked, self.traced.trace, sites, comment).with_prefixes(self.numbers)


def _with(text: str, numbers: dict[int, tuple[str, object]]) -> str:
    if not numbers:
        return text
    return "\n".join(
        f"{numbers[number][0]}{line}" if number in numbers else line for number, line in enumerate(text.split("\n"), 1)
    )


def _file(folder: str, name: str) -> Label:
    return Label(Span(f"{folder}/{name}"))


def _dropped(channel: str) -> Finding:
    cause = f"the `{channel}` program came out differently when its words were traced; it has no map of origins"
    return MAP_DROPPED.found(cause, Label(Span(f"program {channel}"), channel=channel))


def _private(templates: Mapping[str, str], folder: str) -> list[Finding]:
    findings = []
    for name, text in templates.items():
        for number, line in enumerate(text.split("\n"), 1):
            match = PRIVATE_USE.search(line)
            if match:
                label = Label(Span(f"{folder}/{name}", number, match.start(), match.end()))
                findings.append(PRIVATE.found("the template holds a private-use character", label))
    return findings


_writers: list[Writer] = []


def write_pair(part: Part, plan: PairPlan, machine: Machine, templates: Mapping[str, str]) -> WrittenPair:
    """The programs of all channels of one part; compiled templates are kept from one call to the next.

    Raises:
        Findings: `template:` and `writing:` faults.
    """
    kept = next((writer for writer in _writers if writer.is_for(machine, templates)), None)
    if kept is None:
        kept = Writer(machine, templates)
        _writers[:] = [kept, *_writers[:3]]
    return kept.write(part, plan)
