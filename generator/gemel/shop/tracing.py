"""Edits of numbers traced to the values of the YAML: a proposal counts only if writing with it gives the edited blocks.

The pair is written again with the one value changed. What then differs must all be among the edits that stand at the
control; otherwise the value is not what was meant, and the edit is one to keep.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

from gemel.edits import codes
from gemel.edits.compare import baseline_of, compare
from gemel.edits.keeping import Circumstances, kept_edit
from gemel.edits.model import Kind
from gemel.edits.replay import replay
from gemel.edits.spelling import Speller
from gemel.edits.trace import Wanted, reach, solved
from gemel.findings import Findings, Label, Span
from gemel.history import digest
from gemel.machines.dialect import dialect_of
from gemel.numbers import spell
from gemel.reading.words import parts_of
from gemel.shop import inputs, pipeline
from gemel.shop.kept import titles_of
from gemel.shop.layout import TextFile
from gemel.shop.targets import Target

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from gemel.edits.compare import Baseline
    from gemel.edits.model import Edit
    from gemel.edits.replay import Replayed
    from gemel.edits.trace import Guess
    from gemel.numbers import Number, Source
    from gemel.shop.edited import EditedPair
    from gemel.shop.inputs import Inputs
    from gemel.shop.layout import Shop
    from gemel.shop.pipeline import Rendered
    from gemel.writing import Word

__all__ = ["Proposal", "Tracer", "changed_inputs"]

_MOST_RUNS = 60
"""How often one pair is written again while proposals are looked for; what is not found by then is said to be so."""


@dataclass(frozen=True, slots=True)
class Proposal:
    """One value of the YAML that explains edits.

    Attributes:
        guess: the value, and what it becomes.
        explains: ids of the edits that it gives, all of which are found again in the text.
        others: how many words it would change in the family's other members, by member; those without are left out.
    """

    guess: Guess
    explains: tuple[str, ...]
    others: Mapping[str, int]

    def shown(self) -> str:
        """`operations.turn.cutting.feed: 0.25 -> 0.2`."""
        return self.guess.shown()


class _Place(NamedTuple):
    """Where an edited word stands in the pair as it is written today."""

    file: str
    line: int


@dataclass(frozen=True, slots=True)
class _Channel:
    """One channel: as it is written today, and the edits of the control against that.

    Attributes:
        edits: by their ids against today's text.
        lines: today's line of each edited block, by the edit's own id.
        own: the edit's own id by that against today's text.
        settled: ids of the edits that today's text has already.
    """

    file: str
    baseline: Baseline
    edits: Mapping[str, Edit]
    lines: Mapping[str, int]
    own: Mapping[str, str]
    settled: tuple[str, ...] = ()


class Tracer:
    """Finds proposals for the edits of one pair.

    Args:
        shop: where the files are.
        found: the latest copy, compared.

    Raises:
        Findings: the family cannot be written today.
    """

    def __init__(self, shop: Shop, found: EditedPair) -> None:
        name = found.name
        self._shop, self._found = shop, found
        self._inputs = inputs.gather(shop, name.family, name.machine)
        [task] = pipeline.tasks(shop, Target(name.family, (name.member,)), name.machine, prove=False)
        self._now = pipeline.render(task)
        self._runs = 0
        self._tried: dict[tuple[str, str], frozenset[str]] = {}
        self._sharpest: dict[Source, tuple[float, Number, Wanted]] | None = None
        self._elsewhere: dict[Guess, dict[str, int]] = {}
        self._others_now: dict[str, Rendered] = {}
        self._channels = {channel: self._channel(channel) for channel in found.channels}

    @property
    def exhausted(self) -> bool:
        """Whether the search ended before every guess was tried."""
        return self._runs >= _MOST_RUNS

    @property
    def settled(self) -> frozenset[str]:
        """Ids of the edits that the family gives already, since it has moved on."""
        return frozenset(edit for channel in self._channels.values() for edit in channel.settled)

    def proposals(self, edit: Edit, *, others: bool = True) -> tuple[Proposal, ...]:
        """The values that explain an edit, the likeliest first; none where it is one to keep.

        Args:
            edit: of the copy.
            others: find out what each would change in the other members too.
        """
        found = []
        for guess in self._guesses(edit):
            if self.exhausted:
                break
            explains = self._explained(guess)
            if edit.id in explains:
                ids = tuple(e.id for e in self._found.edits if e.id in explains)
                found.append(Proposal(guess, ids, self._others(guess) if others else {}))
        return tuple(sorted(found, key=lambda proposal: not self._is_own(proposal, edit)))

    def _is_own(self, proposal: Proposal, edit: Edit) -> bool:
        """Whether the value belongs to the edit's own operation: that is what was meant most often."""
        guess = proposal.guess
        return bool(guess.path) or guess.at.name.startswith(f"operations.{edit.anchor.operation}.")

    def _channel(self, channel: str) -> _Channel:
        found = self._found.channels[channel]
        file = next(file for file, name in self._now.names.items() if name == channel)
        text = self._now.texts[file]
        if text == found.copy.baseline:
            edits = {edit.id: edit for edit in found.found.edits}
            lines = {edit.id: edit.where.baseline for edit in edits.values() if edit.where.baseline}
            return _Channel(file, found.baseline, edits, lines, dict(zip(edits, edits, strict=True)))
        return self._moved_on(channel, file)

    def _moved_on(self, channel: str, file: str) -> _Channel:
        """The family has moved on since: today's text, with the edits set in as far as they find their place."""
        found, text = self._found.channels[channel], self._now.texts[file]
        dialect, titles = dialect_of(self._now.loaded.machine, channel), titles_of(self._now)[file]
        here = Circumstances(self._found.name.member, self._found.name.machine, found.stamp, "", "", "")
        kept = [kept_edit(edit, found.baseline, here) for edit in found.found.edits]
        wanted = replay(text, titles, Speller(dialect), kept, {found.stamp: found.copy.baseline})
        baseline = baseline_of(text, dialect, titles=titles)
        edits = {edit.id: edit for edit in compare(baseline, wanted.data).edits}
        lines = {edit: before for before, ids in wanted.lines for edit in ids if before}
        return _Channel(
            file, baseline, edits, lines, _own_ids(found.found.edits, edits.values(), wanted), wanted.settled
        )

    def _guesses(self, edit: Edit) -> list[Guess]:
        """What values would have to be; cutting data of a catalogue come as the operation's own first."""
        word = self._word(edit)
        if word is None or word.number is None or self._reading(edit) is None:
            return []
        found = []
        for leaf, _ in reach(word.number):
            _, number, wanted = self._readings()[leaf]
            one = solved(number, leaf, wanted)
            found += [one] if one is not None else []
        own = (one.instead(word.address.operation) for one in found)
        return [*(one for one in own if one is not None), *found]

    def _readings(self) -> dict[Source, tuple[float, Number, Wanted]]:
        """For each YAML value the edited word that it moves farthest: that tells the value most sharply."""
        if self._sharpest is None:
            self._sharpest = {}
            for edit in self._found.edits:
                reading = self._reading(edit)
                for leaf, slope in reach(reading[0]) if reading else ():
                    assert reading is not None
                    sharpness = abs(slope) / reading[1].tolerance
                    if sharpness > self._sharpest.get(leaf, (0.0,))[0]:
                        self._sharpest[leaf] = sharpness, *reading
        return self._sharpest

    def _reading(self, edit: Edit) -> tuple[Number, Wanted] | None:
        """The number of an edited word, and what it should read as."""
        word = self._word(edit)
        old, new = _value(edit.old), _value(edit.new)
        if word is None or word.number is None or old is None or new is None or not float(word.number):
            return None
        # A word may count thousandths where the number is a length: the scale is what the old word says it is.
        scale = float(word.number) / old if old and abs(float(word.number) / old - 1) > 1e-2 else 1.0
        return word.number, Wanted(new * scale, self._tolerance(float(word.number) / scale, old) * abs(scale))

    def _place(self, edit: Edit) -> _Place | None:
        """Where the word stands as the family gives it; none in a line that carries a kept edit already."""
        channel = self._channels.get(edit.anchor.channel)
        if channel is None:
            return None
        line = channel.lines.get(edit.id)
        carried = self._now.carried
        if line is not None and carried is not None:
            line, touched = carried.programs[channel.file].lines[line - 1]
            line = None if touched else line
        return None if line is None else _Place(channel.file, line)

    def _word(self, edit: Edit) -> Word | None:
        """The word of today's text that was edited, with its origin."""
        place = self._place(edit) if edit.old and edit.new else None
        text_map = self._now.channels[place.file].map if place else None
        if place is None or text_map is None:
            return None
        speller = self._channels[edit.anchor.channel].baseline.speller
        wanted = _canonical(speller, edit.old)
        same = [word for word in text_map.line(place.line) if _canonical(speller, word.text) == wanted]
        return same[0] if len(same) == 1 else None

    def _tolerance(self, value: float, old: float) -> float:
        """Half the last decimal with which such a word is written: of the forms that give it, the finest."""
        forms = self._now.loaded.machine.numbers
        kinds = (forms.length, forms.feed_per_revolution, forms.feed_per_minute, forms.dwell, forms.speed)
        fitting = [form.decimals for form in kinds if float(spell(value, form.number_form())) == old]
        return float(0.5 * 10.0 ** -max(fitting, default=forms.length.decimals))

    def _explained(self, guess: Guess) -> frozenset[str]:
        """Ids of the copy's edits that writing with this value gives; none where it gives anything else besides."""
        key = guess.at.file, f"{guess.at.line}:{guess.at.column}:{guess.new}:{'.'.join(guess.path)}"
        if key not in self._tried:
            self._runs += 1
            self._tried[key] = self._try(guess)
        return self._tried[key]

    def _try(self, guess: Guess) -> frozenset[str]:
        try:
            made = pipeline.render_from(self._shop.root, changed_inputs(self._inputs, guess), self._found.name.member)
        except Findings:
            return frozenset()
        given: set[str] = set()
        for channel in self._channels.values():
            edits = [
                e.id for e in compare(channel.baseline, made.texts[channel.file]).edits if e.kind is not Kind.COMMENT
            ]
            if not channel.edits.keys() >= set(edits):
                return frozenset()
            given.update(channel.own[edit] for edit in edits if edit in channel.own)
        return frozenset(given)

    def _others(self, guess: Guess) -> dict[str, int]:
        """How many words the value changes in the other members; found out once for each value."""
        if guess not in self._elsewhere:
            self._elsewhere[guess] = self._count_others(guess)
        return self._elsewhere[guess]

    def _count_others(self, guess: Guess) -> dict[str, int]:
        found: dict[str, int] = {}
        inputs = changed_inputs(self._inputs, guess)
        for member in self._now.loaded.family.members():
            if member == self._found.name.member:
                continue
            count = self._words(inputs, member)
            if count:
                found[member] = count
        return found

    def _words(self, inputs: Inputs, member: str) -> int:
        machine = self._now.loaded.machine
        try:
            before = self._others_now.get(member) or pipeline.render_from(self._shop.root, self._inputs, member)
            self._others_now[member] = before
            after = pipeline.render_from(self._shop.root, inputs, member)
        except Findings:
            return 0
        count = 0
        for file, channel in before.names.items():
            if before.texts[file] != after.texts[file]:
                found = compare(baseline_of(before.texts[file], dialect_of(machine, channel)), after.texts[file]).edits
                count += sum(edit.kind is not Kind.COMMENT for edit in found)
        return count


