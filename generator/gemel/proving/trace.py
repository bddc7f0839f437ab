"""The interleaving that shows a fault: which channel does which block, from the last rendezvous of all channels on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.proving.rules import waiting

if TYPE_CHECKING:
    from gemel.proving.explore import Exploration
    from gemel.proving.sightings import Sighting, StateKey
    from gemel.proving.stretches import Stretch

__all__ = ["Trace", "trace_of"]

Trace = tuple[tuple[str, int], ...]
"""Channel and line of every block that is done, in order."""


def trace_of(sighting: Sighting, exploration: Exploration) -> Trace:
    """The blocks from the last rendezvous of all channels (or the start) to the fault, none left out.

    A fault for which no interleaving is needed has none.
    """
    if sighting.state is None:
        return ()
    done: list[tuple[int, int]] = []
    for state, channel in _way(sighting.state, exploration):
        here = exploration.here(state)
        for mover in waiting.met(here) if channel < 0 else [channel]:
            done.extend(_blocks(mover, here[mover], here[mover].node.step))
    here = exploration.here(sighting.state)
    for channel, last in sighting.moves:
        done.extend(_blocks(channel, here[channel], last))
    return tuple((exploration.models[c].name, exploration.models[c].steps[s].block.line) for c, s in done)


def _way(state: StateKey, exploration: Exploration) -> list[tuple[StateKey, int]]:
    """The moves to a state since the last rendezvous of all channels: each state and who moved in it."""
    way: list[tuple[StateKey, int]] = []
    move = exploration.moves[state]
    while not move.is_rendezvous and move.before is not None:
        way.append((move.before, move.channel))
        move = exploration.moves[move.before]
    way.reverse()
    return way


def _blocks(channel: int, stretch: Stretch, last: int) -> list[tuple[int, int]]:
    """The steps of a stretch up to the last one."""
    return [(channel, step) for step in range(stretch.done + 1, last + 1)]
