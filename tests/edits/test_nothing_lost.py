"""Control copies by seed over all demo pairs: every injected edit is reported, none is invented, none is lost."""

from __future__ import annotations

import pytest

from gemel.edits.compare import compare
from gemel.edits.keeping import Circumstances, kept_edit
from gemel.edits.replay import replay
from support import demo
from support.control_manners import MANNERS, in_manner, seeded
from support.nothing_lost import bench, tally
from support.revised import carried_over

_NAMES = demo.names()
_SEEDS = 5
"""Copies of each demo pair; `benchmarks/nothing_lost.py` takes thousands."""


@pytest.mark.parametrize("name", _NAMES, ids=demo.IDS)
def test_every_injected_edit_is_reported_and_none_invented(name: tuple[str, str, str]) -> None:
    """Whatever the control did to the text besides, the edits of a copy are exactly those that were made."""
    for seed in range(_SEEDS):
        told = tally(name, 1000 * _NAMES.index(name) + seed)
        assert (told.missing, told.invented) == ({}, {}), (seed, told.copy.manners)


@pytest.mark.parametrize("manner", sorted(MANNERS))
def test_what_a_control_does_to_a_text_is_no_edit(manner: str) -> None:
    """Numbering, blanks, letter case, comments cut or lost, zeros, signs, word order, broken lines mean nothing."""
    for name in _NAMES[:: len(_NAMES) // 6]:
        pair = bench(name)
        for channel, text in pair.texts.items():
            copy = in_manner(text, [manner], seeded(7))
            assert compare(pair.baselines[channel], copy).edits == (), (name, channel)


@pytest.mark.parametrize("name", _NAMES[::3], ids=demo.IDS[::3])
def test_all_edits_kept_give_the_text_at_the_control(name: tuple[str, str, str]) -> None:
    """Set into the baseline again, the edits of a copy mean what the copy means: no edit is half of what was done."""
    pair = bench(name)
    here = Circumstances(name[2], name[0], "ABC", "M. Keller", "2024-03-01", "a test")
    for seed in range(_SEEDS):
        told = tally(name, seed)
        for channel, found in told.found.items():
            base = pair.baselines[channel]
            kept = [kept_edit(edit, base, here) for edit in found.edits]
            data = pair.texts[channel]
            done = replay(data, base.outline.titles(), base.speller, kept, {"ABC": data})
            assert done.stranded == (), (seed, channel)
            again = compare(base, done.data)
            assert [edit.id for edit in again.edits] == [edit.id for edit in found.edits], (seed, channel)


@pytest.mark.parametrize("name", _NAMES[1::4], ids=demo.IDS[1::4])
def test_a_drawing_revision_loses_no_kept_edit(name: tuple[str, str, str]) -> None:
    """Every kept edit is in the regenerated text, word for word, or comes back stranded; nothing else differs there."""
    revised = 0
    for seed in range(2 * _SEEDS):
        told = carried_over(name, seed)
        if told is not None:
            revised += 1
            assert (told.lost, told.wrong) == ((), {}), (seed, told.revision)
            assert told.kept == told.carried + told.settled + told.stranded
    assert revised > _SEEDS
