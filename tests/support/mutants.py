"""Mutants of a pair: every wait and every block that changes the machine's state dropped, doubled, moved, turned round.

What a block does is asked of the machine file, so that the programs of any machine can be mutated.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NamedTuple

from gemel.machines.dialect import dialect_of
from gemel.proving.explore import explore
from gemel.proving.facts import facts_of
from gemel.proving.model import ChannelModel, build_one
from gemel.proving.rules import limits, wait_numbers, words
from gemel.proving.zones import OUTSIDE
from gemel.reading.blocks import read
from gemel.reading.channel import ChannelText

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from gemel.machines.schema import Machine
    from gemel.proving.explore import Exploration
    from gemel.reading.blocks import Block
    from gemel.reading.dialect import Dialect, Function
    from gemel.reading.run import Step

__all__ = ["REASONS", "Mutant", "Subject", "mutants"]

_STATES = frozenset({"clamp", "synchronisation", "c-axis", "brake", "catcher", "bar-feed"})
_OPPOSITES = {
    ("clamp", "open"): "close",
    ("clamp", "close"): "open",
    ("c-axis", "on"): "off",
    ("c-axis", "off"): "on",
    ("brake", "on"): "off",
    ("brake", "off"): "on",
    ("catcher", "in"): "out",
    ("catcher", "out"): "in",
    ("synchronisation", "speed"): "off",
    ("synchronisation", "phase"): "off",
    ("synchronisation", "off"): "speed",
    ("spindle", "stop"): "forward",
}


_BRAKE = "no rule asks for the brake: the C axis alone holds the spindle for these cuts"
_DRIVE = "no rule asks for a tool drive to stop: its tool is clear of the workpiece"
_CATCHER = "no rule asks for the catcher to go in: out, it waits for the next part"
_C_AXIS = "nobody starts that spindle before its C axis is switched off once more"
_STOP = "nobody needs that spindle to stand before it is stopped or started once more"
_BEHIND = "the other channel neither needs nor commands it behind that wait"

REASONS = (
    ("dropped", "home", "the channel is outside all zones already: the retraction before it went to the clearance"),
    ("wait moved", "home|tool", "the channel is outside all zones in that block"),
    ("dropped|moved|turned", "brake .* on", _BRAKE),
    ("dropped|turned", "spindle tool stop", _DRIVE),
    ("dropped|turned", "catcher in", _CATCHER),
    ("dropped|turned", "c-axis .* off", _C_AXIS),
    ("dropped|turned", "spindle (?!tool).* stop", _STOP),
    ("dropped", "slide", "nobody is at work at the other spindle meanwhile, and how far the slide pulls is geometry"),
    ("wait moved", "spindle .* stop|catcher in|slide|c-axis .* off", _BEHIND),
)
"""What no rule finds, and why it does no harm: the change, what the block does, the reason."""


class Mutant(NamedTuple):
    """One change of one program.

    Attributes:
        change: `wait dropped` `wait doubled` `wait renumbered` `wait moved`, or `dropped` `moved` `turned` of a block.
        channel: whose program it is.
        line: of the changed block, 1-based.
        other: of the block that it has changed places with; 0 where there is none.
        words: the change for a person.
        text: the program with the change.
    """

    change: str
    channel: str
    line: int
    other: int
    words: str
    text: str


class Subject:
    """A pair that is mutated, with what its own channels do.

    Attributes:
        machine: the machine that it is for.
        texts: the program of each channel.
        models: the reduced model of each channel.
        found: the codes that the pair itself shows.
        exploration: its interleavings.
    """

    def __init__(self, machine: Machine, texts: Mapping[str, str]) -> None:
        self.machine = machine
        self.texts = dict(texts)
        self.facts = facts_of(machine)
        self.models = {channel: self._model(channel, text) for channel, text in texts.items()}
        self.exploration = explore(list(self.models.values()), self.facts)
        self.found = self._codes(list(self.models.values()), self.exploration)

    def _model(self, channel: str, text: str) -> ChannelModel:
        program = ChannelText(dialect_of(self.machine, channel), (read(text.encode(), f"{channel}.nc"),))
        return build_one(channel, program, self.facts, list(self.texts))

    def fate(self, mutant: Mutant) -> tuple[set[str], str]:
        """The codes that the mutant shows and the pair does not; and, without any, why it is harmless, if it is."""
        models = list({**self.models, mutant.channel: self._model(mutant.channel, mutant.text)}.values())
        exploration = explore(models, self.facts)
        new = self._codes(models, exploration) - self.found
        return new, "" if new else self._reason(mutant, exploration)

    def _reason(self, mutant: Mutant, exploration: Exploration) -> str:
        """Why a mutant that no rule finds does no harm, empty if nobody knows."""
        what = self.what(mutant.channel, mutant.line)
        behind = self.what(mutant.channel, mutant.other) if mutant.other else ""
        looked_at = behind if mutant.change == "wait moved" else what
        for change, pattern, reason in REASONS:
            if re.fullmatch(change, mutant.change) and re.fullmatch(pattern, looked_at):
                return reason
        if mutant.change == "wait moved" and self.is_unnoticed(mutant.channel, mutant.other):
            return "the block that the wait passes does nothing that another channel could notice"
        if mutant.change != "wait moved" and meetings(exploration) == meetings(self.exploration):
            return "no rule is broken on the way, and the channels meet in the same states as before"
        return ""

    def _codes(self, models: list[ChannelModel], exploration: Exploration) -> set[str]:
        exploration.note(wait_numbers.check(models, self.facts))
        exploration.note(words.tool_changes(models))
        exploration.note(limits.check(models, self.machine))
        remarks = {f"words:{r.code}" for m in models for r in m.remarks if r.code != "not-understood"}
        return remarks | {s.rule.name for s in exploration.sightings.all()}

    def steps(self, channel: str, line: int) -> list[int]:
        """Indices of the steps of a line, of all passes."""
        return [i for i, step in enumerate(self.models[channel].steps) if step.block.line == line]

    def what(self, channel: str, line: int) -> str:
        """What a line does: its functions, its wait, tool, home move, slide, as words with commas between."""
        steps = self.steps(channel, line)
        return ", ".join(_deeds(self.models[channel].steps[steps[0]], self._dialect(channel))) if steps else ""

    def _dialect(self, channel: str) -> Dialect:
        return dialect_of(self.machine, channel)

    def is_unnoticed(self, channel: str, line: int) -> bool:
        """Whether nothing of the block can be noticed by another channel, or asks anything of it."""
        model = self.models[channel]
        steps = set(self.steps(channel, line))
        if any(node.step in steps and node.kind == "act" for node in model.nodes):
            return False
        return all(model.passages[i].during == OUTSIDE or not model.steps[i].motions for i in steps)

    def is_outside(self, channel: str, line: int) -> bool:
        """Whether the channel is outside all zones in all of the block."""
        return all(self.models[channel].passages[i].during == OUTSIDE for i in self.steps(channel, line))


def meetings(exploration: Exploration) -> set[object]:
    """The shared states in which all channels meet or end, each with the waits that lie behind every channel."""
    found: set[object] = set()
    for state, move in exploration.moves.items():
        here = exploration.here(state)
        if move.is_rendezvous or all(s.node.kind == "end" for s in here):
            waits = tuple(
                sum(n.kind == "wait" and n.step <= s.done for n in m.nodes)
                for m, s in zip(exploration.models, here, strict=True)
            )
            found.add((waits, exploration.shareds[state[-1]]))
    return found


def _deeds(step: Step, dialect: Dialect) -> Iterator[str]:
    for f in (*step.functions, *step.late):
        yield " ".join(word for word in (f.kind, f.which, f.state) if word)
    if step.tool is not None:
        yield "tool"
    if "slide" in step.axes:
        yield "slide"
    if any(_function(word.letter, word.value, dialect, "home") for word in step.block.words):
        yield "home"
    if step.wait is not None:
        yield "wait"


def _function(letter: str, value: float | None, dialect: Dialect, kind: str) -> Function | None:
    from gemel.reading.dialect import code_key  # noqa: PLC0415 # needed by this function alone

    function = dialect.codes.get(code_key(letter, value or 0.0))
    return function if function is not None and function.kind == kind else None


def mutants(subject: Subject) -> Iterator[Mutant]:
    """Every mutant of a pair."""
    for channel, text in subject.texts.items():
        rows = text.splitlines()
        lines = sorted({step.block.line for step in subject.models[channel].steps})
        for place, line in enumerate(lines):
            neighbours = [n for n in (place - 1, place + 1) if 0 <= n < len(lines)]
            others = [lines[n] for n in neighbours]
            what = subject.what(channel, line)
            block = read(text.encode())[line - 1]
            if "wait" in what:
                yield from _waits(subject, channel, rows, line, others)
            elif _is_state(what):
                yield from _states(subject, channel, rows, block, others[-1])


def _is_state(what: str) -> bool:
    deeds = what.split(", ")
    return any(d.split(" ")[0] in _STATES or d in {"home", "slide"} or d.endswith(" stop") for d in deeds if d)


def _text(rows: list[str]) -> str:
    return "\n".join([*rows, ""])


def _swapped(rows: list[str], one: int, other: int) -> str:
    changed = list(rows)
    changed[one - 1], changed[other - 1] = changed[other - 1], changed[one - 1]
    return _text(changed)


def _waits(subject: Subject, channel: str, rows: list[str], line: int, others: list[int]) -> Iterator[Mutant]:
    row = rows[line - 1]
    step = subject.models[channel].steps[subject.steps(channel, line)[0]]
    assert step.wait is not None
    spare = str(subject.facts.shop_waits[1])
    changes = {
        "dropped": [*rows[: line - 1], *rows[line:]],
        "doubled": [*rows[: line - 1], row, *rows[line - 1 :]],
        "renumbered": [*rows[: line - 1], _renumbered(step.block, step.wait.number, spare), *rows[line:]],
    }
    for change, changed in changes.items():
        yield Mutant(f"wait {change}", channel, line, 0, f"{channel} {line} {row} {change}", _text(changed))
    for other in others:
        words = f"{channel} {line} {row} changes places with {other} {rows[other - 1]}"
        yield Mutant("wait moved", channel, line, other, words, _swapped(rows, line, other))


def _renumbered(block: Block, number: int, spare: str) -> str:
    """The block with its wait's number changed, and not its own."""
    word = next(w for w in block.words if w.value == number)
    return block.text[: word.start + 1] + spare + block.text[word.end :]


