"""A plain prover for the rules over interleavings: every block begins and ends, and nothing is reduced.

Nothing is shared with `gemel.proving`. It is slow and short, and gives what docs/proving.md says: findings by code and
lines, each with the number of blocks of its shortest interleaving.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, NamedTuple

from gemel.machines.dialect import dialect_of
from gemel.reading.blocks import read
from gemel.reading.channel import ChannelText
from gemel.reading.interpret import interpret
from support.plain_state import START, Facts, apply, commanded

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from gemel.machines.schema import Machine
    from gemel.reading.run import Step

__all__ = ["PlainProver"]

_MOST_PASSES = 5
SIDES = ("left", "right")

Zones = dict[str, int]
"""The entering step of each zone that a channel is inside."""


class Item(NamedTuple):
    """One block of a channel's run with what the channel brings to it."""

    step: Step
    number: int
    kind_before: str | None
    kind: str | None
    drive: str
    before: Zones
    during: Zones
    after: Zones
    things: frozenset[str]
    slides: bool


class At(NamedTuple):
    """Where a channel is: before a block (`stands`), in it (`does`), behind it at its wait (`waits`)."""

    place: int
    phase: str = "stands"
    forward: bool = False


class Channel:
    """The unrolled run of one channel."""

    def __init__(self, name: str, text: str, machine: Machine, facts: Facts, *, skip: bool) -> None:
        self.name = name
        self.facts = facts
        self.items: list[Item] = []
        self.ends: dict[int, tuple[int, int]] = {}
        self.repeats = False
        source = ChannelText(dialect_of(machine, name), (read(text.encode(), name),))
        self.kind: str | None = None
        self.drive, self.zones, state = "stopped", Zones(), None
        starts: list[int] = []
        carried: list[Any] = []
        for number in range(1, _MOST_PASSES + 1):
            starts.append(len(self.items))
            run = interpret(source, state, skip=skip, pass_number=number)
            for step in run.steps:
                self._add(step, number)
            if run.ending != "repeat":
                self.end = len(self.items)
                return
            self.repeats, state, self.end = True, run.state, -1
            lines = {side: self.items[i].step.block.line for side, i in self.zones.items()}
            carried.append((replace(state, said=set()), self.kind, self.drive, lines))
            if carried[-1] in carried[:-1]:
                self.ends[len(self.items)] = starts[carried.index(carried[-1]) + 1], number
                return
            self.ends[len(self.items)] = len(self.items), number
        raise AssertionError("passes do not settle")

    def _add(self, step: Step, number: int) -> None:
        before, index = self.zones, len(self.items)
        kind_before = self.kind
        if step.tool is not None:
            self.kind = str(step.tool.tool.kind) if step.tool.tool else None
        during, after = dict(before), before
        moves = [m for m in step.motions if m.start[:3] != m.end[:3] or m.sweep_deg]
        for m in moves:
            if m.low_x is not None and m.low_x < self.facts.clearance and m.offset:
                during.setdefault(m.offset, index)
            out = m.end.x_dia is not None and m.end.x_dia >= self.facts.clearance
            after = {} if out or (m.machine and m.end.x_dia == self.facts.home_x[self.name]) else dict(during)
        drive = self.drive
        for f in (*step.functions, *step.late):
            if (f.kind, f.which) == ("spindle", "tool"):
                self.drive = "stopped" if f.state == "stop" else "running"
        things, slides = frozenset(commanded(step)), "slide" in step.axes
        self.items.append(Item(step, number, kind_before, self.kind, drive, before, during, after, things, slides))
        self.zones = after

    def here(self, at: At) -> tuple[str | None, Zones]:
        """Tool kind and zones."""
        if at.phase == "stands":
            if at.place < len(self.items):
                return self.items[at.place].kind_before, self.items[at.place].before
            return self.kind, self.zones
        item = self.items[at.place]
        return item.kind, item.during if at.phase == "does" else item.after


def _frozen(value: Any) -> Any:
    return tuple((k, _frozen(v)) for k, v in value.items()) if isinstance(value, dict) else value


def _thawed(value: Any) -> Any:
    return {k: _thawed(v) for k, v in value} if isinstance(value, tuple) else value


