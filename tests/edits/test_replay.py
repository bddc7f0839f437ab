"""Kept edits on a new baseline: set in at their own place, or stranded; never in the sibling."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from gemel.edits.compare import baseline_of, compare
from gemel.edits.keeping import Circumstances, kept_edit
from gemel.edits.model import Kind
from gemel.edits.replay import replay
from gemel.edits.spelling import Speller
from gemel.machines.dialect import dialect_of
from support import demo
from support.control_copies import edited
from support.pairs import machine

if TYPE_CHECKING:
    from gemel.edits.model import KeptEdit
    from gemel.reading.dialect import Dialect

_LOWER = dialect_of(machine("twin-turnmill"), "lower")
_PAIRS = [name for name in demo.names() if name[0] == "twin-turnmill"]


def kept(base: bytes, copy: bytes, dialect: Dialect) -> list[KeptEdit]:
    """The edits from base to copy as records of a family's file."""
    baseline = baseline_of(base, dialect)
    here = Circumstances("1", "m", "BASE", "A. Setter", "2026-11-25", "chatter")
    return [kept_edit(edit, baseline, here) for edit in compare(baseline, copy).edits]


def check(base: str, copy: str, new: str, wanted: str | None) -> None:
    """The edits from base to copy, set into new, give the wanted text; None when one of them must be stranded."""
    records = kept(base.encode(), copy.encode(), _LOWER)
    assert records
    done = replay(new.encode(), None, Speller(_LOWER), records, {"BASE": base.encode()})
    if wanted is None:
        assert done.stranded
    else:
        assert not done.stranded, done.stranded
        assert done.data.decode() == wanted


_OP = (
    "(ROUGH TURNING, T0101)\nG28 U0 W0\nT0101\n"
    "G97 S1200 M03\nG00 X40. Z2.\nG01 Z-30. F0.2\nG00 X42.\nG01 Z-20. F0.2\nM05\n"
)


@pytest.mark.parametrize(
    ("copy", "new", "wanted"),
    [
        pytest.param(("Z-30. F0.2", "Z-30. F0.15"), ("", ""), ("Z-30. F0.2", "Z-30. F0.15"), id="same baseline"),
        pytest.param(("Z-30. F0.2", "Z-30. F0.15"), ("Z-30.", "Z-32."), ("Z-32. F0.2", "Z-32. F0.15"), id="other word"),
        pytest.param(("Z-30. F0.2", "Z-30. F0.15"), ("Z-30. F0.2", "Z-30. F0.18"), None, id="same word"),
        pytest.param(("Z-30. F0.2", "Z-30. F0.15"), ("F0.2\nG00", "F0.15\nG00"), ("", ""), id="revision has it"),
        pytest.param(("S1200", "S1000"), ("G01 Z-30. F0.2\n", ""), ("S1200", "S1000"), id="another block gone"),
        pytest.param(("Z-30. F0.2", "Z-30. F0.15"), ("G01 Z-30. F0.2\n", ""), None, id="its block gone"),
        pytest.param(("M05\n", "M05\nG04 X1.\n"), ("Z-30.", "Z-31."), ("M05\n", "M05\nG04 X1.\n"), id="block added"),
        pytest.param(("G00 X42.\n", ""), ("Z-30.", "Z-31."), ("G00 X42.\n", ""), id="block removed"),
        pytest.param(("G00 X42.\n", ""), ("X42.", "X44."), None, id="removed, and changed by the revision"),
        pytest.param(("G28 U0", "/G28 U0"), ("Z-30.", "Z-31."), ("G28 U0", "/G28 U0"), id="block skip"),
        pytest.param(("M03", "M03 M08"), ("S1200", "S1300"), ("M03", "M03 M08"), id="word put in"),
        pytest.param(("S1200 M03", "M03"), ("Z-30.", "Z-31."), ("S1200 M03", "M03"), id="word taken out"),
    ],
)
def test_an_edit_stays_in_its_place(
    copy: tuple[str, str], new: tuple[str, str], wanted: tuple[str, str] | None
) -> None:
    """The word or block is where it was decided; what the revision changed beside it stays changed."""
    after = _OP.replace(*new) if new[0] else _OP
    check(
        _OP, _OP.replace(*copy, 1), after, None if wanted is None else after.replace(*wanted, 1) if wanted[0] else after
    )


def test_a_sibling_never_gets_the_edit() -> None:
    """One of four equal moves was changed; the revision adds a fifth before it: no guess which is which."""
    base = "T0707\nM103 S900\n" + "G00 X50.\nG01 X15. F500.\n" * 4 + "M105\n"
    copy = base.replace("F500.", "F400.", 2).replace("F400.", "F500.", 1)
    check(base, copy, base.replace("T0707\n", "T0707\nG00 C0.\n"), copy.replace("T0707\n", "T0707\nG00 C0.\n"))
    more = base.replace("G00 X50.\n", "G00 X50.\nG01 X15. F500.\nG00 X50.\n", 1)
    check(base, copy, more, None)


@pytest.mark.parametrize("name", _PAIRS, ids=lambda name: f"{name[1]}-{name[2]}")
def test_keeping_everything_gives_the_text_at_the_control(name: tuple[str, str, str]) -> None:
    """All edits of a copy, kept and set into the untouched baseline, mean what the copy means; twice is once."""
    pair = demo.demo(*name)
    for channel, text in pair.texts.items():
        dialect = dialect_of(machine(name[0]), channel)
        for seed in range(5):
            copy, _ = edited(text.encode(), dialect, seed, 6)
            records = kept(text.encode(), copy, dialect)
            done = replay(text.encode(), None, Speller(dialect), records, {"BASE": text.encode()})
            assert not done.stranded, (seed, done.stranded)
            assert not compare(baseline_of(done.data, dialect), copy).edits, seed


def test_without_the_old_baseline_only_what_is_unique_is_found() -> None:
    """A missing baseline never makes gemel guess: one of two equal blocks is stranded, the only one is found."""
    once, twice = _OP, _OP.replace("Z-20.", "Z-30.")
    for base, is_stranded in ((once, False), (twice, True)):
        records = kept(base.encode(), base.replace("F0.2", "F0.1", 1).encode(), _LOWER)
        done = replay(base.encode(), None, Speller(_LOWER), records, {})
        assert bool(done.stranded) is is_stranded


def test_both_sides_of_a_stranded_edit_are_shown() -> None:
    """Reason, the new block, its line and its neighbours are there for the person who decides."""
    records = kept(_OP.encode(), _OP.replace("F0.2", "F0.1", 1).encode(), _LOWER)
    new = _OP.replace("F0.2", "F0.3", 1)
    [stranded] = replay(new.encode(), None, Speller(_LOWER), records, {"BASE": _OP.encode()}).stranded
    assert stranded.edit.kind is Kind.FEED
    assert "F0.3" in stranded.reason
    assert (stranded.ours, stranded.line) == ("G01 Z-30. F0.3", 6)
    assert len(stranded.near) == 5


def test_an_edit_behind_a_block_that_another_takes_out_finds_its_place() -> None:
    """Whatever was decided first: the dwell stands where the block stood."""
    gone, more = _OP.replace("G00 X42.\n", ""), _OP.replace("G00 X42.\n", "G00 X42.\nG04 X1.\n")
    records = [record for copy in (gone, more) for record in kept(_OP.encode(), copy.encode(), _LOWER)]
    for order in (records, records[::-1]):
        done = replay(_OP.encode(), None, Speller(_LOWER), order, {"BASE": _OP.encode()})
        assert not done.stranded
        assert done.data.decode() == _OP.replace("G00 X42.\n", "G04 X1.\n")