def _states(subject: Subject, channel: str, rows: list[str], block: Block, behind: int) -> Iterator[Mutant]:
    line = block.line
    head = f"{channel} {line} {rows[line - 1]}"
    yield Mutant("dropped", channel, line, 0, f"{head} dropped", _text([*rows[: line - 1], *rows[line:]]))
    if "wait" not in subject.what(channel, behind):
        words = f"{head} changes places with {behind} {rows[behind - 1]}"
        yield Mutant("moved", channel, line, behind, words, _swapped(rows, line, behind))
    turned = _turned(block, dialect_of(subject.machine, channel))
    if turned:
        changed = [*rows[: line - 1], turned, *rows[line:]]
        yield Mutant("turned", channel, line, 0, f"{head} turned to {turned}", _text(changed))


def _turned(block: Block, dialect: Dialect) -> str:
    """The block with its first code that has an opposite turned to it; empty without one."""
    from gemel.reading.dialect import code_key  # noqa: PLC0415 # needed by this function alone

    for word in block.words:
        function = dialect.codes.get(code_key(word.letter, word.value or 0.0))
        state = _OPPOSITES.get((function.kind, function.state)) if function else None
        if function is not None and state is not None:
            wanted = function._replace(state=state)
            codes = [key for key, known in dialect.codes.items() if known == wanted]
            if codes:
                return block.text[: word.start] + codes[0] + block.text[word.end :]
    return ""
