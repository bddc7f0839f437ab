"""Kept edits on a new baseline, held against `git merge-file` and the laws of a three-way merge.

O is the old baseline, A the copy from the control, B the new baseline. The laws are those that every merge must keep
(Khanna, Kunal, Pierce 2007, A formal investigation of diff3; confirmed by running GNU diff3 3.8 and git 2.39.5).
"""

from __future__ import annotations

import subprocess
from typing import TYPE_CHECKING, NamedTuple

import pytest

from gemel.edits.compare import baseline_of, compare
from gemel.edits.keeping import Circumstances, kept_edit
from gemel.edits.replay import replay
from gemel.machines.dialect import dialect_of
from support import demo
from support.control_copies import edited
from support.nothing_lost import bench
from support.pairs import machine

if TYPE_CHECKING:
    from pathlib import Path

    from gemel.edits.replay import Replayed
    from gemel.reading.dialect import Dialect

_LOWER = dialect_of(machine(), "lower")
_HERE = Circumstances("35", "twin-turnmill", "OLD", "M. Keller", "2024-03-01", "a test")


class _Git(NamedTuple):
    clean: bool
    text: bytes


def _by_git(folder: Path, ours: bytes, old: bytes, theirs: bytes) -> _Git:
    places = [folder / name for name in ("ours", "old", "theirs")]
    for place, data in zip(places, (ours, old, theirs), strict=True):
        place.write_bytes(data)
    done = subprocess.run(["git", "merge-file", "-p", *map(str, places)], capture_output=True, check=False)  # noqa: S603, S607 # fixed words
    return _Git(done.returncode == 0, done.stdout)


def _merged(old: bytes, copy: bytes, new: bytes, dialect: Dialect = _LOWER) -> Replayed:
    """The edits from `old` to `copy`, all kept, on `new`."""
    base = baseline_of(old, dialect)
    kept = [kept_edit(edit, base, _HERE) for edit in compare(base, copy).edits]
    return replay(new, base.outline.titles(), base.speller, kept, {"OLD": old})


def _means(one: bytes, other: bytes, dialect: Dialect = _LOWER) -> bool:
    return compare(baseline_of(one, dialect), other).is_same


@pytest.mark.parametrize("name", demo.names()[::2], ids=demo.IDS[::2])
def test_where_git_merges_cleanly_so_does_gemel(name: tuple[str, str, str], tmp_path: Path) -> None:
    """A revision changes numbers and adds blocks; wherever lines merge, the kept edits are in and mean the same."""
    pair = bench(name)
    clean = 0
    for seed in range(10):
        channel = sorted(pair.texts)[seed % len(pair.texts)]
        old, dialect = pair.texts[channel], pair.dialects[channel]
        copy, _ = edited(old, dialect, seed, 3)
        new, _ = edited(old, dialect, 10_000 + seed, 3, numbers=True)
        by_git = _by_git(tmp_path, copy, old, new)
        if by_git.clean:
            clean += 1
            done = _merged(old, copy, new, dialect)
            assert done.stranded == (), seed
            assert _means(by_git.text, done.data, dialect), seed
    assert clean


@pytest.mark.parametrize("name", demo.names()[1::4], ids=demo.IDS[1::4])
def test_the_laws_of_every_merge(name: tuple[str, str, str]) -> None:
    """merge(O; A, O) = A, merge(O; O, B) = B, merge(O; A, A) = A: what both sides did is done once."""
    pair = bench(name)
    for seed in range(4):
        for channel, old in pair.texts.items():
            dialect = pair.dialects[channel]
            copy, _ = edited(old, dialect, seed, 4)
            new, _ = edited(old, dialect, 10_000 + seed, 4, numbers=True)
            assert _means(copy, _merged(old, copy, old, dialect).data, dialect)
            assert _merged(old, old, new, dialect).data == new
            again = _merged(old, copy, copy, dialect)
            assert again.stranded == ()
            assert _means(copy, again.data, dialect)


_O = "M701\n(CUT, TOOL 1)\nT0101\nG00 X40.\nG01 Z-10. F0.2\nG00 X42.\nG00 Z2.\nM09\nM05\nM30\n"


