"""Holds what a comparison reports against what was injected: each edit once, none besides."""

from __future__ import annotations

from collections import Counter
from functools import cache
from typing import TYPE_CHECKING, NamedTuple

from gemel.edits.compare import baseline_of, compare
from gemel.edits.model import Kind
from gemel.machines.dialect import dialect_of
from support import demo
from support.control_copies import ControlCopy, control_copy, key_of
from support.pairs import machine

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.edits.compare import Baseline
    from gemel.edits.model import Comparison, Edit
    from gemel.edits.spelling import Speller
    from gemel.reading.dialect import Dialect
    from support.control_copies import Injected

__all__ = ["Bench", "Tally", "Told", "bench", "reported", "tally"]

Told = tuple[str, str, str, str]
"""Channel, what (`word`, `comment`, `added`, `removed`, `moved`), before, after; words and blocks canonical."""

_WHOLE = {Kind.BLOCK_ADDED, Kind.BLOCK_REMOVED, Kind.BLOCK_MOVED, Kind.WAIT_ADDED, Kind.WAIT_REMOVED, Kind.WAIT_MOVED}


class Bench(NamedTuple):
    """A demo pair made ready: its programs, dialects and baselines by channel."""

    texts: Mapping[str, bytes]
    dialects: Mapping[str, Dialect]
    baselines: Mapping[str, Baseline]


class Tally(NamedTuple):
    """What one copy gave.

    Attributes:
        copy: it.
        found: the comparison of each channel.
        missing: injected and not reported.
        invented: reported and not injected.
    """

    copy: ControlCopy
    found: Mapping[str, Comparison]
    missing: Counter[Told]
    invented: Counter[Told]


@cache
def bench(name: tuple[str, str, str]) -> Bench:
    """The demo pair of that machine, family and member."""
    pair = demo.demo(*name)
    facts = machine(name[0])
    texts = {channel: text.encode("latin-1") for channel, text in pair.texts.items()}
    dialects = {channel: dialect_of(facts, channel) for channel in texts}
    return Bench(texts, dialects, {c: baseline_of(texts[c], dialects[c]) for c in texts})


def tally(name: tuple[str, str, str], seed: int, *, most: int = 8) -> Tally:
    """The copy of a demo pair by that seed, compared and held against what was injected."""
    pair = bench(name)
    copy = control_copy(pair.texts, pair.dialects, seed, most=most)
    found = {channel: compare(pair.baselines[channel], copy.texts[channel]) for channel in pair.texts}
    wanted = Counter(_injected(edit) for edit in copy.edits)
    told: Counter[Told] = Counter()
    for channel, comparison in found.items():
        for edit in comparison.edits:
            told.update(reported(edit, pair.baselines[channel].speller))
    return Tally(copy, found, wanted - told, told - wanted)


def _injected(edit: Injected) -> Told:
    if edit.kind is Kind.COMMENT:
        return edit.channel, "comment", edit.old, edit.new
    if edit.kind in _WHOLE:
        return edit.channel, _what(edit.old, edit.new), edit.old, edit.new
    return edit.channel, "word", edit.old, edit.new


def _what(old: str, new: str) -> str:
    return "moved" if old and new else "removed" if old else "added"


def reported(edit: Edit, speller: Speller) -> Counter[Told]:
    """What an edit says, block by block."""
    channel = edit.anchor.channel
    if edit.kind is Kind.COMMENT:
        return Counter([(channel, "comment", edit.old, edit.new)])
    if edit.anchor.word:
        return Counter([(channel, "word", _word(edit.old, speller), _word(edit.new, speller))])
    keys = [key_of(row, speller) for row in (edit.old or edit.new).split("\n")]
    return Counter(
        (channel, _what(edit.old, edit.new), key if edit.old else "", key if edit.new else "") for key in keys
    )


def _word(text: str, speller: Speller) -> str:
    return text if text in {"", "/"} else key_of(text, speller)
