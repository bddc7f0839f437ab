"""Proves a pair: reads the texts, builds the reduced model, explores it, and words what was found."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from gemel.cutting.follow import follow
from gemel.findings import Label
from gemel.machines.dialect import dialect_of
from gemel.proving.explore import MOST_STATES, explore
from gemel.proving.facts import facts_of
from gemel.proving.model import MOST_PASSES, build
from gemel.proving.rules import limits, limits_cutting, skips, wait_numbers, words
from gemel.proving.trace import trace_of
from gemel.proving.verdict import Fault, Verdict, sorted_faults
from gemel.reading.blocks import read
from gemel.reading.channel import ChannelText

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from gemel.cutting.facts import CuttingFacts
    from gemel.findings import Explanation, Finding
    from gemel.machines.schema import Machine
    from gemel.proving.explore import Exploration
    from gemel.proving.facts import Facts
    from gemel.proving.model import ChannelModel, Pass
    from gemel.proving.rule import Place
    from gemel.proving.sightings import Sighting
    from gemel.proving.stretches import Stretch

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
        faults = [_fault(s, exploration, skipped=skip) for s in exploration.sightings.all()]
        faults += _remarks(models, skipped=skip)
        faults += _bounds(models, exploration, skipped=skip)
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


def _label(place: Place, models: Sequence[ChannelModel]) -> Label:
    """The label of a block; a channel without a single block is named by its file alone."""
    model = models[place.channel]
    if not 0 <= place.step < len(model.steps):
        return Label(model.file_span, channel=model.name)
    block = model.steps[place.step].block
    return Label(block.span(), block.text, channel=model.name)


def _spoken(label: Label) -> str:
    """A block in a sentence: channel, line, text."""
    return f"{label.channel} line {label.span.line} `{label.text.strip()}`"


def _fault(sighting: Sighting, exploration: Exploration, *, skipped: bool) -> Fault:
    models = exploration.models
    # A block of two passes is one place.
    found = (_label(p, models) for p in sighting.places)
    labels = tuple({(label.channel, label.span): label for label in found}.values())
    spoken = [_spoken(label) for label in labels]
    detail = sighting.words
    if sighting.detail is not None:
        detail = f" (the visit that begins at {_spoken(_label(sighting.detail, models))})"
    cause = sighting.rule.cause.format(a=spoken[0], b=spoken[-1], all=", ".join(spoken), detail=detail)
    fault = _worded(sighting.rule.found(cause, *labels), skipped=skipped)
    return replace(fault, trace=trace_of(sighting, exploration), when=_when(sighting.places, models))


def _when(places: Sequence[Place], models: Sequence[ChannelModel]) -> tuple[int, int]:
    """The pass of the latest of these blocks, and how many waits of its channel come before it in that pass."""
    found = [(1, 0)]
    for channel, step in places:
        model = models[channel]
        if 0 <= step < len(model.steps):
            number = model.steps[step].pass_number
            waits = sum(n.kind == "wait" and n.pass_number == number and n.step < step for n in model.nodes)
            found.append((number, waits))
    return max(found)


def _worded(found: Finding, *, skipped: bool) -> Fault:
    labels = found.labels
    return Fault(found.rule, found.code, found.severity, found.cause, labels, found.remedy, skipped=skipped)


def _remarks(models: list[ChannelModel], *, skipped: bool) -> list[Fault]:
    """What reading remarked: one fault per code and block."""
    found: dict[object, Fault] = {}
    for model in models:
        for remark in model.remarks:
            entry: Explanation = words.explanation_of(remark.code)
            label = Label(remark.span, remark.text, channel=model.name)
            fault = _worded(entry.found(remark.cause, label), skipped=skipped)
            found.setdefault(fault.identity, fault)
        without_end = next((p for p in model.passes if p.ending == "text"), None)
        if without_end is not None:
            label = _label_of_end(model, without_end)
            entry = words.explanation_of("no-end")
            fault = _worded(entry.found("the program ends with its text, without an end code", label), skipped=skipped)
            found.setdefault(fault.identity, fault)
    return list(found.values())


def _label_of_end(model: ChannelModel, of: Pass | None = None) -> Label:
    """The last block of a pass, the first one by default."""
    of = of or model.passes[0]
    if of.end == of.first:
        return Label(model.file_span, channel=model.name)
    block = model.steps[of.end - 1].block
    return Label(block.span(), block.text, channel=model.name)


def _bounds(models: list[ChannelModel], exploration: Exploration, *, skipped: bool) -> list[Fault]:
    """What was cut short."""
    entry = words.explanation_of("bounded")
    said: list[tuple[Label, str]] = []
    for model in models:
        if model.bounded:
            cause = f"the passes of {model.name} still differ; {MOST_PASSES} of them were looked at"
            said.append((_label_of_end(model), cause))
        if any(p.ending in {"bound", "endless"} for p in model.passes):
            said.append((_label_of_end(model), f"the run of {model.name} does not end and was cut short"))
    if not exploration.complete:
        whole = Label(models[0].file_span, channel=models[0].name)
        said.append((whole, f"there are more than {MOST_STATES} states; the search stopped there"))
    return [_worded(entry.found(cause, label), skipped=skipped) for label, cause in said]


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
        return f"the first {MOST_STATES} states"
    return "all"
