"""Blocks that may be skipped: what must not stand behind a `/`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.findings import Severity
from gemel.proving.rule import Place, Rule
from gemel.proving.rules.zones import SKIP_EXIT
from gemel.proving.sightings import Sighting
from gemel.proving.zones import OUTSIDE

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.proving.model import ChannelModel
    from gemel.reading.run import Step

__all__ = ["RULES", "check"]

SKIP_WAIT = Rule(
    "waits",
    "skip-wait",
    Severity.ERROR,
    what="A wait stands in a block that may be skipped.",
    why="With the switch the other way one channel waits for ever for the other.",
    example="/M701",
    remedy="take the `/` away from the wait",
    cause="the wait at {a} may be skipped",
)
SKIP_CLAMP = Rule(
    "holding",
    "skip-clamp",
    Severity.ERROR,
    what="A clamp code stands in a block that may be skipped.",
    why="With the switch the other way nothing holds the part, or nothing lets it go.",
    example="/M68",
    remedy="take the `/` away from the clamp code",
    cause="the clamp code at {a} may be skipped",
)
SKIP_STATE = Rule(
    "holding",
    "skip-state",
    Severity.ERROR,
    what="A block that may be skipped calls a tool, moves the slide, or switches a spindle, a drive, a C axis, "
    "a brake, the synchronisation, the catcher or the bar feed.",
    why="What the blocks behind rely on then depends on a switch.",
    example="/M03",
    remedy="take the `/` away, or let the switch choose between whole operations that leave the same state",
    cause="{a} changes the state of the machine and may be skipped",
)

RULES = (SKIP_WAIT, SKIP_CLAMP, SKIP_STATE)

_STATE_KINDS = frozenset({"spindle", "c-axis", "brake", "synchronisation", "catcher", "bar-feed"})


def check(models: list[ChannelModel]) -> Iterator[Sighting]:
    """The faults of blocks that may be skipped, in the runs that do not skip them."""
    for channel, model in enumerate(models):
        for index, step in enumerate(model.steps):
            if step.skippable:
                for rule in _rules(step, model, index):
                    yield Sighting(rule, (Place(channel, index),))


def _rules(step: Step, model: ChannelModel, index: int) -> Iterator[Rule]:
    kinds = {f.kind for f in (*step.functions, *step.late)}
    if step.wait is not None:
        yield SKIP_WAIT
    if "clamp" in kinds:
        yield SKIP_CLAMP
    if kinds & _STATE_KINDS or step.tool is not None or "slide" in step.axes:
        yield SKIP_STATE
    before = model.passages[index - 1].after if index else OUTSIDE
    if before != OUTSIDE and model.passages[index].after == OUTSIDE:
        yield SKIP_EXIT