@pytest.mark.parametrize(
    ("ours", "theirs", "wanted"),
    [
        pytest.param(("X40.", "X39."), ("M09", "M87"), ("X39.", "M87"), id="far apart"),
        pytest.param(("X40.", "X39."), ("G00 X42.", "G00 X43."), ("X39.", "G00 X43."), id="one block between"),
        pytest.param(("X40.", "X39."), ("Z-10.", "Z-11."), ("X39.", "Z-11."), id="blocks side by side"),
        pytest.param(("F0.2", "F0.1"), ("Z-10.", "Z-11."), ("Z-11. F0.1", ""), id="two words of one block"),
        pytest.param(("F0.2", "F0.1"), ("F0.2", "F0.1"), ("F0.1", ""), id="the same word alike"),
        pytest.param(("M09\n", ""), ("M05\n", "M05\nM01\n"), ("M05\nM01", ""), id="one gone, one more at the end"),
        pytest.param(
            ("G00 Z2.\n", "G00 Z2.\nM01\n"), ("X40.", "X39."), ("Z2.\nM01", "X39."), id="one more, one changed"
        ),
    ],
)
def test_both_sides_are_in(
    ours: tuple[str, str], theirs: tuple[str, str], wanted: tuple[str, str], tmp_path: Path
) -> None:
    """What git merges, and what it does not because lines touch though words do not."""
    old, copy, new = _O, _O.replace(*ours), _O.replace(*theirs)
    done = _merged(old.encode(), copy.encode(), new.encode())
    assert done.stranded == ()
    assert all(piece in done.data.decode() for piece in wanted)
    by_git = _by_git(tmp_path, copy.encode(), old.encode(), new.encode())
    assert not by_git.clean or _means(by_git.text, done.data)


@pytest.mark.parametrize(
    ("ours", "theirs"),
    [
        pytest.param(("F0.2", "F0.1"), ("F0.2", "F0.3"), id="the same word"),
        pytest.param(("F0.2", "F0.1"), ("G01 Z-10. F0.2\n", ""), id="its block is gone"),
        pytest.param(("G00 X42.\n", ""), ("G00 X42.", "G00 X43."), id="the block that was taken away was changed"),
    ],
)
def test_where_git_has_a_conflict_about_one_word_the_edit_is_stranded(
    ours: tuple[str, str], theirs: tuple[str, str], tmp_path: Path
) -> None:
    """Nothing is set in and nothing is marked: the program is the new baseline, to the byte."""
    old, copy, new = (text.encode() for text in (_O, _O.replace(*ours), _O.replace(*theirs)))
    done = _merged(old, copy, new)
    assert len(done.stranded) == 1
    assert done.data == new
    assert not _by_git(tmp_path, copy, old, new).clean


def test_among_equal_blocks_gemel_is_right_where_lines_are_not(tmp_path: Path) -> None:
    """Two operations end alike; the revision puts a third between them. Lines give the edit to the sibling."""

    def operation(tool: int) -> str:
        cut = "G00 X40.\nG01 Z-10. F0.2\nG00 X42.\nG00 Z2.\nM09\nM05\n"
        return f"(CUT {tool}, TOOL {tool})\nT0{tool}0{tool}\n{cut}"

    old = f"M701\n{operation(1)}{operation(2)}M30\n"
    head, tail = old.rsplit("G01 Z-10. F0.2", 1)
    copy = f"{head}G01 Z-10. F0.1{tail}"
    new = f"M701\n{operation(2)}{operation(1)}M30\n"  # the stage table was turned round
    done = _merged(old.encode(), copy.encode(), new.encode())
    assert done.stranded == ()
    second = done.data.decode().partition("(CUT 2, TOOL 2)")[2].partition("(CUT 1")[0]
    assert "F0.1" in second
    assert done.data.decode().count("F0.1") == 1
    by_git = _by_git(tmp_path, copy.encode(), old.encode(), new.encode())
    in_second = by_git.text.decode().partition("(CUT 2, TOOL 2)")[2].partition("(CUT 1")[0]
    assert not by_git.clean or "F0.1" not in in_second
