"""The pairs that came back from a control, each judged."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from gemel.findings import Findings, Label, Span, did_you_mean, printable
from gemel.history import PairName, facts_of, look_aside, machines_aside, read_repository
from gemel.proving import as_object as proof_object
from gemel.shop import decide_codes, time_codes
from gemel.shop.edited import edited_pair
from gemel.shop.judge import judge
from gemel.shop.prove_files import machine_of, pair_names

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from gemel.edits.model import Edit
    from gemel.edits.records import Record
    from gemel.findings import Finding
    from gemel.history import Repository
    from gemel.proving import Fault
    from gemel.shop.judge import Judged
    from gemel.shop.judge_rows import Row
    from gemel.shop.layout import Shop

__all__ = ["Asked", "as_object", "judged_pair", "judged_pairs", "no_pair"]


class Asked(NamedTuple):
    """What is wanted.

    Attributes:
        words: each `FAMILY` or `FAMILY/MEMBER`; all pairs that came back without one.
        machine: from this machine's control only, unless empty.
        single: make every edit a row of its own.
    """

    words: tuple[str, ...] = ()
    machine: str = ""
    single: bool = False


def judged_pairs(shop: Shop, asked: Asked) -> Iterator[Judged | tuple[Finding, ...]]:
    """Each pair that came back and is asked for, judged, or why it cannot be.

    Raises:
        Findings: `shop:no-pair`, `side:` and `git:` faults.
    """
    repository = read_repository(shop.root)
    for name in _names(shop, repository, asked):
        try:
            machine = machine_of(shop, name.machine)
            found = edited_pair(shop, repository, machine, name)
        except Findings as error:
            yield error.findings
        else:
            if found is not None:
                yield judge(shop, found, machine, single=asked.single)


def judged_pair(shop: Shop, word: str, machine: str = "") -> Judged:
    """One pair judged, `FAMILY/MEMBER`.

    Raises:
        Findings: `shop:no-pair`, `decide:no-copy`, or why it cannot be judged.
    """
    found = list(judged_pairs(shop, Asked((word,), machine)))
    if len(found) > 1:
        machines = ", ".join(one.pair.name.machine for one in found if not isinstance(one, tuple))
        cause = f"{printable(word)} is more than one pair ({machines}): name FAMILY/MEMBER and --machine"
        raise Findings([decide_codes.NO_COPY.found(cause, Label(Span("gemel review"), word))])
    if not found:
        cause = f"no copy of {printable(word)} ever came back from {machine or 'any control'}"
        raise Findings([decide_codes.NO_COPY.found(cause, Label(Span("at-control"), word))])
    if isinstance(found[0], tuple):
        raise Findings(found[0])
    return found[0]


def _names(shop: Shop, repository: Repository, asked: Asked) -> list[PairName]:
    """The pairs that came back and are asked for.

    Raises:
        Findings: `shop:no-pair` for a word that means no pair of the shop, come back or not; `shop:no-machine`.
    """
    if asked.machine and asked.machine not in machines_aside(repository):
        shop.machine(asked.machine)
    machines = [name for name in machines_aside(repository) if asked.machine in {"", name}]
    back = [name for machine in machines for name in facts_of(look_aside(repository, machine))]
    every = dict.fromkeys([*pair_names(shop), *back])
    meant: dict[PairName, None] = {}
    faults = []
    for word in asked.words:
        name = word.removeprefix("families/").removesuffix(".yaml")
        fitting = [p for p in every if name in {p.family, f"{p.family}/{p.member}"}]
        if not fitting:
            faults.append(no_pair(name, every, asked.machine))
        meant |= dict.fromkeys(p for p in fitting if p in back)
    if faults:
        raise Findings(faults)
    return list(meant) if asked.words else back


def no_pair(word: str, known: Iterable[PairName], machine: str) -> Finding:
    """That a word means no pair of the shop, with the nearest that is one."""
    on = f" for {machine}" if machine else ""
    names = {f"{pair.family}/{pair.member}" for pair in known}
    remedy = did_you_mean(word, names) if names else time_codes.NO_PAIR.remedy
    cause = f"there is no pair of `{printable(word)}`{on} in output/, and none came back"
    return time_codes.NO_PAIR.found(cause, Label(Span("output"), word), remedy=remedy)


def as_object(judged: Judged) -> dict[str, Any]:
    """A judged pair as plain values, for scripts."""
    facts, name = judged.pair.intake.facts, judged.pair.name
    return {
        "family": name.family,
        "member": name.member,
        "machine": name.machine,
        "taken_at": facts.taken_at,
        "taken_by": facts.taken_by,
        "commit": judged.pair.intake.commit,
        "baselines": {channel: edited.stamp for channel, edited in judged.pair.channels.items()},
        "mixed": judged.pair.intake.mixed,
        "undecided": len(judged.pair.undecided),
        "proof": {
            "before": proof_object(judged.before.verdict)["verdict"],
            "after": proof_object(judged.after.verdict)["verdict"],
            "new": [_fault(fault) for fault in judged.change.new],
            "gone": [_fault(fault) for fault in judged.change.gone],
            "checked": judged.after.verdict.checked,
        },
        "time": {
            "before_s": _seconds(judged.before.timeline.period_s),
            "after_s": _seconds(judged.after.timeline.period_s),
            "longer_s": _seconds(judged.seconds),
        },
        "notes": list(judged.notes),
        "rows": [_row(row) for row in judged.rows],
    }


def _row(row: Row) -> dict[str, Any]:
    return {
        "ids": [edit.id for edit in row.edits],
        "kind": row.kind.value,
        "risk": row.risk,
        "said": row.said,
        "verdict": row.verdict,
        "seconds": _seconds(row.seconds),
        "time": row.time,
        "findings": [fault.name for fault in row.faults],
        "proposals": [
            {"change": one.shown(), "explains": list(one.explains), "others": dict(one.others)} for one in row.proposals
        ],
        "decided": None if row.record is None else _decided(row.record),
        "edits": [_edit(edit) for edit in row.edits],
    }


def _decided(record: Record) -> dict[str, Any]:
    kept = record.edit
    return {"by": kept.by, "when": kept.when, "why": kept.why, "changes": list(record.changes)}


def _edit(edit: Edit) -> dict[str, Any]:
    where, place = edit.where, edit.anchor
    return {
        "id": edit.id,
        "kind": edit.kind.value,
        "channel": place.channel,
        "stage": place.stage,
        "operation": place.operation,
        "word": place.word,
        "block": place.block,
        "old": edit.old,
        "new": edit.new,
        "size": edit.size,
        "lines": {
            "baseline": None if where.baseline is None else [where.baseline, where.baseline_to or where.baseline],
            "copy": None if where.copy is None else [where.copy, where.copy_to or where.copy],
        },
    }


def _fault(fault: Fault) -> dict[str, Any]:
    where = [{"channel": at.channel, "line": at.span.line, "block": at.text.strip()} for at in fault.labels]
    return {"code": fault.name, "severity": fault.severity.value, "cause": fault.cause, "where": where}


def _seconds(value: float | None) -> float | None:
    return None if value is None else round(value, 3)
