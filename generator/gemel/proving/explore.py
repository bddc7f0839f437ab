"""All interleavings that the waits allow, breadth first, each state once.

A state is the stretch of every channel and the shared state. What lies on a stretch changes nothing that another
channel could notice, so that it adds nothing to the number of states. Where every channel meets at a rendezvous, all
ways to it with the same outcome become one state: the interleavings between two rendezvous are explored once.

The way to a state costs the blocks done since the last rendezvous of all channels. It is the same for every way, except
where channels go round without meeting; there a cheaper way that turns up later takes the place of the first.
"""

from __future__ import annotations

from collections import deque
from typing import TYPE_CHECKING, NamedTuple

from gemel.proving.effects import Effect, effect
from gemel.proving.look import Look, Searched
from gemel.proving.rules import waiting
from gemel.proving.shared import START
from gemel.proving.sightings import Sighting, Sightings
from gemel.proving.stretches import Stretch, stretches

if TYPE_CHECKING:
    from collections.abc import Iterable

    from gemel.proving.facts import Facts
    from gemel.proving.model import ChannelModel
    from gemel.proving.shared import Shared
    from gemel.proving.sightings import StateKey

__all__ = ["MOST_STATES", "Exploration", "Move", "explore"]

MOST_STATES = 400_000
"""States after which the exploration stops and says so."""

_MOVES = frozenset({"act", "repeat"})
_RELEASE = -1


class Move(NamedTuple):
    """The cheapest way known to a state.

    Attributes:
        before: the state before; None at the start.
        channel: who moved; -1 where waits let channels go.
        cost: blocks done since the last rendezvous of all channels.
        is_rendezvous: whether all channels met at its end.
    """

    before: StateKey | None
    channel: int
    cost: int
    is_rendezvous: bool = False


class Exploration:
    """The states that are reached, and what was seen in them.

    Attributes:
        models: the channels.
        stretches: those of each channel.
        sightings: the faults.
        moves: how each state was reached.
        shareds: the shared states, by their number.
        effects: for each stretch of a channel, what its last block does to each shared state, by number.
        stuck: states in which nobody can move and not all have ended.
        hung: states that show channels which stand for ever.
        complete: whether every state was looked at.
    """

    def __init__(self, models: list[ChannelModel], facts: Facts) -> None:
        self.models = models
        self.facts = facts
        self.stretches: list[list[Stretch]] = [stretches(m.nodes) for m in models]
        self.all_repeat = all(m.repeats for m in models)
        self.sightings = Sightings(models)
        self.moves: dict[StateKey, Move] = {}
        self.stuck: list[StateKey] = []
        self.hung: dict[StateKey, None] = {}
        self.complete = True
        self.shareds: list[Shared] = [START]
        self._numbers: dict[Shared, int] = {START: 0}
        self._queue: deque[StateKey] = deque()
        # Blocks that do the same are asked once, wherever and however often they stand.
        alike: dict[object, dict[int, tuple[Effect, int]]] = {}
        self.effects = [
            [alike.setdefault((s.node.deeds, s.node.pass_number == 1), {}) for s in table] for table in self.stretches
        ]
        # It is not given the whole of this, which would make a ring of the two.
        self._look = Look(Searched(facts, self.sightings, self.stretches, self.shareds, self.moves, self.all_repeat))

    def run(self, limit: int = MOST_STATES) -> None:
        """Looks at every state, `limit` of them at most."""
        self._reach((*(0 for _ in self.models), 0), Move(None, _RELEASE, 0, is_rendezvous=True))
        while self._queue:
            if len(self.moves) > limit:
                self.complete = False
                break
            self._visit(self._queue.popleft())
        if self.complete:
            self._hang()

    def note(self, found: Iterable[Sighting]) -> None:
        """Notes faults that no interleaving is needed for."""
        for sighting in found:
            self.sightings.see(sighting)

    def here(self, state: tuple[int, ...]) -> list[Stretch]:
        """The stretches on which the channels are."""
        return [table[place] for table, place in zip(self.stretches, state, strict=False)]

    def _reach(self, state: StateKey, move: Move) -> None:
        known = self.moves.get(state)
        if known is None or move.cost < known.cost:
            self.moves[state] = move
            self._queue.append(state)

    def _visit(self, state: StateKey) -> None:
        """Looks at a state, and at what each channel can do next."""
        here = self.here(state)
        cost = self.moves[state].cost
        self._look.at(state, here, cost)
        kinds = [s.node.kind for s in here]
        if "wait" in kinds:
            met = waiting.met(here)
            if met:
                self._release(state, here, met, cost)
            elif not any(kind in _MOVES for kind in kinds):
                self.stuck.append(state)
        for channel, kind in enumerate(kinds):
            if kind in _MOVES:
                self._move(state, here, channel, cost)

    def _move(self, state: StateKey, here: list[Stretch], channel: int, cost: int) -> None:
        """Does the next block of a channel that changes the shared state, and those before it."""
        stretch, number = here[channel], state[-1]
        if stretch.node.deeds:
            known = self.effects[channel][state[channel]]
            if number not in known:
                known[number] = self._effect(stretch, self.shareds[number])
            outcome, number = known[number]
            if outcome.broken or outcome.concerns_others:
                self._look.block(state, here, channel, outcome)
        reached = (*state[:channel], stretch.next, *state[channel + 1 : -1], number)
        self._reach(reached, Move(state, channel, cost + stretch.node.step - stretch.done))

    def _effect(self, stretch: Stretch, shared: Shared) -> tuple[Effect, int]:
        """What a block does to a shared state, and the number of the state behind it."""
        outcome = effect(stretch.node, shared, self.facts, all_repeat=self.all_repeat)
        number = self._numbers.setdefault(outcome.state, len(self.shareds))
        if number == len(self.shareds):
            self.shareds.append(outcome.state)
        return outcome, number

    def _release(self, state: StateKey, here: list[Stretch], met: list[int], cost: int) -> None:
        """Lets go the channels whose waits are met."""
        reached = (*(here[c].next if c in met else p for c, p in enumerate(state[:-1])), state[-1])
        if len(met) == len(here):
            self._reach(reached, Move(state, _RELEASE, 0, is_rendezvous=True))
        else:
            done = sum(here[c].node.step - here[c].done for c in met)
            self._reach(reached, Move(state, _RELEASE, cost + done))

    def _hang(self) -> None:
        """Notes who stands for ever: where nobody can move, else where some do while others go round.

        If all channels have come to the end of a pass together, the next pass goes as that one did.
        """
        states = self.stuck
        if not states and not self._look.reached_end:
            places = {s[:-1]: s for s in reversed(self.moves)}
            hopeless = {p: len(waiting.hopeless([s.node for s in self.here(p)])) for p in places}
            most = max(hopeless.values())
            states = [places[p] for p, n in hopeless.items() if n == most > 0][:1]
        for state in dict.fromkeys(states):
            self.hung[state] = None
            self._look.stuck(state, self.here(state))


def explore(models: list[ChannelModel], facts: Facts, limit: int = MOST_STATES) -> Exploration:
    """Everything that the interleavings of these channels can show."""
    exploration = Exploration(models, facts)
    exploration.run(limit)
    return exploration
