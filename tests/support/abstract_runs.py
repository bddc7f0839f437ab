"""Reduced runs without a text: acts that all command one thing, and waits; to look at nothing but interleavings."""

from __future__ import annotations

from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

from gemel.proving.explore import explore
from gemel.proving.facts import facts_of
from gemel.proving.model import ChannelModel, Node
from support.proofs import demo_machine

if TYPE_CHECKING:
    from gemel.proving.explore import Exploration

__all__ = ["ACT", "Event", "Run", "concurrent_acts", "explored_runs", "hangs"]

Event = tuple[int, frozenset[int]]
"""A wait: its number and the channels that it names; or ACT."""

Run = list[Event]

ACT: Event = (0, frozenset())
_ONE_THING = 1


def _model(channel: int, run: Run) -> ChannelModel:
    model = ChannelModel(f"c{channel}", file=f"c{channel}.nc")
    for index, (number, named) in enumerate(run):
        block: Any = SimpleNamespace(source=model.file, line=index + 1, text="")
        step: Any = SimpleNamespace(block=block)
        model.steps.append(step)
        node = Node("act", index, index - 1, index + 1, 1, (-1, -1), None, commands=_ONE_THING)
        if number:
            others = frozenset(named - {channel})
            node = Node("wait", index, index - 1, index + 1, 1, (-1, -1), None, number=number, named=others)
        model.nodes.append(node)
    last = len(run) - 1
    model.nodes.append(Node("end", last, last, 0, 1, (-1, -1), None))
    return model


def explored_runs(runs: list[Run]) -> Exploration:
    """All interleavings of these runs."""
    return explore([_model(c, run) for c, run in enumerate(runs)], facts_of(demo_machine()))


def hangs(exploration: Exploration) -> bool:
    """Whether somebody stands for ever."""
    return bool(exploration.hung)


def concurrent_acts(exploration: Exploration) -> set[frozenset[tuple[int, int]]]:
    """Pairs of acts, by channel and place in its run, that some interleaving has next to each other."""
    return {
        frozenset((p.channel, p.step) for p in s.places) for s in exploration.sightings.all() if s.rule.rule == "order"
    }