def changed_inputs(inputs: Inputs, guess: Guess) -> Inputs:
    """The same files with the one value changed.

    Raises:
        Findings: the value cannot be changed alone (`edit:shared-value` and others).
    """
    if guess.path or inputs.family.name == guess.at.file:
        return replace(inputs, family=_changed(inputs.family, guess))
    if inputs.materials.name == guess.at.file:
        return replace(inputs, materials=_changed(inputs.materials, guess))
    if inputs.tools.name == guess.at.file:
        return replace(inputs, tools=_changed(inputs.tools, guess))
    cause = f"`{guess.at.name}` stands in {guess.at.file}, which edits are not carried into"
    raise Findings([codes.NOT_SCALAR.found(cause, Label(Span(guess.at.file, guess.at.line)))])


def _changed(file: TextFile, guess: Guess) -> TextFile:
    text = guess.applied(file.text, file.name)
    return TextFile(file.name, text, digest(text.encode()))


def _own_ids(originals: Iterable[Edit], edits: Iterable[Edit], wanted: Replayed) -> dict[str, str]:
    """The ids that edits have against the copy's baseline, by those against today's text."""
    by_id = {edit.id: edit for edit in originals}
    found: dict[str, str] = {}
    for edit in edits:
        ids = wanted.lines[edit.where.copy - 1][1] if edit.where.copy else ()
        same = [one for one in ids if _alike(by_id[one], edit)]
        if edit.id in by_id or len(same) == 1:
            found[edit.id] = edit.id if edit.id in by_id else same[0]
    return found


def _alike(one: Edit, other: Edit) -> bool:
    return (one.kind, one.anchor.word, one.new) == (other.kind, other.anchor.word, other.new)


def _canonical(speller: Speller, text: str) -> str:
    words = speller.block(text, parts_of(text)).words
    return words[0].text if len(words) == 1 else text


def _value(word: str) -> float | None:
    try:
        return float(word[1:])
    except ValueError:
        return None
