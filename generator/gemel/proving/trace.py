"""The interleaving that shows a fault: which channel does which block, from the last rendezvous of all channels on."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from gemel.proving.explore import Exploration
    from gemel.proving.sightings import Sighting, StateKey

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
        done.extend(_blocks(exploration, channel, state[channel]))
        done.extend(
            block
            for waiting, position in _released_after(state, channel, exploration)
            for block in _blocks(exploration, waiting, position)
        )
    for channel in sighting.moves:
        done.extend(_blocks(exploration, channel, sighting.state[channel]))
    if not sighting.moves:
        done.extend(_standing(sighting, exploration))
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


def _released_after(state: StateKey, channel: int, exploration: Exploration) -> tuple[tuple[int, int], ...]:
    """Channels and nodes of the waits that the move of a channel lets go."""
    node = exploration.nodes[channel][state[channel]]
    if exploration.nodes[channel][node.next].kind != "wait":
        return ()
    positions = (*state[:channel], node.next, *state[channel + 1 : -1])
    return exploration.settle(positions)[1]


def _blocks(exploration: Exploration, channel: int, position: int) -> list[tuple[int, int]]:
    """The steps that a channel does by leaving a node."""
    node = exploration.nodes[channel][position]
    return [(channel, step) for step in range(node.done + 1, node.step + 1)]


def _standing(sighting: Sighting, exploration: Exploration) -> list[tuple[int, int]]:
    """For a fault of channels that stand at a wait: the steps up to it."""
    assert sighting.state is not None
    steps = {(p.channel, p.step) for p in sighting.places}
    found: list[tuple[int, int]] = []
    for channel, position in enumerate(sighting.state[:-1]):
        node = exploration.nodes[channel][position]
        if node.kind in {"wait", "end", "repeat"} and (channel, node.step) in steps:
            found.extend(_blocks(exploration, channel, position))
    return found
