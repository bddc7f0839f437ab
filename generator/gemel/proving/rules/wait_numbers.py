"""The family `waits`, where the list of a channel's waits shows it, without any interleaving."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from gemel.findings import Severity
from gemel.proving.rule import Place, Rule
from gemel.proving.sightings import Sighting

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.proving.facts import Facts
    from gemel.proving.model import ChannelModel, Node

__all__ = ["RULES", "check"]

COUNT = Rule(
    "waits",
    "count",
    Severity.ERROR,
    what="A wait number is met a different number of times by the channels that it names.",
    why="One channel stands at the wait that the other never reaches, or the two run a stage apart.",
    example="upper: M701 M702 M703\nlower: M701 M703",
    remedy="write each wait equally often in every channel that it names",
    cause="wait {detail}, at {all}",
)
NOT_RISING = Rule(
    "waits",
    "not-rising",
    Severity.WARNING,
    what="The number of a wait is not higher than that of the wait before it in the same pass.",
    why="A reader, and a restart in the middle, tell the stages apart by their numbers.",
    example="M702\nM701",
    remedy="number the waits so that they rise along the program",
    cause="the wait at {a} has no higher number than the one before it",
)
RANGE = Rule(
    "waits",
    "range",
    Severity.WARNING,
    what="A wait number lies outside the shop's range, though the control takes it as a wait.",
    why="Numbers outside the range are left to other uses; a later program may take them for something else.",
    example="M700      (the shop uses 701 to 799)",
    remedy="use a number inside the range that the machine file names",
    cause="the wait at {a} has a number outside the shop's range",
)
BEFORE_FIRST = Rule(
    "waits",
    "below-before-first",
    Severity.WARNING,
    what="A channel moves below the clearance before the first wait that it shares with another channel.",
    why="Nothing makes sure that the other channel is at a safe place when the program starts.",
    example="G00 X30.\nM701",
    remedy="set the first shared wait behind the safe start, before any channel goes to the workpiece",
    cause="{a} moves below the clearance before the first wait that its channel shares",
)

RULES = (COUNT, NOT_RISING, RANGE, BEFORE_FIRST)


def check(models: list[ChannelModel], facts: Facts) -> Iterator[Sighting]:
    """The faults that the waits of the channels show."""
    for number in (1, 2):
        yield from _counts(models, number)
    for channel, model in enumerate(models):
        yield from _numbers(channel, model, facts)
        yield from _before_first(channel, model, facts)


def _counts(models: list[ChannelModel], pass_number: int) -> Iterator[Sighting]:
    """One fault for each number that is not met equally often in a pass of every channel; who has ended meets none."""
    met: dict[int, list[Place]] = defaultdict(list)
    times: dict[tuple[int, frozenset[int]], dict[int, int]] = defaultdict(lambda: defaultdict(int))
    for channel, model in enumerate(models):
        for node in model.nodes:
            if node.kind != "wait":
                continue
            met[node.number].append(Place(channel, node.step))
            if node.pass_number == pass_number:
                times[node.number, node.named | {channel}][channel] += 1
    for (number, members), by in sorted(times.items(), key=lambda item: item[0][0]):
        if len({by.get(c, 0) for c in members if c >= 0}) > 1:
            often = ", ".join(f"{_times(by.get(c, 0))} by {models[c].name}" for c in sorted(members) if c >= 0)
            yield Sighting(COUNT, tuple(met[number]), words=f"{number} is met {often}")


def _times(count: int) -> str:
    return {0: "never", 1: "once", 2: "twice"}.get(count, f"{count} times")


def _numbers(channel: int, model: ChannelModel, facts: Facts) -> Iterator[Sighting]:
    first, last = facts.shop_waits
    before: Node | None = None
    for node in (n for n in model.nodes if n.kind == "wait"):
        place = Place(channel, node.step)
        if before is not None and before.pass_number == node.pass_number and node.number <= before.number:
            yield Sighting(NOT_RISING, (place,))
        if not first <= node.number <= last:
            yield Sighting(RANGE, (place,))
        before = node


def _before_first(channel: int, model: ChannelModel, facts: Facts) -> Iterator[Sighting]:
    """Moves from the clearance to below it, before the first shared wait; none where there is no such wait."""
    shared = next((n.step for n in model.nodes if n.kind == "wait" and n.named), None)
    if shared is None:
        return
    for index in range(shared + 1):
        motions = model.steps[index].motions
        start = motions[0].start.x_dia if motions else None
        low = model.steps[index].low_x
        if start is not None and low is not None and low < facts.clearance <= start:
            yield Sighting(BEFORE_FIRST, (Place(channel, index),))
