"""The reduced model: of each channel only the blocks that change or need shared state, the waits, and the ends.

A channel is a list of nodes. Standing at a node, the channel has done every step up to `done`; leaving it does the
steps behind that up to `step`. A channel that repeats goes back from its last node to that of the pass which begins
in the same state.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, NamedTuple

from gemel.findings import Span
from gemel.proving.deeds import Doer, commands, deeds
from gemel.proving.shared import Deed
from gemel.proving.zones import OUTSIDE, Inside, Passage, passage
from gemel.reading.interpret import interpret

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from gemel.proving.facts import Facts
    from gemel.reading.channel import ChannelText
    from gemel.reading.dialect import ToolKind
    from gemel.reading.run import Remark, Run, Step
    from gemel.reading.state import State

__all__ = ["MOST_PASSES", "ChannelModel", "Node", "Pass", "build", "build_one"]

MOST_PASSES = 5
"""Passes of a channel that repeats after which its state is taken as if it did not change any more, which is said."""


class Node(NamedTuple):
    """Where a channel stands, and what it does next.

    Attributes:
        kind: `act`, `wait`, `repeat` (end of a pass), `end`.
        step: index of the step it does next, or waits in, or ended with.
        done: index of the last step it has done.
        next: index of the node behind.
        pass_number: 1 for the first pass.
        inside: zones the channel is inside while it stands here.
        tool: kind of its tool while it stands here.
        during: zones it is inside for the whole of the next block.
        tool_during: kind of its tool during it.
        slides: whether it stands in the midst of a block that moves the slide.
        deeds: what the block does to the shared state, in order.
        commands: things it commands, as bits.
        number: of a wait.
        named: indices of the channels for which a wait holds, its own left out; those that do not exist are -1.
    """

    kind: str
    step: int
    done: int
    next: int
    pass_number: int
    inside: Inside
    tool: ToolKind | None
    during: Inside = OUTSIDE
    tool_during: ToolKind | None = None
    slides: bool = False
    deeds: tuple[Deed, ...] = ()
    commands: int = 0
    number: int = 0
    named: frozenset[int] = frozenset()


class Pass(NamedTuple):
    """One pass of a channel.

    Attributes:
        first: index of its first step in the unrolled run.
        end: index behind its last step.
        ending: how it ends, as `Run.ending`.
        blocks: how many blocks were read, those without effect included, those of a subprogram at every call.
        strange: how many of them hold something that is not understood.
    """

    first: int
    end: int
    ending: str
    blocks: int = 0
    strange: int = 0


@dataclass(slots=True)
class ChannelModel:
    """One channel.

    Attributes:
        name: as the machine file calls it.
        steps: the steps of all passes, one behind the other.
        passages: the zones of each step.
        nodes: the reduced run.
        passes: what the passes are.
        repeats: whether it ends with a repeat.
        bounded: whether passes still differed when no more were looked at.
        tool_changes: steps that call another station while inside a zone.
        remarks: what reading has to say, from all passes.
        file: name of its file.
    """

    name: str
    steps: list[Step] = field(default_factory=list)
    passages: list[Passage] = field(default_factory=list)
    nodes: list[Node] = field(default_factory=list)
    passes: list[Pass] = field(default_factory=list)
    repeats: bool = False
    bounded: bool = False
    tool_changes: list[int] = field(default_factory=list)
    remarks: list[Remark] = field(default_factory=list)
    file: str = ""

    @property
    def file_span(self) -> Span:
        """The file as a whole."""
        return Span(self.file)


def build(texts: Mapping[str, ChannelText], facts: Facts, *, skip: bool = False) -> list[ChannelModel]:
    """The model of every channel, in the order of `texts`, with `/` blocks run or skipped."""
    return [build_one(name, text, facts, list(texts), skip=skip) for name, text in texts.items()]


def build_one(
    name: str, text: ChannelText, facts: Facts, channels: Sequence[str], *, skip: bool = False
) -> ChannelModel:
    """The model of one channel; `channels` are the names of all, in order."""
    return _Builder(name, text, facts, {channel: i for i, channel in enumerate(channels)}).model(skip=skip)


class _Builder:
    """Follows one channel through its passes."""

    def __init__(self, name: str, text: ChannelText, facts: Facts, indices: Mapping[str, int]) -> None:
        self.text = text
        self.facts = facts
        self.indices = indices
        self.home_x = facts.home_x.get(name, 0.0)
        self.made = ChannelModel(name, file=text.files[0].source)
        self.doer = Doer()
        self.inside = OUTSIDE
        self.done = -1
        self.last_cut: Deed | None = None

    def model(self, *, skip: bool) -> ChannelModel:
        """The whole channel."""
        made = self.made
        state: State | None = None
        seen: dict[int, int] = {}
        carried: list[tuple[object, ...]] = []
        for number in range(1, MOST_PASSES + 1):
            run = interpret(self.text, state, skip=skip, pass_number=number)
            start_node = len(made.nodes)
            seen[number] = start_node
            self._pass(run, number)
            made.remarks.extend(run.remarks)
            if run.ending != "repeat" or not run.steps:
                self._end("end", number)
                return made
            made.repeats = True
            state = run.state
            carried.append(self._carried(state))
            same = next((j for j, c in enumerate(carried[:-1], 1) if c == carried[-1]), None)
            if same is not None or number == MOST_PASSES:
                made.bounded = same is None
                self._end("repeat", number, seen[number if same is None else same + 1])
                return made
            self._end("repeat", number, len(made.nodes) + 1)
        return made

    def _carried(self, state: State) -> tuple[object, ...]:
        """What lives on into the next pass: if it is the same at the end of two passes, what follows is too."""
        entered = tuple(self.made.steps[i].block.line if i >= 0 else -1 for i in self.inside)
        return replace(state, said=set()), self.doer.carried, entered

    def _pass(self, run: Run, number: int) -> None:
        first = len(self.made.steps)
        self.done = first - 1
        self.last_cut = None
        self.made.steps.extend(run.steps)
        for index in range(first, len(self.made.steps)):
            self._step(self.made.steps[index], index, number)
        strange = sum(any(r.code == "not-understood" for r in step.remarks) for step in run.steps)
        self.made.passes.append(Pass(first, len(self.made.steps), run.ending, run.blocks, strange))

    def _step(self, step: Step, index: int, number: int) -> None:
        tool, station = self.doer.kind, self.doer.station
        self.doer.take(step)
        if step.tool is not None and self.doer.station != station and self.inside != OUTSIDE:
            self.made.tool_changes.append(index)
        way = passage(step, index, self.inside, self.facts, self.home_x)
        self.made.passages.append(way)
        done = deeds(step, self.doer, way.during, self.facts)
        changes_inside = self.inside != OUTSIDE and tool != self.doer.kind
        if way != (self.inside, self.inside) or changes_inside or self._matters(done):
            here = Node("act", index, self.done, 0, number, self.inside, tool, way.during, self.doer.kind)
            self._act(here, done, way)
        self.inside = way.after
        if step.wait is not None:
            self.last_cut = None
            self._add(Node("wait", index, self.done, 0, number, self.inside, self.doer.kind), step)

    def _matters(self, done: list[Deed]) -> bool:
        """Whether the deeds enter the model: all but a cut that asks exactly what the one before asked."""
        if len(done) == 1 and done[0].kind == "cut" and done[0] == self.last_cut:
            return False
        if done:
            self.last_cut = done[-1]
        return bool(done)

    def _act(self, here: Node, done: list[Deed], way: Passage) -> None:
        """One block; or its beginning and its end, where it is inside a zone only on the way or moves the slide."""
        slides = any(d.kind == "slide" for d in done)
        under_way = way.during, here.tool_during
        is_seen = under_way in {(here.inside, here.tool), (way.after, here.tool_during)} or way.during == OUTSIDE
        own = 1 << self.indices[self.made.name]
        begin = tuple(d._replace(side=own) if d.kind == "slide" else d for d in done)
        self._add(here._replace(deeds=begin, commands=commands(done)))
        if slides or not is_seen:
            end = (Deed("slide-rests", own),) if slides else ()
            tool = here.tool_during
            self._add(here._replace(done=self.done, inside=way.during, tool=tool, slides=slides, deeds=end))

    def _add(self, node: Node, step: Step | None = None) -> None:
        if step is not None and step.wait is not None:
            names = self.indices if step.wait.channels is None else step.wait.channels
            own = self.indices[self.made.name]
            named = frozenset(self.indices.get(n, -1) for n in names) - {own}
            node = node._replace(number=step.wait.number, named=named)
        self.made.nodes.append(node._replace(next=len(self.made.nodes) + 1))
        self.done = node.step

    def _end(self, kind: str, number: int, goes_to: int = 0) -> None:
        last = len(self.made.steps) - 1
        node = Node(kind, last, self.done, goes_to, number, self.inside, self.doer.kind)
        self.made.nodes.append(node)
