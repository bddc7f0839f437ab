"""A copy and its baseline line by line: nothing left out, words marked, whatever a control does to the file."""

from __future__ import annotations

import pytest

from gemel.edits.compare import baseline_of
from gemel.edits.side_by_side import CAME, CHANGED, GONE, Line, side_by_side
from gemel.machines.dialect import dialect_of
from support.control import HABITS
from support.demo import ROOT
from support.proofs import demo_machine

DATA = (ROOT / "output/twin-turnmill/port-block-20/port-block-20.lower.nc").read_bytes()
BASELINE = baseline_of(DATA, dialect_of(demo_machine(), "lower"))


def lines(copy: bytes) -> list[Line]:
    return side_by_side(BASELINE, copy)


def numbers(count: int) -> list[int]:
    return list(range(1, count + 1))


def text_of(line: Line, *, without: str = "nothing") -> str:
    return "".join(piece.text for piece in line.pieces if piece.how != without)


def test_the_same_text_has_every_line_once_and_no_mark() -> None:
    """A copy that is the baseline: all lines of both, in order, as they stand."""
    found = lines(DATA)
    rows = DATA.decode().split("\n")[:-1]
    assert [line.old for line in found] == [line.new for line in found] == numbers(len(rows))
    assert [text_of(line) for line in found] == rows
    assert not any(line.mark for line in found)


@pytest.mark.parametrize("habit", sorted(HABITS.keys() - {"blocks wrapped"}))
def test_what_a_control_does_marks_nothing(habit: str) -> None:
    """No block is marked for what is no edit."""
    assert [line for line in lines(HABITS[habit](DATA)) if line.mark] == []


def test_a_changed_word_stands_beside_the_old_one() -> None:
    """Only the word is marked; without what came the line is the baseline's, without what went the copy's."""
    copy = DATA.replace(b"Q12000 F0.12", b"Q9000 F0.12")
    [line] = [line for line in lines(copy) if line.mark]
    assert line.mark == CHANGED
    assert [(piece.text, piece.how) for piece in line.pieces if piece.how] == [("Q12000", GONE), ("Q9000", CAME)]
    assert text_of(line, without=GONE).replace("  ", " ") == "G83 X0. Z-17.092 Q9000 F0.12"
    assert line.old == line.new == DATA.split(b"\n").index(b"G83 X0. Z-17.092 Q12000 F0.12") + 1


def test_words_that_came_and_went_are_marked() -> None:
    """A word taken away is struck at the end of the block, one put in is marked where it stands."""
    copy = DATA.replace(b"G83 X0. Z-17.092 Q12000 F0.12", b"G83 X0. Z-17.092 F0.12 P200")
    [line] = [line for line in lines(copy) if line.mark]
    assert [(piece.text, piece.how) for piece in line.pieces if piece.how] == [("P200", CAME), ("Q12000", GONE)]


def test_blocks_that_came_and_went_have_one_number() -> None:
    """A block put in has no line in the baseline, one taken away none in the copy; the wait mark is known."""
    copy = DATA.replace(b"M88 (HIGH PRESSURE ON)\n", b"M88 (HIGH PRESSURE ON)\nM01\n").replace(
        b"N200 M702 (UPPER WAITS FOR LOWER: DRILL GALLERY DONE)\n", b""
    )
    came, gone = [line for line in lines(copy) if line.mark]
    assert (came.mark, came.old, text_of(came)) == (CAME, None, "M01")
    assert (gone.mark, gone.new, gone.wait) == (GONE, None, "M702")
    assert [line.new for line in lines(copy) if line.new] == numbers(len(copy.split(b"\n")) - 1)
    assert [line.old for line in lines(copy) if line.old] == numbers(len(DATA.split(b"\n")) - 1)
