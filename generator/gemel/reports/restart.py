"""Where a pair can be taken up again: the state of the machine behind every wait mark, from the proved run.

Behind a mark nobody is inside a stage: that is where a restart after a broken tool begins. What the machine must be in
is read off the states in which the proof has seen the channels go on, not off the intentions of a family.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from gemel.proving.explore import explore
from gemel.proving.rules import waiting
from gemel.proving.zones import OUTSIDE

if TYPE_CHECKING:
    from gemel.proving.explore import Exploration
    from gemel.proving.model import ChannelModel, Node
    from gemel.proving.shared import Shared
    from gemel.reading.run import Position
    from gemel.reports.reread import Reread

__all__ = ["MarkState", "Standing", "mark_states"]


@dataclass(frozen=True, slots=True)
class Standing:
    """One channel at a wait mark.

    Attributes:
        channel: its name.
        sequence: sequence number of the block with the mark, None without one.
        line: its line, 1-based.
        text: the block.
        at: where the channel stands there, as far as the text tells.
        station: of its tool, None without.
        is_clear: whether it is outside every zone.
    """

    channel: str
    sequence: int | None
    line: int
    text: str
    at: Position | None
    station: int | None
    is_clear: bool


@dataclass(frozen=True, slots=True)
class MarkState:
    """The machine as it is when a wait mark lets the channels go on.

    Attributes:
        number: of the mark.
        standings: the channels that met there.
        states: every shared state seen there; of a pair that repeats, those behind its first pass.
        first: of a pair that repeats, the states of its first pass, else empty.
    """

    number: int
    standings: tuple[Standing, ...]
    states: tuple[Shared, ...]
    first: tuple[Shared, ...] = ()


def mark_states(pair: Reread) -> tuple[MarkState, ...]:
    """The state behind every wait mark of the programs, in the order in which the pair comes to them."""
    return _marks(explore(pair.models, pair.facts))


def _marks(exploration: Exploration) -> tuple[MarkState, ...]:
    passes: dict[int, dict[int, dict[Shared, None]]] = {}
    places: dict[int, dict[int, Node]] = {}
    for state in exploration.moves:
        here = exploration.here(state)
        if not any(stretch.node.kind == "wait" for stretch in here):
            continue
        for channel in waiting.met(here):
            node = here[channel].node
            places.setdefault(node.number, {}).setdefault(channel, node)
            seen = passes.setdefault(node.number, {}).setdefault(node.pass_number, {})
            seen[exploration.shareds[state[-1]]] = None
    found = []
    for number, by_pass in passes.items():
        later = {shared: None for p, seen in by_pass.items() if p > 1 for shared in seen}
        first = by_pass.get(1, {})
        repeats = exploration.all_repeat and bool(later)
        standings = tuple(
            _standing(exploration.models[c], node) for c, node in sorted(places[number].items(), key=lambda p: p[0])
        )
        states = tuple(later if repeats else first)
        found.append(MarkState(number, standings, states, tuple(first) if repeats else ()))
    return tuple(found)


def _standing(model: ChannelModel, node: Node) -> Standing:
    block = model.steps[node.step].block
    number = block.parts.number
    at, station = None, None
    for step in model.steps[: node.step + 1]:
        if step.motions:
            at = step.motions[-1].end
        if step.tool is not None:
            station = step.tool.station
    return Standing(
        model.name,
        None if number is None or number.value is None else round(number.value),
        block.line,
        block.text.strip(),
        at,
        station,
        node.inside == OUTSIDE,
    )
