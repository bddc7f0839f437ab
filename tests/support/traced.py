"""Edits that correspond to one value of the YAML: the value is changed, the pair written, and the text given back."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random
from typing import TYPE_CHECKING, cast

from gemel.documents import PlacedFloat, PlacedInt, compose
from gemel.edits.model import Kind
from gemel.edits.trace import Guess
from gemel.findings import Findings
from gemel.history import ChannelCopy, PairName
from gemel.numbers import spelled_like
from gemel.shop import inputs, pipeline
from gemel.shop.edited import EditedPair, compare_channel
from gemel.shop.layout import Shop
from gemel.shop.targets import Target
from gemel.shop.tracing import Tracer, changed_inputs
from support.demo import ROOT

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.history import Intake
    from gemel.numbers import Source
    from gemel.shop.pipeline import Rendered

__all__ = ["Traced", "copies", "trace"]

_FACTORS = (0.7, 0.8, 0.9, 1.1, 1.25)
_NOT_AT_CONTROLS = ("program", "count", "ports", "bar", "remnant")


@dataclass(frozen=True, slots=True)
class Traced:
    """One edited copy, and what it was traced to.

    Attributes:
        value: the YAML value that was changed. new: its new spelling.
        edits: how many edits the copy holds.
        found: the values that were offered for its first edit, in order, with their spellings.
    """

    value: str
    new: str
    edits: int
    found: tuple[tuple[str, float], ...]

    @property
    def is_first(self) -> bool:
        """Whether exactly that value was offered first."""
        return self.found[:1] == ((self.value, float(self.new)),)


def _numbers(value: object) -> Iterator[Source]:
    if isinstance(value, dict):
        for item in value.values():
            yield from _numbers(item)
    elif isinstance(value, list):
        for item in value:
            yield from _numbers(item)
    elif isinstance(value, PlacedFloat | PlacedInt):
        yield value.place


def copies(family: str, seed: int, most: int) -> Iterator[tuple[Guess, EditedPair]]:
    """Copies of pairs of a family with one value changed, where that adds and takes no blocks."""
    shop, random = Shop(ROOT), Random(seed)  # noqa: S311 # replayable, no secret
    files = inputs.gather(shop, family, None)
    loaded = inputs.checked(files)
    places = list(_numbers(compose(files.family.text, files.family.name).value))
    random.shuffle(places)
    found = 0
    for place in places:
        member = (
            place.name.split(".")[1] if place.name.startswith("members.") else random.choice(loaded.family.members())
        )
        if place.name.endswith(_NOT_AT_CONTROLS) or not float(place.text):
            continue
        new = spelled_like(round(float(place.text) * random.choice(_FACTORS), 3), place.text)
        pair = _edited(shop, files, member, Guess(place, new, float(new)))
        if pair is not None:
            yield Guess(place, new, float(new)), pair
            found += 1
        if found == most:
            return


def _edited(shop: Shop, files: inputs.Inputs, member: str, guess: Guess) -> EditedPair | None:
    [task] = pipeline.tasks(shop, Target(files.family.name[9:-5], (member,)), files.machine, prove=False)
    now = pipeline.render(task)
    try:
        after = pipeline.render_from(shop.root, changed_inputs(files, guess), member)
    except Findings:
        return None  # the family refuses such a value
    pair = _held(now, after)
    words = [edit for edit in pair.edits if edit.kind is not Kind.COMMENT]
    return pair if words and all(edit.old and edit.new and "\n" not in edit.old for edit in words) else None


def _held(now: Rendered, after: Rendered) -> EditedPair:
    """The second pair as a copy of the first."""
    machine, record = now.loaded.machine, pipeline.record_of(now)
    channels = {}
    for file, channel in now.names.items():
        copy = ChannelCopy(channel, after.texts[file], now.texts[file], record, None)
        channels[channel] = compare_channel(machine, channel, copy)
    name = PairName(machine.machine, str(now.part.family), str(now.part.member))
    return EditedPair(name, cast("Intake", None), channels, {})


def trace(guess: Guess, pair: EditedPair) -> Traced:
    """What the first edit of a copy is traced to."""
    words = [edit for edit in pair.edits if edit.kind is not Kind.COMMENT]
    found = Tracer(Shop(ROOT), pair).proposals(words[0], others=False)
    return Traced(guess.at.name, guess.new, len(words), tuple((p.guess.at.name, p.guess.value) for p in found))
