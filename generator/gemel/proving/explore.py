"""All interleavings that the waits allow, breadth first, each state once.

A state is the node of every channel and the shared state. What lies between two nodes touches nothing that another
channel could notice, so that it adds nothing to the number of states. Where every channel meets at a rendezvous, all
ways to it with the same outcome become one state: the interleavings between two rendezvous are explored once.
"""

from __future__ import annotations

from collections import deque
from typing import TYPE_CHECKING, NamedTuple

from gemel.proving.effects import Effect, effect
from gemel.proving.rule import Place
from gemel.proving.rules import bar, ending, order, waiting, zones
from gemel.proving.shared import START
from gemel.proving.sightings import Sighting, Sightings
from gemel.proving.zones import OUTSIDE

if TYPE_CHECKING:
    from collections.abc import Iterable

    from gemel.proving.facts import Facts
    from gemel.proving.model import ChannelModel, Node
    from gemel.proving.shared import Shared
    from gemel.proving.sightings import StateKey

__all__ = ["MOST_STATES", "Exploration", "Move", "explore"]

MOST_STATES = 400_000
"""States after which the exploration stops and says so."""


_MOVES = frozenset({"act", "repeat"})


class Move(NamedTuple):
    """How a state was first reached.

    Attributes:
        before: the state before; None at the start.
        channel: who moved.
        released: the channels that a rendezvous let go after it, in groups, with the node each of them waited at.
        cost: blocks done since the last rendezvous of all channels.
        is_rendezvous: whether all channels met at its end.
    """

    before: StateKey | None
    channel: int
    released: tuple[tuple[int, int], ...]
    cost: int
    is_rendezvous: bool


