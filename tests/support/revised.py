"""A drawing revision after the edits: every kept edit is in the regenerated text or comes back stranded."""

from __future__ import annotations

from collections import Counter
from functools import cache
from random import Random
from typing import TYPE_CHECKING, NamedTuple

from gemel.documents import PlacedFloat, PlacedInt, compose
from gemel.edits.compare import baseline_of, compare
from gemel.edits.keeping import Circumstances, kept_edit
from gemel.edits.replay import replay
from gemel.edits.trace import Guess
from gemel.findings import Findings
from gemel.numbers import spelled_like
from gemel.shop import inputs, pipeline
from gemel.shop.layout import Shop
from gemel.shop.tracing import changed_inputs
from support.demo import ROOT
from support.nothing_lost import bench, reported, tally

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.numbers import Source
    from gemel.shop.inputs import Inputs
    from support.nothing_lost import Told

__all__ = ["Carried", "carried_over"]

_DRAWN = ("values", "members", "features")
_NOT_DRAWN = ("program", "count", "ports", "bar", "remnant")
_STAMP = "OLD"


class Carried(NamedTuple):
    """What became of the edits of one copy when all were kept and the drawing was revised.

    Attributes:
        revision: the value that was changed.
        kept, carried, settled, stranded: how many edits.
        lost: kept, and neither carried nor settled nor stranded.
        wrong: said of the regenerated text as against the new baseline, and not kept, or the other way round.
    """

    revision: str
    kept: int
    carried: int
    settled: int
    stranded: int
    lost: tuple[str, ...]
    wrong: Counter[Told]


def carried_over(name: tuple[str, str, str], seed: int, *, most: int = 8) -> Carried | None:
    """A copy by seed, all its edits kept, and a revision by the same seed; None where the family refuses that."""
    made = _revised(name, seed % 40)
    if made is None:
        return None
    revision, texts = made
    old = bench(name)
    here = Circumstances(name[2], name[0], _STAMP, "M. Keller", "2024-03-01", "a test")
    counts: Counter[str] = Counter()
    lost: list[str] = []
    wrong: Counter[Told] = Counter()
    for channel, found in tally(name, seed, most=most).found.items():
        base = old.baselines[channel]
        titles = base.outline.titles()
        edits = {edit.id: edit for edit in found.edits}
        kept = [kept_edit(edit, base, here) for edit in edits.values()]
        done = replay(texts[channel], titles, base.speller, kept, {_STAMP: old.texts[channel]})
        ways = (done.carried, done.settled, tuple(left.edit.id for left in done.stranded))
        counts.update(carried=len(ways[0]), settled=len(ways[1]), stranded=len(ways[2]), kept=len(kept))
        lost += sorted(set(edits) - set().union(*ways))
        new = baseline_of(texts[channel], old.dialects[channel], titles=titles)
        said: Counter[Told] = Counter()
        for edit in compare(new, done.data).edits:
            said.update(reported(edit, base.speller))
        meant: Counter[Told] = Counter()
        for one in ways[0]:
            meant.update(reported(edits[one], base.speller))
        wrong += (said - meant) + (meant - said)
    return Carried(
        revision, counts["kept"], counts["carried"], counts["settled"], counts["stranded"], tuple(lost), wrong
    )


@cache
def _revised(name: tuple[str, str, str], seed: int) -> tuple[str, dict[str, bytes]] | None:
    """The programs of a pair after one value of its drawing was changed, by channel."""
    files = _files(name)
    places = [place for place in _numbers(compose(files.family.text, files.family.name).value) if _is_drawn(place)]
    random = Random(seed)  # noqa: S311 # replayable, no secret
    place = random.choice(places)
    value = round(float(place.text) * random.choice([0.9, 0.96, 1.04, 1.1]), 2)
    guess = Guess(place, spelled_like(value, place.text), value)
    try:
        made = pipeline.render_from(ROOT, changed_inputs(files, guess), name[2])
    except Findings:
        return None
    texts = {channel: made.texts[file] for file, channel in made.names.items()}
    return guess.shown(), texts


@cache
def _files(name: tuple[str, str, str]) -> Inputs:
    return inputs.gather(Shop(ROOT), name[1], name[0])


def _is_drawn(place: Source) -> bool:
    return place.name.startswith(_DRAWN) and not place.name.endswith(_NOT_DRAWN) and float(place.text) != 0


def _numbers(value: object) -> Iterator[Source]:
    if isinstance(value, dict | list):
        for item in value.values() if isinstance(value, dict) else value:
            yield from _numbers(item)
    elif isinstance(value, PlacedFloat | PlacedInt):
        yield value.place
