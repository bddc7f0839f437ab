"""The interleaving that shows a fault: which channel does which block, from the last rendezvous of all channels on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.proving.rules import waiting

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.proving.explore import Exploration
    from gemel.proving.sightings import Sighting, StateKey
    from gemel.proving.stretches import Stretch

__all__ = ["Trace", "Tracer"]

Trace = tuple[tuple[str, int], ...]
"""Channel and line of every block that is done, in order."""


MOST_TRACED = 500_000
"""Blocks in all traces together, behind which no more are made: who has so many faults needs none of them."""


class Tracer:
    """Makes traces; the pieces that many of them have in common are made once.

    Attributes:
        left_out: how many traces were not made.
    """

    def __init__(self, exploration: Exploration) -> None:
        self.left_out = 0
        self._room = MOST_TRACED
        self._of = exploration
        self._blocks: list[dict[int, tuple[str, int]]] = [{} for _ in exploration.models]

    def trace_of(self, sighting: Sighting) -> Trace:
        """The blocks from the last rendezvous of all channels (or the start) to the fault, none left out.

        A fault for which no interleaving is needed has none.
        """
        if sighting.state is None:
            return ()
        if self._room < 0:
            self.left_out += 1
            return ()
        done: list[tuple[str, int]] = []
        for state, channel in _way(sighting.state, self._of):
            here = self._of.here(state)
            for mover in waiting.met(here) if channel < 0 else [channel]:
                done.extend(self._on(mover, here[mover], here[mover].node.step))
        here = self._of.here(sighting.state)
        for channel, last in sighting.moves:
            done.extend(self._on(channel, here[channel], last))
        self._room -= len(done)
        return tuple(done)

    def _on(self, channel: int, stretch: Stretch, last: int) -> Iterator[tuple[str, int]]:
        """The blocks of a stretch up to the last one."""
        known, model = self._blocks[channel], self._of.models[channel]
        for step in range(stretch.done + 1, last + 1):
            if step not in known:
                known[step] = model.name, model.steps[step].block.line
            yield known[step]


def _way(state: StateKey, exploration: Exploration) -> list[tuple[StateKey, int]]:
    """The moves to a state since the last rendezvous of all channels: each state and who moved in it."""
    way: list[tuple[StateKey, int]] = []
    move = exploration.moves[state]
    while not move.is_rendezvous and move.before is not None:
        way.append((move.before, move.channel))
        move = exploration.moves[move.before]
    way.reverse()
    return way
