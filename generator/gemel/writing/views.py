"""What templates see: plain records with attributes, words already formed after the machine file."""

from __future__ import annotations

import re
from dataclasses import dataclass
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any, ClassVar

from pydantic import BaseModel

import gemel
from gemel.documents import PlacedText, label_of, place_of
from gemel.families.features import Bar
from gemel.findings import Findings
from gemel.operations.steps import ToolCall
from gemel.pairs import Size
from gemel.writing.codes import FAULT
from gemel.writing.words import formatted

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.families.part import Part
    from gemel.machines.schema import Channel, Machine
    from gemel.operations.steps import Step
    from gemel.pairs import ChannelPlan, PlannedStage, TitlePart

__all__ = ["ChannelView", "OperationView", "ProgramView", "StageView", "ToolView", "program_view", "record_of"]


@dataclass(frozen=True, slots=True)
class ToolView:
    """A tool that the program uses: the word that calls it, and its title."""

    call: str
    title: str


@dataclass(frozen=True, slots=True)
class ChannelView:
    """The channel: its name, title, and the letters of its axes in lower case."""

    name: str
    title: str
    axes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StageView:
    """A wait mark and what it opens; `sequence` is empty where it has none."""

    kind: ClassVar[str] = "stage"
    number: int
    sequence: str
    mark: str
    waiting_for: str


@dataclass(frozen=True, slots=True)
class OperationView:
    """An operation; its steps are written by `write(operation)` behind its head."""

    kind: ClassVar[str] = "operation"
    stage: int
    id: str
    title: tuple[TitlePart, ...]
    sequence: str
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class RowView:
    """One row of the stage table in this channel."""

    opening: StageView
    operations: tuple[OperationView, ...]


@dataclass(frozen=True, slots=True)
class ProgramView:
    """A whole program.

    Attributes:
        word: the program number as the control wants it. name: family and member.
        unit: of the family's own sizes.
        stamp: stands for the stamp, put in when the body is known.
        stock_size, stock_bar: of the bar.
        stick_out, allowance: how far a fresh bar stands out of its chuck, and before Z0; None without a bar feature.
    """

    word: str
    name: str
    title: str
    family: str
    member: str
    drawing: str
    revision: str
    machine: str
    channel: ChannelView
    unit: str
    material: str
    stock_shape: str
    stock_size: Size
    stock_bar: Size
    stick_out: Size | None
    allowance: Size | None
    tools: tuple[ToolView, ...]
    version: str
    stamp: str
    stages: tuple[RowView, ...]
    closing: StageView
    repeat: bool


def record_of(value: Any) -> Any:
    """A model or mapping with names for keys as a record of attributes, all the way down."""
    if isinstance(value, BaseModel):
        return SimpleNamespace(**{name: record_of(getattr(value, name)) for name in type(value).model_fields})
    if isinstance(value, dict) and all(str(key).isidentifier() for key in value):
        return SimpleNamespace(**{key: record_of(item) for key, item in value.items()})
    return value


def program_view(part: Part, plan: ChannelPlan, machine: Machine, *, repeat: bool, stamp: str) -> ProgramView:
    """Everything that the program template of one channel may use."""
    channel = machine.channels[plan.channel]
    bar = part.feature_of(Bar)
    return ProgramView(
        word=_program_word(part, machine),
        name=f"{part.family} {part.member}",
        title=part.title,
        family=part.family,
        member=part.member,
        drawing=part.drawing,
        revision=part.revision,
        machine=str(machine.machine),
        channel=ChannelView(plan.channel, channel.title, tuple(channel.axes)),
        unit=part.unit,
        material=part.material,
        stock_shape=part.stock.shape,
        stock_size=Size(part.stock.size_mm),
        stock_bar=Size(part.stock.bar_mm),
        stick_out=Size(bar.stick_out_mm) if bar else None,
        allowance=Size(bar.allowance_mm) if bar else None,
        tools=_tools(plan, channel),
        version=gemel.__version__,
        stamp=stamp,
        stages=tuple(_row(stage, machine) for stage in plan.stages),
        closing=_stage(plan.closing, machine),
        repeat=repeat,
    )


def _program_word(part: Part, machine: Machine) -> str:
    word = _form(machine.programs.write, number=int(part.program))
    place = place_of(part.program)
    return word if place is None else PlacedText(word, place)


def _form(form: str, **values: object) -> str:
    try:
        return formatted(form, **values)
    except (KeyError, IndexError, ValueError, AttributeError):
        cause = f"`{form}` in the machine file is no form for {', '.join(values)}"
        place = place_of(form)
        raise Findings([FAULT.found(cause, *((label_of(place),) if place else ()))]) from None


def _row(stage: PlannedStage, machine: Machine) -> RowView:
    operations = tuple(
        OperationView(stage.number, work.id, work.title, _sequence(work.number, machine), work.steps)
        for work in stage.operations
    )
    return RowView(_stage(stage, machine), operations)


def _stage(stage: PlannedStage, machine: Machine) -> StageView:
    digits = "".join(str(machine.channels[name].number) for name in stage.mark.channels)
    mark = _form(machine.waits.write, number=stage.mark.number, channels=digits)
    return StageView(stage.number, _sequence(stage.sequence, machine), mark, stage.mark.waiting_for)


def _sequence(number: int | None, machine: Machine) -> str:
    return "" if number is None else _form(machine.sequence.write, number=number)


def _tools(plan: ChannelPlan, channel: Channel) -> tuple[ToolView, ...]:
    """The tools that the channel calls, once each, in the order of its stations."""
    used = {step.call: step for step in _calls(plan)}
    order = {str(station.call): place for place, station in enumerate(channel.stations.values())}

    def rank(call: str) -> tuple[int, int]:
        digits = re.search(r"\d+", call)
        return order.get(str(call), len(order)), int(digits.group()) if digits else 0

    return tuple(ToolView(used[call].call, used[call].title) for call in sorted(used, key=rank))


def _calls(plan: ChannelPlan) -> Iterator[ToolCall]:
    for stage in plan.stages:
        for work in stage.operations:
            yield from (step for step in work.steps if isinstance(step, ToolCall))
