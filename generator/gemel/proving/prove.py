"""Proves a pair: reads the texts, builds the reduced model, explores it, and words what was found."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from gemel.cutting.follow import follow
from gemel.machines.dialect import dialect_of
from gemel.proving.explore import MOST_STATES, explore
from gemel.proving.facts import facts_of
from gemel.proving.faults import faults_of
from gemel.proving.model import build
from gemel.proving.quiet import without_garbage_search
from gemel.proving.rules import limits, limits_cutting, skips, wait_numbers, words
from gemel.proving.verdict import Verdict, sorted_faults
from gemel.reading.blocks import read
from gemel.reading.channel import ChannelText

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from gemel.cutting.facts import CuttingFacts
    from gemel.machines.schema import Machine
    from gemel.proving.explore import Exploration
    from gemel.proving.facts import Facts
    from gemel.proving.model import ChannelModel
    from gemel.proving.stretches import Stretch
    from gemel.proving.verdict import Fault

__all__ = ["File", "prove"]

File = tuple[str, bytes]
"""A program: its name as the user would give it, and its bytes."""


def prove(
    programs: Mapping[str, File], machine: Machine, further: Sequence[File] = (), cutting: CuttingFacts | None = None
) -> Verdict:
    """What is wrong with a pair, from the texts and the machine file alone.

    Args:
        programs: the file of each channel, by the channel's name.
        machine: the machine it is to run on.
        further: more files with subprograms, which every channel may call.
        cutting: material and tools, where they are known; without them the verdict says what was not checked.
    """
    with without_garbage_search():
        return _proved(programs, machine, further, cutting)


def _proved(
    programs: Mapping[str, File], machine: Machine, further: Sequence[File], cutting: CuttingFacts | None
) -> Verdict:
    facts = facts_of(machine)
    more = tuple(read(data, name) for name, data in further)
    texts = {
        channel: ChannelText(dialect_of(machine, channel), (read(data, name), *more))
        for channel, (name, data) in programs.items()
    }
    proof = _Proof(machine, facts, texts, cutting)
    faults = proof.run(skip=False)
    plain = proof.summary
    if any(text.has_skips for text in texts.values()):
        known = {f.identity for f in faults}
        faults += [f for f in proof.run(skip=True) if f.identity not in known]
    checked = plain.checked if plain.checked != "all" else proof.summary.checked
    return replace(plain, findings=sorted_faults(faults), checked=checked)


class _Proof:
    """One proof, run once or twice."""

    def __init__(
        self, machine: Machine, facts: Facts, texts: Mapping[str, ChannelText], cutting: CuttingFacts | None
    ) -> None:
        self.machine = machine
        self.cutting = cutting
        self.facts = facts
        self.texts = texts
        self.summary = Verdict((), {}, "all")

    def run(self, *, skip: bool) -> list[Fault]:
        """The faults with `/` blocks run, or skipped."""
        models = build(self.texts, self.facts, skip=skip)
        exploration = explore(models, self.facts)
        exploration.note(wait_numbers.check(models, self.facts))
        exploration.note(words.tool_changes(models))
        exploration.note(limits.check(models, self.machine))
        not_checked = self._cutting(models, exploration)
        if not skip:
            exploration.note(skips.check(models))
        files = {file.source: file for text in self.texts.values() for file in text.files}
        faults = faults_of(exploration, files, skipped=skip)
        nodes = {
            m.name: (_changing(stretches), m.passes[0].end)
            for m, stretches in zip(models, exploration.stretches, strict=True)
        }
        marks = {m.name: _marks(m) for m in models}
        states = len(exploration.moves)
        self.summary = Verdict((), _understood(models), _checked(exploration), states, nodes, marks, not_checked)
        return faults

    def _cutting(self, models: list[ChannelModel], exploration: Exploration) -> tuple[str, ...]:
        """Notes what cuts ask of their drives; gives what could not be checked of it."""
        if self.cutting is None:
            return (limits_cutting.UNKNOWN_MATERIAL,) if limits_cutting.cuts_at_all(models) else ()
        followed = follow({model.name: model.steps for model in models}, self.cutting, self.machine)
        exploration.note(limits_cutting.check(models, followed, self.machine))
        return limits_cutting.not_checked(followed)


def _changing(stretches: Sequence[Stretch]) -> int:
    """How many blocks of the first pass change the shared state."""
    return len({s.node.step for s in stretches if s.node.kind == "act" and s.node.pass_number == 1})


def _marks(model: ChannelModel) -> tuple[tuple[int, int], ...]:
    """Number and line of the wait marks that stand in the channel's own file, first pass."""
    blocks = [(n.number, model.steps[n.step].block) for n in model.nodes if n.kind == "wait" and n.pass_number == 1]
    return tuple((number, block.line) for number, block in blocks if block.source == model.file)


def _understood(models: list[ChannelModel]) -> dict[str, float]:
    """Of each channel, 1 less the share of its blocks with something that is not understood, in its worst pass."""
    return {
        model.name: 1.0 - max((p.strange / max(p.blocks, 1) for p in model.passes), default=0.0) for model in models
    }


def _checked(exploration: Exploration) -> str:
    """`all`, or where the search stopped."""
    if exploration.hung:
        state = next(iter(exploration.hung))
        stands = []
        for model, stretch in zip(exploration.models, exploration.here(state), strict=True):
            node = stretch.node
            if node.kind == "wait":
                stands.append(f"{model.name} line {model.steps[node.step].block.line}")
        return f"up to the waits at {', '.join(stands)}; nothing behind was checked"
    if not exploration.complete:
        return f"the first {MOST_STATES:,} states"
    return "all"
