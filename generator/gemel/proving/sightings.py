"""What an exploration has seen: each fault once, with the shortest way to it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from gemel.proving.model import ChannelModel
    from gemel.proving.rule import Place, Rule

__all__ = ["MOST_SIGHTINGS", "Sighting", "Sightings", "StateKey"]

MOST_SIGHTINGS = 5_000
"""Faults that interleavings show of which no more are noted, so that a pair without waits ends in bounded memory."""

StateKey = tuple[int, ...]
"""A state of the exploration: the stretch of every channel, and last the number of the shared state."""

_Identity = tuple[str, frozenset[tuple[str, int]]]


class Sighting(NamedTuple):
    """One fault, seen.

    Attributes:
        rule: its code.
        places: the blocks concerned, the primary one first.
        state: state of the exploration from which it is seen; None for a fault that no interleaving is needed for.
        moves: channels that go on from there to show it, in order, each with the last step that it does.
        cost: number of blocks on the whole way.
        detail: place of a block that the cause names besides.
        words: a word that the cause names besides.
    """

    rule: Rule
    places: tuple[Place, ...]
    state: StateKey | None = None
    moves: tuple[tuple[int, int], ...] = ()
    cost: int = 0
    detail: Place | None = None
    words: str = ""


@dataclass(slots=True)
class Sightings:
    """Faults by what identifies them: code and the set of lines concerned.

    Attributes:
        models: the channels, by which places are known.
        by_identity: the cheapest sighting of each fault.
        by_visit: of the rules about cuts, the first cut of each visit that shows the fault.
        is_full: whether there were more faults than are noted.
    """

    models: list[ChannelModel]
    by_identity: dict[_Identity, Sighting] = field(default_factory=dict)
    by_visit: dict[tuple[str, int, int], Sighting] = field(default_factory=dict)

    is_full: bool = False

    def see(self, sighting: Sighting) -> None:
        """Notes a fault, unless it is known already by a way as short."""
        key = sighting.rule.name, frozenset(self._line(p) for p in sighting.places)
        known = self.by_identity.get(key)
        if known is None and len(self.by_identity) >= MOST_SIGHTINGS and self._may_be_left_out(sighting):
            self.is_full = True
        elif known is None or sighting.cost < known.cost:
            self.by_identity[key] = sighting

    @staticmethod
    def _may_be_left_out(sighting: Sighting) -> bool:
        """Whether it is one of interleavings, of which there are products; who stands for ever is never left out."""
        return sighting.state is not None and sighting.rule.rule != "waits"

    def see_cut(self, sighting: Sighting, visit: int) -> None:
        """Notes a fault of a cut: one per code and visit, at the first cut that shows it."""
        place = sighting.places[0]
        key = sighting.rule.name, place.channel, visit
        known = self.by_visit.get(key)
        if known is None or (place.step, sighting.cost) < (known.places[0].step, known.cost):
            self.by_visit[key] = sighting

    def all(self) -> list[Sighting]:
        """Every fault once."""
        for sighting in self.by_visit.values():
            self.see(sighting)
        self.by_visit.clear()
        return list(self.by_identity.values())

    def _line(self, place: Place) -> tuple[str, int]:
        steps = self.models[place.channel].steps
        if not 0 <= place.step < len(steps):
            return self.models[place.channel].name, 0
        block = steps[place.step].block
        return block.source, block.line
