"""From the files of a shop to the texts of a pair: read, load, resolve, plan, pair, write, prove.

Every step is a function of another layer; here they are only put in a row.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from gemel import __version__
from gemel.families.cutting_facts import cutting_facts
from gemel.families.resolve import jobs_of, resolve
from gemel.findings import Finding, Findings, Label, Severity, Span, did_you_mean
from gemel.history import PairName, Record, digest
from gemel.machines.dialect import dialect_of
from gemel.operations import toolpath
from gemel.operations.surface import rough_surfaces
from gemel.pairs import pair
from gemel.shop import codes
from gemel.shop.changes import Look
from gemel.shop.excerpts import excerpts
from gemel.shop.inputs import checked, gather, mark_of, remembered
from gemel.shop.kept import carry, titles_of
from gemel.shop.known_proofs import known_proof, proof_key, remembered_as
from gemel.shop.unproved import unproved_files
from gemel.writing import write_pair

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.families.part import Job, Part
    from gemel.operations.steps import Step
    from gemel.pairs import PairPlan
    from gemel.shop.inputs import Inputs, Loaded
    from gemel.shop.kept import Carried
    from gemel.shop.layout import Shop
    from gemel.shop.targets import Target
    from gemel.writing import Written

__all__ = ["MadePair", "Rendered", "Task", "make", "record_of", "render", "render_from", "tasks"]


@dataclass(frozen=True, slots=True)
class Task:
    """One pair to be made. Small, since it travels to another process; the files are read there.

    Attributes:
        mark: digest of all inputs, by which it is known that nobody changed them meanwhile.
        proofs: folder in which proofs are remembered; empty for none.
    """

    root: str
    family: str
    member: str
    machine: str
    mark: str
    prove: bool
    proofs: str = ""


@dataclass(frozen=True, slots=True)
class MadePair:
    """What came of a task; without record where no text could be made, or it did not pass the proof.

    Attributes:
        texts: program by file name.
        look: how they are read.
        cited: the lines of the programs that findings point at; the programs may stand in no file.
        proved: key and value of a proof that was made and may be remembered; None where none was.
        unproved: programs that did not pass, by file relative to the shop, with a header that says so.
    """

    family: str
    member: str
    texts: Mapping[str, bytes]
    record: Record | None
    look: Look | None
    findings: tuple[Finding, ...]
    cited: Mapping[str, str] = field(default_factory=dict)
    proved: tuple[str, list[dict[str, Any]]] | None = None
    unproved: Mapping[str, bytes] = field(default_factory=dict)


def tasks(shop: Shop, target: Target, machine: str | None, *, prove: bool) -> list[Task]:
    """One task for each member that is meant, in the family's order.

    Raises:
        Findings: every fault of the family's files, or a member that is not there.
    """
    inputs = gather(shop, target.family, machine)
    mark = mark_of(inputs)
    known = remembered(str(shop.root), target.family, inputs.machine, mark).family.members()
    wanted = known if target.members is None else target.members
    found = [
        codes.NO_MEMBER.found(
            f"{target.family} has no member `{member}`",
            Label(Span(inputs.family.name), member),
            remedy=did_you_mean(member, known),
        )
        for member in wanted
        if member not in known
    ]
    if found:
        raise Findings(found)
    return [Task(str(shop.root), target.family, m, inputs.machine, mark, prove) for m in wanted]


@dataclass(frozen=True, slots=True)
class Rendered:
    """The programs of one pair with the origins of their words.

    Attributes:
        loaded: what it was made from.
        plan: what each channel runs.
        channels: program by file name.
        texts: their bytes as they are stored.
        names: channel by file name.
        carried: the same with kept edits in it, where any are kept; `texts` and `stamp` are of that.
    """

    loaded: Loaded
    part: Part
    plan: PairPlan
    stamp: str
    channels: Mapping[str, Written]
    texts: Mapping[str, bytes]
    names: Mapping[str, str]
    findings: tuple[Finding, ...]
    carried: Carried | None = None


def render(task: Task) -> Rendered:
    """The programs of one pair, with origins, kept edits set in.

    Raises:
        Findings: whatever is wrong with family, member, toolpaths, stages, templates; a kept edit that is stranded.
    """
    return _carried(Path(task.root), remembered(task.root, task.family, task.machine, task.mark), task.member)


def render_from(root: Path, inputs: Inputs, member: str) -> Rendered:
    """As `render`, from these texts instead of the shop's files: what the pair would be if they said so.

    Raises:
        Findings: as `render`.
    """
    return _carried(root, checked(inputs), member)


def _carried(root: Path, loaded: Loaded, member: str) -> Rendered:
    made = _render(loaded, member)
    if not loaded.decisions:
        return made
    carried = carry(root, made, loaded.machine, loaded.decisions)
    return replace(made, carried=carried, texts=carried.texts, stamp=carried.stamp) if carried else made


def _render(loaded: Loaded, member: str) -> Rendered:
    machine = loaded.machine
    part = resolve(loaded.family, member)
    jobs = jobs_of(loaded.family, part)
    plan = pair(part, machine, _toolpaths(loaded, jobs))
    templates = {name: file.text for name, file in loaded.inputs.machine_files.items() if name.endswith(".j2")}
    written = write_pair(part, plan, machine, templates)
    stem = PairName(machine.machine, part.family, part.member).stem
    names = {f"{stem}{facts.suffix}": channel for channel, facts in machine.channels.items()}
    channels = {file: written.channels[channel] for file, channel in names.items()}
    texts = {file: program.text.encode(machine.lines.encoding) for file, program in channels.items()}
    findings = (*written.findings, *rough_surfaces(jobs.values()))
    return Rendered(loaded, part, plan, written.stamp, channels, texts, names, findings)


def _toolpaths(loaded: Loaded, jobs: Mapping[str, Job]) -> dict[str, list[Step]]:
    """The steps of every operation; the findings of all of them at once."""
    steps: dict[str, list[Step]] = {}
    found: list[Finding] = []
    for name, job in jobs.items():
        try:
            steps[name] = toolpath(replace(job, body=loaded.inputs.bodies.get(job.operation.body or "")))
        except Findings as error:
            found.extend(error.findings)
    if found:
        raise Findings(found)
    return steps


def make(task: Task) -> MadePair:
    """The texts of one pair and its record, or why there are none. Never raises `Findings`: it may run elsewhere."""
    try:
        made = render(task)
    except Findings as error:
        return MadePair(task.family, task.member, {}, None, None, error.findings)
    loaded, findings = made.loaded, made.findings
    cited: dict[str, str] = {}
    proved = None
    if task.prove:
        programs = _programs(made)
        found, proved = _proof(made, programs, task.proofs)
        findings += found
        cited = excerpts(findings, programs.values(), loaded.machine.lines.encoding)
        if any(finding.is_error for finding in findings):
            cause = f"{task.family}/{task.member} does not pass the proof; output/ is as it was"
            refusal = codes.NOT_PROVED.found(cause, Label(Span(loaded.inputs.family.name)))
            marked = unproved_files(made)
            return MadePair(task.family, task.member, {}, None, None, (*findings, refusal), cited, unproved=marked)
    record, look = record_of(made), _look(made)
    return MadePair(task.family, task.member, made.texts, record, look, findings, cited, proved)


def _programs(made: Rendered) -> dict[str, tuple[str, bytes]]:
    """By channel: where the program will stand in the shop, and its bytes."""
    folder = PairName(made.loaded.machine.machine, made.part.family, made.part.member).folder
    return {channel: (f"{folder}/{file}", made.texts[file]) for file, channel in made.names.items()}


def _proof(
    made: Rendered, programs: Mapping[str, tuple[str, bytes]], proofs: str
) -> tuple[tuple[Finding, ...], tuple[str, list[dict[str, Any]]] | None]:
    """Errors and warnings of a proof of the very bytes that would be written; and what is new to be remembered."""
    machine, cutting = made.loaded.machine, cutting_facts(made.loaded.family, made.part)
    key = proof_key(programs, made.loaded.inputs.machine_files["machine.yaml"], cutting)
    known = known_proof(proofs, key)
    if known is not None:
        return known, None
    from gemel.proving import prove  # noqa: PLC0415 # heavy, and not needed by `check`

    verdict = prove(programs, machine, (), cutting)
    found = tuple(f for f in verdict.findings if f.severity is not Severity.NOTE)
    value = remembered_as(found)
    return found, None if value is None else (key, value)


def record_of(made: Rendered) -> Record:
    """What the pair was made from, and the digest of each text."""
    part, loaded = made.part, made.loaded
    return Record(
        gemel=__version__,
        family=str(part.family),
        member=str(part.member),
        machine=str(loaded.machine.machine),
        program=int(part.program),
        drawing=str(part.drawing),
        revision=str(part.revision),
        stamp=dict.fromkeys(made.texts, made.stamp),
        inputs=loaded.inputs.digests(),
        texts={file: digest(data) for file, data in made.texts.items()},
        titles=titles_of(made),
    )


def _look(made: Rendered) -> Look:
    machine = made.loaded.machine
    dialects = {file: dialect_of(machine, channel) for file, channel in made.names.items()}
    return Look(machine.lines.encoding, dialects)
