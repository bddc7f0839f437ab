"""What can be seen in one state of an exploration: by which rules, at which blocks, by how long a way."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from gemel.proving.effects import effect
from gemel.proving.rule import Place
from gemel.proving.rules import bar, ending, order, waiting, zones
from gemel.proving.sightings import Sighting
from gemel.proving.zones import OUTSIDE

if TYPE_CHECKING:
    from gemel.proving.effects import Effect
    from gemel.proving.explore import Move
    from gemel.proving.facts import Facts
    from gemel.proving.model import Node
    from gemel.proving.rule import Rule
    from gemel.proving.shared import Shared
    from gemel.proving.sightings import Sightings, StateKey
    from gemel.proving.stretches import Stand, Stretch

__all__ = ["Look", "Searched"]

_Asked = tuple[tuple["Node", "Rule", int], ...]
"""Blocks that ask something of the shared state in vain: the block, the rule, the visit."""


class Searched(NamedTuple):
    """What a search is about, and how far it has come; the lists and the dictionary grow with it.

    Attributes:
        facts: of the machine.
        sightings: where faults are noted.
        stretches: those of each channel.
        shareds: the shared states, by their number.
        moves: how each state was reached.
        all_repeat: whether all channels repeat.
    """

    facts: Facts
    sightings: Sightings
    stretches: list[list[Stretch]]
    shareds: list[Shared]
    moves: dict[StateKey, Move]
    all_repeat: bool


class Look:
    """Sees the faults that states and blocks show, and notes them.

    Attributes:
        reached_end: whether all channels have come to their ends together.
    """

    def __init__(self, of: Searched) -> None:
        self.reached_end = False
        self._of = of
        self._facts = of.facts
        self._sightings = of.sightings
        self._asked: list[list[dict[int, _Asked]]] = [[{} for _ in table] for table in of.stretches]

    def at(self, state: StateKey, here: list[Stretch], cost: int) -> None:
        """Notes what a state shows: blocks that ask in vain, tools that meet, commands that no wait orders, ends."""
        inside = common = seen = ends = sliding = 0
        for channel, stretch in enumerate(here):
            if stretch.asking:
                self._ask(state, stretch, channel, cost)
            if stretch.is_inside:
                inside += 1
            if stretch.slides:
                sliding += 1
            if stretch.commands:
                common |= stretch.commands & seen
                seen |= stretch.commands
            if stretch.node.kind in {"end", "repeat"}:
                ends += 1
        if inside > 1:
            self._meet(state, here, cost)
        if sliding and inside:
            self._slide(state, here, cost)
        if common:
            self._commands(state, here, cost)
        if ends:
            self._ends(state, here, cost, everybody=ends == len(here))

    def _ask(self, state: StateKey, stretch: Stretch, channel: int, cost: int) -> None:
        """Notes the rules that blocks break by what they ask of the shared state."""
        number = state[-1]
        known = self._asked[channel][state[channel]]
        if number not in known:
            known[number] = tuple(
                (node, rule, visit)
                for node in stretch.asking
                for rule, visit in effect(
                    node, self._of.shareds[number], self._facts, all_repeat=self._of.all_repeat
                ).broken
            )
        for node, rule, visit in known[number]:
            dear = cost + node.step - stretch.done
            sighting = Sighting(rule, (Place(channel, node.step),), state, ((channel, node.step),), dear)
            self._note(sighting, visit)

    def _note(self, sighting: Sighting, visit: int) -> None:
        if visit >= 0:
            self._sightings.see_cut(sighting, visit)
        else:
            self._sightings.see(sighting)

    def _meet(self, state: StateKey, here: list[Stretch], cost: int) -> None:
        """Notes the channels that share a zone."""
        forward = self._of.shareds[state[-1]].is_forward
        those = [(c, s) for c, s in enumerate(here) if s.is_inside]
        for i, (one, mine) in enumerate(those):
            for other, yours in those[i + 1 :]:
                for a in mine.stands:
                    if self._sightings.is_full:
                        return
                    for b in yours.stands:
                        dear = cost + a.done - mine.done + b.done - yours.done
                        self._share(state, ((one, a), (other, b)), dear, forward=forward)

    def _share(
        self, state: StateKey, stands: tuple[tuple[int, Stand], tuple[int, Stand]], cost: int, *, forward: bool
    ) -> None:
        (one, a), (other, b) = stands
        if self._facts.may_share(a.tool, b.tool):
            return
        way = ((one, a.done), (other, b.done))
        for rule, mine, yours, words in zones.meetings(a.inside, b.inside, forward=forward):
            self._sightings.see(Sighting(rule, (Place(one, mine), Place(other, yours)), state, way, cost, words=words))

    def _slide(self, state: StateKey, here: list[Stretch], cost: int) -> None:
        """Notes the channels that come into the way of a slide while the block that moves it is under way."""
        sliding = self._of.shareds[state[-1]].sliding
        for channel, stretch in enumerate(here):
            if not stretch.slides:
                continue
            forward = bool(sliding >> channel & 1)
            for other, theirs in enumerate(here):
                if other == channel:
                    continue
                for stand in theirs.stands:
                    for entered in zones.in_the_way(stand.inside, forward=forward):
                        places = (Place(channel, stretch.done), Place(other, entered))
                        dear = cost + stand.done - theirs.done
                        self._sightings.see(Sighting(zones.SLIDE, places, state, ((other, stand.done),), dear))

    def _commands(self, state: StateKey, here: list[Stretch], cost: int) -> None:
        """Notes the channels that may command the same thing next."""
        those = [(c, s, node) for c, s in enumerate(here) for node in s.commanding]
        for i, (one, mine, a) in enumerate(those):
            if self._sightings.is_full:
                return
            for other, yours, b in those[i + 1 :]:
                if one == other or not a.commands & b.commands:
                    continue
                dear = cost + a.step - mine.done + b.step - yours.done
                places = (Place(one, a.step), Place(other, b.step))
                for rule in order.both(a.commands, b.commands):
                    self._sightings.see(Sighting(rule, places, state, ((one, a.step), (other, b.step)), dear))

    def _ends(self, state: StateKey, here: list[Stretch], cost: int, *, everybody: bool) -> None:
        """Notes what a channel, or the whole pair, leaves behind at its end."""
        for channel, stretch in enumerate(here):
            node = stretch.node
            if node.kind in {"end", "repeat"} and node.inside != OUTSIDE:
                way = ((channel, node.step),)
                dear = cost + node.step - stretch.done
                self._sightings.see(Sighting(ending.INSIDE_AT_END, (Place(channel, node.step),), state, way, dear))
        if everybody and all(s.node.kind == "end" or s.node.pass_number > 1 for s in here):
            self.reached_end = True
            steps = tuple((c, s.node.step) for c, s in enumerate(here))
            places = tuple(Place(c, step) for c, step in steps)
            dear = cost + sum(s.node.step - s.done for s in here)
            for rule in ending.check(self._of.shareds[state[-1]]):
                self._sightings.see(Sighting(rule, places, state, steps, dear))

    def block(self, state: StateKey, here: list[Stretch], channel: int, outcome: Effect) -> None:
        """Notes the rules that a block breaks, by itself or because of where the others may stand."""
        stretch = here[channel]
        node = stretch.node
        place = Place(channel, node.step)
        way = (channel, node.step)
        cost = self._of.moves[state].cost + node.step - stretch.done
        for rule, visit in outcome.broken:
            self._note(Sighting(rule, (place,), state, (way,), cost), visit)
        if not outcome.concerns_others:
            return
        for rule, _ in bar.blocked(outcome.opened, fed=outcome.fed, others=[(channel, node.during, node.tool_during)]):
            detail = Place(channel, max(node.during))
            self._sightings.see(Sighting(rule, (place,), state, (way,), cost, detail))
        for other, theirs in enumerate(here):
            if other == channel or not theirs.is_inside:
                continue
            for stand in theirs.stands:
                whole = ((other, stand.done), way)
                self._disturbed(
                    Sighting(zones.SLIDE, (place,), state, whole, cost + stand.done - theirs.done), stand, outcome
                )

    def _disturbed(self, sighting: Sighting, stand: Stand, outcome: Effect) -> None:
        """Notes what a block does to a channel that stands so."""
        other = sighting.moves[0][0]
        for rule, _ in bar.blocked(outcome.opened, fed=outcome.fed, others=[(other, stand.inside, stand.tool)]):
            self._sightings.see(sighting._replace(rule=rule, detail=Place(other, max(stand.inside))))
        if outcome.slid:
            for entered in zones.in_the_way(stand.inside, forward=outcome.forward):
                self._sightings.see(sighting._replace(places=(sighting.places[0], Place(other, entered))))

    def stuck(self, state: StateKey, here: list[Stretch]) -> None:
        """Notes the channels that stand for ever, by the shortest way that brings them to stand so."""
        nodes = [s.node for s in here]
        for rule, places in waiting.stuck(nodes):
            those = {p.channel for p in places}
            if rule is waiting.ENDED:
                those |= {c for p in places for c in nodes[p.channel].named if c >= 0 and nodes[c].kind == "end"}
            moves = self._of.moves
            first = min((s for s in moves if all(s[c] == state[c] for c in those)), key=lambda s: moves[s].cost)
            way = tuple((c, nodes[c].step) for c in sorted(those))
            cost = moves[first].cost + sum(here[c].node.step - here[c].done for c in those)
            self._sightings.see(Sighting(rule, places, first, way, cost))