class Exploration:
    """The states that are reached, and what was seen in them.

    Attributes:
        models: the channels.
        sightings: the faults.
        moves: how each state was first reached.
        shareds: the shared states, by their number.
        stuck: states in which nobody can move and not all have ended.
        hung: states that show channels which stand for ever.
        complete: whether every state was looked at.
    """

    def __init__(self, models: list[ChannelModel], facts: Facts) -> None:
        self.models = models
        self.facts = facts
        self.nodes: list[list[Node]] = [m.nodes for m in models]
        self.all_repeat = all(m.repeats for m in models)
        self.sightings = Sightings(models)
        self.moves: dict[StateKey, Move] = {}
        self.stuck: list[StateKey] = []
        self.hung: dict[StateKey, None] = {}
        self.complete = True
        self._queue: deque[StateKey] = deque()
        self.shareds: list[Shared] = [START]
        self._numbers: dict[Shared, int] = {START: 0}
        self._effects: list[list[dict[int, tuple[Effect, int]]]] = [[{} for _ in m.nodes] for m in models]
        self._inside = [[n.inside != OUTSIDE for n in m.nodes] for m in models]
        self._reached_end = False
        self._others = [[j for j in range(len(models)) if j != i] for i in range(len(models))]

    def run(self, limit: int = MOST_STATES) -> None:
        """Looks at every state, `limit` of them at most."""
        positions, released = self.settle((0,) * len(self.models))
        self._reach((*positions, 0), Move(None, -1, released, 0, is_rendezvous=True))
        while self._queue:
            if len(self.moves) > limit:
                self.complete = False
                return
            self._visit(self._queue.popleft())
        self._hang()

    def _hang(self) -> None:
        """Notes who stands for ever: where nobody can move, else where some do while others go round.

        If all channels have come to the end of a pass together, the next pass goes as that one did.
        """
        states = self.stuck
        if not states and not self._reached_end:
            places = {s[:-1]: s for s in reversed(self.moves)}
            hopeless = {p: len(waiting.hopeless(self._here(p))) for p in places}
            most = max(hopeless.values())
            states = [places[p] for p, n in hopeless.items() if n == most > 0][:1]
        for state in states:
            for rule, found in waiting.stuck(self._here(state)):
                self.hung[state] = None
                self.sightings.see(Sighting(rule, found, state, (), self.moves[state].cost))

    def _here(self, state: tuple[int, ...]) -> list[Node]:
        """The nodes at which the channels stand."""
        return [nodes[p] for nodes, p in zip(self.nodes, state, strict=False)]

    def note(self, found: Iterable[Sighting]) -> None:
        """Notes faults that no interleaving is needed for."""
        for sighting in found:
            self.sightings.see(sighting)

    def _reach(self, state: StateKey, move: Move) -> None:
        self.moves[state] = move
        self._queue.append(state)
        self._meet(state, move.cost)

    def _visit(self, state: StateKey) -> None:
        """Looks at a state, and at what each channel can do next."""
        here = self._here(state)
        kinds = [n.kind for n in here]
        movable = [c for c, kind in enumerate(kinds) if kind in _MOVES]
        if not movable and "wait" in kinds:
            self.stuck.append(state)
        if len(movable) > 1:
            self._commands(state, here)
        if "end" in kinds or "repeat" in kinds:
            self._ends(state, here)
        for channel in movable:
            self._move(state, here, channel)

    def _move(self, state: StateKey, here: list[Node], channel: int) -> None:
        """Does the next block of a channel."""
        node, number = here[channel], state[-1]
        if node.deeds:
            known = self._effects[channel][state[channel]]
            if number not in known:
                known[number] = self._effect(node, self.shareds[number])
            outcome, number = known[number]
            if outcome.broken or outcome.concerns_others:
                self._judge(state, here, channel, outcome)
        reached = (*state[:channel], node.next, *state[channel + 1 : -1], number)
        released: tuple[tuple[int, int], ...] = ()
        if self.nodes[channel][node.next].kind == "wait":
            positions, released = self.settle(reached[:-1])
            reached = (*positions, number)
        if reached not in self.moves:
            everybody = len({c for c, _ in released}) == len(self.models)
            cost = 0 if everybody else self.moves[state].cost + max(node.step - node.done, 0)
            self._reach(reached, Move(state, channel, released, cost, everybody))

    def _effect(self, node: Node, shared: Shared) -> tuple[Effect, int]:
        """What a block does to a shared state, and the number of the state behind it."""
        outcome = effect(node, shared, self.facts, all_repeat=self.all_repeat)
        number = self._numbers.setdefault(outcome.state, len(self.shareds))
        if number == len(self.shareds):
            self.shareds.append(outcome.state)
        return outcome, number

    def settle(self, positions: tuple[int, ...]) -> tuple[tuple[int, ...], tuple[tuple[int, int], ...]]:
        """Lets go every channel whose named ones all stand at a wait of its number, until nobody is let go any more."""
        released: list[tuple[int, int]] = []
        while True:
            here = self._here(positions)
            free = [c for c, n in enumerate(here) if n.kind == "wait" and waiting.is_met(n, here)]
            if not free or len(released) > sum(len(n) for n in self.nodes):
                return positions, tuple(released)
            released.extend((c, positions[c]) for c in free)
            positions = tuple(here[c].next if c in free else p for c, p in enumerate(positions))

    def _judge(self, state: StateKey, here: list[Node], channel: int, outcome: Effect) -> None:
        """Notes the rules that a block breaks, by itself or because of where the others stand."""
        node = here[channel]
        place = Place(channel, node.step)
        cost = self.moves[state].cost + node.step - node.done
        for rule, visit in outcome.broken:
            sighting = Sighting(rule, (place,), state, (channel,), cost)
            if visit >= 0:
                self.sightings.see_cut(sighting, visit)
            else:
                self.sightings.see(sighting)
        if not outcome.concerns_others:
            return
        others = [(o, here[o].inside, here[o].tool) for o in self._others[channel]]
        everyone = [(channel, node.during, node.tool_during), *others]
        for rule, other in bar.blocked(outcome.opened, fed=outcome.fed, others=everyone):
            entered = max(here[other].inside if other != channel else node.during)
            detail = Place(other, entered)
            self.sightings.see(Sighting(rule, (place,), state, (channel,), cost, detail))
        if outcome.slid:
            for other, inside, _ in others:
                for entered in zones.in_the_way(inside, forward=outcome.forward):
                    places = (place, Place(other, entered))
                    self.sightings.see(Sighting(zones.SLIDE, places, state, (channel,), cost))

    def _meet(self, state: StateKey, cost: int) -> None:
        """Notes the channels that share a zone in a state."""
        occupied = [c for c, inside in enumerate(self._inside) if inside[state[c]]]
        if len(occupied) < 2:
            return
        inside = [(c, self.nodes[c][state[c]]) for c in occupied]
        for i, (one, a) in enumerate(inside):
            for other, b in inside[i + 1 :]:
                if self.facts.may_share(a.tool, b.tool):
                    continue
                for rule, mine, yours in zones.meetings(a.inside, b.inside, forward=self.shareds[state[-1]].forward):
                    places = (Place(one, mine), Place(other, yours))
                    self.sightings.see(Sighting(rule, places, state, (), cost))

    def _commands(self, state: StateKey, here: list[Node]) -> None:
        """Notes the channels that are about to command the same thing."""
        common = seen = 0
        for node in here:
            common |= node.commands & seen
            seen |= node.commands
        if not common:
            return
        commanding = [(c, n) for c, n in enumerate(here) if n.commands]
        for i, (one, a) in enumerate(commanding):
            for other, b in commanding[i + 1 :]:
                if not a.commands & b.commands:
                    continue
                cost = self.moves[state].cost + a.step - a.done + b.step - b.done
                places = (Place(one, a.step), Place(other, b.step))
                for rule in order.both(a.commands, b.commands):
                    self.sightings.see(Sighting(rule, places, state, (one, other), cost))

    def _ends(self, state: StateKey, here: list[Node]) -> None:
        """Notes what a channel, or the whole pair, leaves behind at its end."""
        cost = self.moves[state].cost
        for channel, node in enumerate(here):
            if node.kind in {"end", "repeat"} and node.inside != OUTSIDE:
                place = Place(channel, node.step)
                self.sightings.see(Sighting(ending.INSIDE_AT_END, (place,), state, (), cost))
        if all(n.kind == "end" or (n.kind == "repeat" and n.pass_number > 1) for n in here):
            self._reached_end = True
            places = tuple(Place(c, n.step) for c, n in enumerate(here))
            for rule in ending.check(self.shareds[state[-1]]):
                self.sightings.see(Sighting(rule, places, state, (), cost))


def explore(models: list[ChannelModel], facts: Facts, limit: int = MOST_STATES) -> Exploration:
    """Everything that the interleavings of these channels can show."""
    exploration = Exploration(models, facts)
    exploration.run(limit)
    return exploration