class PlainProver:
    """Everything that the interleavings of some programs show.

    Attributes:
        found: blocks of the shortest interleaving of each finding, by code and the set of channel and line.
    """

    def __init__(self, machine: Machine, texts: Mapping[str, str], *, skip: bool = False) -> None:
        self.facts = Facts(machine)
        self.channels = [Channel(name, text, machine, self.facts, skip=skip) for name, text in texts.items()]
        self.names = list(texts)
        self.all_repeat = all(c.repeats for c in self.channels)
        self.found: dict[tuple[str, frozenset[tuple[str, int]]], int] = {}
        self.cuts: dict[tuple[str, int, int], tuple[int, int]] = {}
        self.meetings: list[Any] = []
        self._search()
        self._see_cuts()

    def _see_cuts(self) -> None:
        for (code, c, _), (step, cost) in self.cuts.items():
            self._see(code, cost, (c, step))

    def _see(self, code: str, cost: int, *blocks: tuple[int, int]) -> None:
        lines = [(self.names[c], self._line(c, i)) for c, i in blocks]
        key = code, frozenset(lines)
        self.found[key] = min(cost, self.found.get(key, cost))

    def _line(self, channel: int, index: int) -> int:
        items = self.channels[channel].items
        return items[index].step.block.line if items else 0

    def _search(self) -> None:
        start = (tuple(At(0) for _ in self.channels), _frozen(START))
        costs, work, stuck = {start: 0}, [start], []
        self.meetings.append(start)
        while work:
            state = work.pop(0)
            cost = costs[state]
            self._look(*state, cost)
            following = list(self._moves(*state, cost))
            if not following and any(a.phase == "waits" for a in state[0]):
                stuck.append(state[0])
            for after, dear in following:
                if dear < costs.get(after, 10**9):
                    if dear == 0 and all(a.phase == "stands" for a in after[0]):
                        self.meetings.append(after)
                    costs[after] = dear
                    work.append(after)
        for places in stuck:
            self._stands_for_ever(places, costs)

    def _moves(self, places: tuple[At, ...], shared: Any, cost: int) -> Iterator[Any]:
        met = [c for c, at in enumerate(places) if at.phase == "waits" and self._is_met(c, places)]
        if met:
            gone = tuple(At(a.place + 1) if c in met else a for c, a in enumerate(places))
            yield (gone, shared), 0 if len(met) == len(places) else cost
            return
        for c, at in enumerate(places):
            channel = self.channels[c]
            if at.phase == "does":
                waits = channel.items[at.place].step.wait is not None
                yield (_put(places, c, At(at.place, "waits") if waits else At(at.place + 1)), shared), cost
            elif at.phase == "stands" and at.place in channel.ends and at.place != channel.ends[at.place][0]:
                yield (_put(places, c, At(channel.ends[at.place][0])), shared), cost
            elif at.phase == "stands" and at.place < len(channel.items):
                yield self._begin(c, places, shared, cost)

    def _is_met(self, c: int, places: tuple[At, ...]) -> bool:
        """Whether all channels that the wait names are at a wait with the same number."""
        wait = self._wait(c, places)
        return all(self._wait(o, places) is not None and self._wait(o, places)[0] == wait[0] for o in wait[1])

    def _wait(self, c: int, places: tuple[At, ...]) -> Any:
        if places[c].phase != "waits":
            return None
        wait: Any = self.channels[c].items[places[c].place].step.wait
        named = self.names if wait.channels is None else wait.channels
        return wait.number, [self.names.index(n) for n in named if n != self.names[c]]

    def _begin(self, c: int, places: tuple[At, ...], shared: Any, cost: int) -> Any:
        """A block begins: it does what it does to the state, and meets what the others are doing."""
        item, s = self.channels[c].items[places[c].place], _thawed(shared)
        others = [self.channels[o].here(at) for o, at in enumerate(places) if o != c]
        who: dict[str, Any] = {
            "kind": item.kind,
            "drive": item.drive,
            "during": item.during,
            "others": others,
            "first": self.all_repeat and item.number == 1,
        }
        index = places[c].place
        for code, side in apply(item.step, who, s, self.facts):
            if code.split("-")[0] in {"1", "9", "11"}:
                visit = item.during.get(side, max(item.during.values()))
                known = self.cuts.get((f"holding:{code}", c, visit), (index, 10**9))
                self.cuts[f"holding:{code}", c, visit] = min(known, (index, cost + 1))
            else:
                self._see(f"holding:{code}", cost + 1, (c, index))
        for o, at in enumerate(places):
            if o != c and at.phase == "does":
                for thing in item.things & self.channels[o].items[at.place].things:
                    self._see(f"order:{thing}", cost + 1, (c, index), (o, at.place))
        return (_put(places, c, At(index, "does", who.get("slid", False))), _frozen(s)), cost + 1

    def _look(self, places: tuple[At, ...], shared: Any, cost: int) -> None:
        """What a state shows: zones, the slide, ends."""
        s = _thawed(shared)
        forward = s["slide"] == "forward" or any(a.forward for a in places)
        here = [c.here(a) for c, a in zip(self.channels, places, strict=True)]
        for a in range(len(here)):
            for b in range(len(here)):
                if a < b and not self._may_share(here[a][0], here[b][0]):
                    self._meet(a, b, here, cost, forward=forward)
                if a != b and places[a].phase == "does" and self.channels[a].items[places[a].place].slides:
                    zones = SIDES if places[a].forward else ("right",)
                    for entered in {here[b][1][z] for z in zones if z in here[b][1]}:
                        self._see("zones:slide", cost, (a, places[a].place), (b, entered))
        self._ends(places, s, here, cost)

    def _may_share(self, one: str | None, other: str | None) -> bool:
        pairs = self.facts.shared
        return one is not None and other is not None and any(p in ({one, other}, {one} & {other}) for p in pairs)

    def _meet(self, a: int, b: int, here: list[tuple[str | None, Zones]], cost: int, *, forward: bool) -> None:
        for left, mine in here[a][1].items():
            for right, yours in here[b][1].items():
                if left == right or forward:
                    code = "right" if left == right == "right" else "left"
                    self._see(f"zones:{code}", cost, (a, mine), (b, yours))

    def _ends(self, places: tuple[At, ...], s: dict[str, Any], here: list[tuple[str | None, Zones]], cost: int) -> None:
        last = []
        for c, (channel, at) in enumerate(zip(self.channels, places, strict=True)):
            ended = at.phase == "stands" and (at.place in channel.ends or at.place == channel.end)
            if ended and here[c][1]:
                self._see("holding:12-inside-at-end", cost, (c, at.place - 1))
            last.append(ended and (at.place not in channel.ends or channel.ends[at.place][1] > 1))
        if all(last):
            blocks = [(c, at.place - 1) for c, at in enumerate(places)]
            if "turning" in s["spindle"].values():
                self._see("holding:12-turning", cost, *blocks)
            if s["held"] == "piece":
                self._see("holding:12-piece", cost, *blocks)

    def _stands_for_ever(self, places: tuple[At, ...], costs: dict[Any, int]) -> None:
        for code, stands, those in self._waiting(places):
            self._see(code, self._least(those, places, costs), *stands)

    def _waiting(self, places: tuple[At, ...]) -> Iterator[tuple[str, list[tuple[int, int]], set[int]]]:
        """Each fault of channels that wait: its code, its blocks, and the channels that must stand as they do."""
        waits = {c: self._wait(c, places) for c, at in enumerate(places) if at.phase == "waits"}
        ended = {c for c, at in enumerate(places) if at.phase == "stands" and at.place == self.channels[c].end}
        lost = {c for c, w in waits.items() if ended & set(w[1])}
        for c in lost:
            yield "waits:ended", [(c, places[c].place)], {c, *ended & set(waits[c][1])}
        ring = set(waits) - lost
        while loose := {c for c in ring if not any(o in ring and waits[o][0] != waits[c][0] for o in waits[c][1])}:
            ring -= loose
        if ring:
            yield "waits:deadlock", [(c, places[c].place) for c in ring], ring

    def _least(self, those: set[int], places: tuple[At, ...], costs: dict[Any, int]) -> int:
        """The blocks of the shortest way by which these channels come to stand so."""
        return min(cost for (where, _), cost in costs.items() if all(where[c] == places[c] for c in those))

    def shows(self, trace: Iterable[tuple[str, int]], code: str, lines: frozenset[tuple[str, int]]) -> bool:
        """Whether these blocks, done in this order from some rendezvous of all channels on, show the finding."""
        kept = self.found, self.cuts
        try:
            for start in self.meetings:
                self.found, self.cuts = {}, {}
                if self._follow(start, trace) and (code, lines) in self.found:
                    return True
            return False
        finally:
            self.found, self.cuts = kept

    def _follow(self, start: Any, trace: Iterable[tuple[str, int]]) -> bool:
        """Does the blocks one after the other; False where one of them cannot be the next of its channel."""
        places, shared = start
        self._look(places, shared, 0)
        for name, line in trace:
            c = self.names.index(name)
            places = self._ready(places, c)
            at = places[c]
            items = self.channels[c].items
            if at.phase != "stands" or at.place >= len(items) or items[at.place].step.block.line != line:
                return False
            (places, shared), _ = self._begin(c, places, shared, 0)
            self._look(places, shared, 0)
        for c in range(len(places)):
            places = self._ended(places, c)
        self._look(places, shared, 0)
        for code, stands, _ in self._waiting(places):
            self._see(code, 0, *stands)
        self._see_cuts()
        return True

    def _ended(self, places: tuple[At, ...], c: int) -> tuple[At, ...]:
        """The channel has ended the block that it does, and may stand at its wait."""
        at = places[c]
        if at.phase != "does":
            return places
        waits = self.channels[c].items[at.place].step.wait is not None
        return _put(places, c, At(at.place, "waits") if waits else At(at.place + 1))

    def _ready(self, places: tuple[At, ...], c: int) -> tuple[At, ...]:
        """The channel stands before its next block, if the others allow it."""
        places = self._ended(places, c)
        if places[c].phase == "waits":
            for o in range(len(places)):
                if self.channels[o].items[min(places[o].place, len(self.channels[o].items) - 1)].step.wait is not None:
                    places = self._ended(places, o)
            met = [o for o, at in enumerate(places) if at.phase == "waits" and self._is_met(o, places)]
            places = tuple(At(a.place + 1) if o in met else a for o, a in enumerate(places))
        at = places[c]
        if at.phase == "stands" and at.place in self.channels[c].ends:
            return _put(places, c, At(self.channels[c].ends[at.place][0]))
        return places


def _put(places: tuple[At, ...], c: int, at: At) -> tuple[At, ...]:
    return (*places[:c], at, *places[c + 1 :])
