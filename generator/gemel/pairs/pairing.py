"""From the stage table to what each channel runs.

Stage k opens with the wait mark `first + (k - 1) * step` in every channel, and one more mark stands behind the last
stage. The numbers depend on the row alone, so a member that skips an operation keeps the numbers of the others.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.documents import label_of, place_of
from gemel.families.codes import WAITS_USED_UP
from gemel.findings import Findings
from gemel.operations.steps import ToolCall
from gemel.pairs.codes import NO_TOOLPATH, SEQUENCE_FULL
from gemel.pairs.joining import joined
from gemel.pairs.plan import ChannelPlan, Mark, PairPlan, PlannedOperation, PlannedStage
from gemel.pairs.titles import short_title, title_of

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from gemel.families.part import Part, Stage
    from gemel.findings import Finding, Label
    from gemel.machines.schema import Machine
    from gemel.operations.steps import Step

__all__ = ["pair"]


def pair(part: Part, machine: Machine, toolpaths: Mapping[str, Sequence[Step]]) -> PairPlan:
    """The plan of all channels; `toolpaths` has the steps of every operation that the member runs.

    Raises:
        Findings: `family:waits-used-up`, `pairs:sequence-full`, `pairs:no-toolpath`.
    """
    findings = [*_too_many_stages(part, machine), *_missing(part, toolpaths), *_crowded(part, machine)]
    if findings:
        raise Findings(findings)
    names = tuple(machine.channels)
    return PairPlan({name: _channel(name, part, machine, toolpaths) for name in names}, part.repeat)


def _labels(*values: object) -> tuple[Label, ...]:
    return tuple(label_of(place) for place in map(place_of, values) if place is not None)


def _too_many_stages(part: Part, machine: Machine) -> list[Finding]:
    waits = machine.waits
    last = waits.first + len(part.stages) * waits.step
    if last <= waits.last:
        return []
    room = (waits.last - waits.first) // waits.step
    cause = (
        f"{len(part.stages)} stages need wait marks up to {last}; "
        f"`{part.machine}` has {waits.first} to {waits.last}, enough for {room} stages"
    )
    return [WAITS_USED_UP.found(cause, *_labels(waits.last))]


def _missing(part: Part, toolpaths: Mapping[str, Sequence[Step]]) -> list[Finding]:
    wanted = [name for stage in part.stages for work in stage.work.values() for name in work]
    return [NO_TOOLPATH.found(f"nothing says what `{name}` does") for name in wanted if name not in toolpaths]


def _crowded(part: Part, machine: Machine) -> list[Finding]:
    room = machine.sequence.stage
    return [
        SEQUENCE_FULL.found(
            f"stage {stage.number} has {len(work)} operations in `{channel}` and {room - 1} numbers before the next",
            *_labels(machine.sequence.write),
        )
        for stage in part.stages
        for channel, work in stage.work.items()
        if len(work) >= room
    ]


def _channel(name: str, part: Part, machine: Machine, toolpaths: Mapping[str, Sequence[Step]]) -> ChannelPlan:
    stages = tuple(
        PlannedStage(
            stage.number,
            stage.number * machine.sequence.stage,
            _mark(name, stage.number, part, machine),
            _operations(stage, name, machine, part, toolpaths),
        )
        for stage in part.stages
    )
    behind = len(stages) + 1
    closing = PlannedStage(behind, behind * machine.sequence.stage, _mark(name, behind, part, machine), ())
    return ChannelPlan(name, stages, closing)


def _operations(
    stage: Stage, channel: str, machine: Machine, part: Part, toolpaths: Mapping[str, Sequence[Step]]
) -> tuple[PlannedOperation, ...]:
    work = stage.work.get(channel, ())
    sequence = machine.sequence
    apart = min(sequence.operation, (sequence.stage - 1) // max(1, len(work)))
    planned = []
    runs = joined([toolpaths[name] for name in work])
    for place, (name, steps) in enumerate(zip(work, runs, strict=True), 1):
        number = stage.number * sequence.stage + place * apart if sequence.blocks == "starts" else None
        tool = next((step.title for step in steps if isinstance(step, ToolCall)), "")
        planned.append(PlannedOperation(name, title_of(name, part, tool), number, steps))
    return tuple(planned)


def _mark(channel: str, number: int, part: Part, machine: Machine) -> Mark:
    waits = machine.waits
    names = tuple(machine.channels)
    words = _waiting_for(channel, number, part, names)
    return Mark(waits.first + (number - 1) * waits.step, names, words)


def _waiting_for(channel: str, number: int, part: Part, names: tuple[str, ...]) -> str:
    """What the mark in front of stage `number` waits for, as seen from `channel`."""
    others = [name for name in names if name != channel]
    if number == 1:
        return f"WAIT FOR {_listed(others)}: STARTED"
    before = part.stages[number - 2].work
    busy = [name for name in others if before.get(name)]
    if busy:
        awaited = "; ".join(f"{name}: {short_title(before[name][-1], part)} DONE" for name in busy)
        return f"WAIT FOR {awaited}"
    if before.get(channel):
        wait = "WAIT" if len(others) > 1 else "WAITS"
        return f"{_listed(others)} {wait} FOR {channel}: {short_title(before[channel][-1], part)} DONE"
    return f"WAIT FOR {_listed(others)}: STAGE {number - 1} IS EMPTY FOR THIS MEMBER"


def _listed(names: list[str]) -> str:
    return " AND ".join(names) if names else "NOBODY"
