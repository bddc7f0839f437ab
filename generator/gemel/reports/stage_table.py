"""The stage table: what the channels do between two wait marks, side by side, and how long."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from gemel.operations.steps import ToolCall
from gemel.pairs.titles import short_title
from gemel.reports.times import seconds
from gemel.writing.words import formatted

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.families.part import Job, Part
    from gemel.machines.schema import Machine
    from gemel.pairs import ChannelPlan, PairPlan, PlannedOperation
    from gemel.reports.restart import MarkState
    from gemel.timing import Bar, Timeline

__all__ = ["Cell", "Known", "StageRow", "Work", "stage_rows"]


@dataclass(frozen=True, slots=True)
class Work:
    """One operation in the stage table; `seconds` is empty where the time is not known."""

    id: str
    sequence: str
    title: str
    call: str
    tool: str
    seconds: str


@dataclass(frozen=True, slots=True)
class Cell:
    """What one channel does in one stage.

    Attributes:
        sequence: sequence number of the block with the mark that opens it, as the program has it; empty without one.
        work: its operations in order.
        waits: how long it waits at the mark behind, empty if not at all.
    """

    sequence: str
    work: tuple[Work, ...]
    waits: str


@dataclass(frozen=True, slots=True)
class StageRow:
    """One stage.

    Attributes:
        number: 1-based.
        mark: number of the wait mark that opens it.
        cells: of every channel, in the machine file's order.
        seconds: from its mark to the next one, empty where it is not known.
    """

    number: int
    mark: int
    cells: tuple[Cell, ...]
    seconds: str


@dataclass(frozen=True, slots=True)
class Known:
    """What the table is told from besides the plan.

    Attributes:
        part: the member. machine: its machine. jobs: its operations.
        timeline: of its programs.
        marks: the restart points, for the sequence numbers as the text has them.
    """

    part: Part
    machine: Machine
    jobs: Mapping[str, Job]
    timeline: Timeline
    marks: tuple[MarkState, ...]

    def sequence_of(self, mark: int, channel: str) -> str:
        """Sequence number of the block with a mark in a channel."""
        here = [s for state in self.marks if state.number == mark for s in state.standings if s.channel == channel]
        if not here or here[0].sequence is None:
            return ""
        return self.spelled(here[0].sequence)

    def spelled(self, number: int) -> str:
        """A sequence number as the machine writes it."""
        return formatted(self.machine.sequence.write, number=number)


def stage_rows(plan: PairPlan, known: Known) -> tuple[StageRow, ...]:
    """A row for every stage."""
    plans = list(plan.channels.values())
    stages = [*plans[0].stages, plans[0].closing]
    rows = []
    for index, (stage, following) in enumerate(pairwise(stages)):
        mark, next_mark = stage.mark.number, following.mark.number
        cells = tuple(_cell(p, index, next_mark, known) for p in plans)
        rows.append(StageRow(stage.number, mark, cells, _length(known.timeline, mark, next_mark)))
    return tuple(rows)


def _cell(plan: ChannelPlan, index: int, next_mark: int, known: Known) -> Cell:
    stage = plan.stages[index]
    bars = [b for b in known.timeline.bars if b.channel == plan.channel and b.mark == stage.mark.number]
    numbers = [operation.number for operation in stage.operations]
    if None in numbers:
        # Every block has a number: the operations are told apart by their order alone.
        found: list[Bar | None] = [*bars] if len(bars) == len(numbers) else [None] * len(numbers)
    else:
        by_number = {bar.sequence: bar for bar in bars}
        found = [by_number.get(number) for number in numbers]
    work = tuple(_work(planned, bar, known) for planned, bar in zip(stage.operations, found, strict=True))
    sequence = known.sequence_of(stage.mark.number, plan.channel)
    return Cell(sequence, work, _waits(known.timeline, plan.channel, next_mark))


def _work(planned: PlannedOperation, bar: Bar | None, known: Known) -> Work:
    job = known.jobs[planned.id]
    number = planned.number if planned.number is not None else bar.sequence if bar else None
    # An operation that only moves the part calls no tool.
    calls = any(isinstance(step, ToolCall) for step in planned.steps)
    return Work(
        planned.id,
        "" if number is None else known.spelled(number),
        short_title(planned.id, known.part),
        str(job.call) if calls else "",
        str(job.tool.title) if calls else "",
        "" if bar is None or bar.is_unknown else seconds(bar.seconds),
    )


def _waits(timeline: Timeline, channel: str, mark: int) -> str:
    for meeting in timeline.meetings:
        arrival = meeting.of(channel)
        if meeting.number == mark and arrival is not None and arrival.lost_s > 0.05:
            others = [a.channel for a in meeting.arrivals if a.channel in meeting.last and a.channel != channel]
            return f"waits {seconds(arrival.lost_s)} for {' and '.join(others)}"
    return ""


def _length(timeline: Timeline, mark: int, next_mark: int) -> str:
    departs = {meeting.number: meeting.depart_s for meeting in timeline.meetings}
    if mark not in departs or next_mark not in departs:
        return ""
    length = departs[next_mark] - departs[mark]
    return seconds(length) if length >= 0 else ""
