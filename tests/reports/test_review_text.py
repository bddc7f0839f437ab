"""Channels beside each other: every wait mark in one row, parts that are the same folded, no line lost."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from gemel.edits.side_by_side import GONE, Line, Piece
from gemel.reports.review_text import StageView, stage_views


def channel(*marks: str, between: int = 0) -> list[Line]:
    """A program with these wait marks; `-M702` is one that is gone."""
    words = [word for mark in ("", *marks) for word in (mark, *[""] * between)][1:]
    return [
        Line(
            number,
            None if word[:1] == "-" else number,
            (Piece(word),),
            GONE if word[:1] == "-" else "",
            word.strip("-"),
        )
        for number, word in enumerate(words, 1)
    ]


def shown(view: StageView) -> list[bool]:
    return [cell is not None for cell in view.cells]


def test_channels_meet_in_one_row_at_each_mark() -> None:
    """A mark of both is one row; one of a single channel leaves the other cell empty."""
    views = stage_views({"upper": channel("M701", "M702", "M703"), "lower": channel("M701", "M703", "M704")}, ())
    assert [(view.mark, shown(view)) for view in views] == [
        ("", [True, True]),
        ("M701", [True, True]),
        ("M702", [True, False]),
        ("M703", [True, True]),
        ("M704", [False, True]),
    ]


def test_a_mark_that_is_gone_still_opens_its_row() -> None:
    """The other channel stands there: the reviewer must see across from it what is gone."""
    views = stage_views({"upper": channel("M701", "M702"), "lower": channel("M701", "-M702")}, ())
    [view] = [view for view in views if view.mark == "M702"]
    assert shown(view) == [True, True]
    cell = view.cells[1]
    assert cell is not None
    assert [(row.old, row.new, row.sign) for fold in cell.folds for row in fold.rows] == [("2", "", "-")]


_MARKS = st.lists(st.sampled_from(["M701", "M702", "M703", "-M702"]), max_size=6)


@given(st.lists(st.tuples(_MARKS, st.integers(0, 9)), min_size=1, max_size=3))
def test_no_line_is_lost_or_doubled(programs: list[tuple[list[str], int]]) -> None:
    """Marks in any order, repeated or not, in one to three channels: each line once, in its order."""
    channels = {f"c{i}": channel(*marks, between=between) for i, (marks, between) in enumerate(programs)}
    views = stage_views(channels, ())
    for index, lines in enumerate(channels.values()):
        cells = [view.cells[index] for view in views]
        found = [row.old for cell in cells if cell for fold in cell.folds for row in fold.rows]
        assert found == [str(line.old) for line in lines]


def test_only_what_is_far_from_a_change_is_folded() -> None:
    """Two lines on both sides of a change stay open; a few lines are not worth a fold."""
    lines = [Line(n, n, (Piece(f"X{n}."),), GONE if n == 20 else "", "") for n in range(1, 41)]
    [view] = stage_views({"upper": lines}, ())
    cell = view.cells[0]
    assert cell is not None
    assert [(fold.label, len(fold.rows)) for fold in cell.folds] == [
        ("", 1),
        ("16 lines as written, lines 2 to 17", 16),
        ("", 5),
        ("18 lines as written, lines 23 to 40", 18),
    ]
