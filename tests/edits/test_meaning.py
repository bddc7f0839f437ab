"""What two texts of a program differ in is told apart: what changes the work, and what only looks different."""

from __future__ import annotations

from gemel.edits.gathered import gathered, some_of_each
from gemel.edits.meaning import Meaning, Text, meaning
from gemel.edits.model import Kind
from gemel.machines.dialect import dialect_of
from support.demo_family import turnmill

OLD = b"""%
O1201 (BLOCK UPPER)
(DRAWING K-1 REV C)
(GEMEL 0.1.0, STAMP 0123456789)
G21 G40 G80 G97
N100 M701 (WAIT FOR LOWER)
(4 FLATS ACROSS 14.979, END MILL 12)
N110 T1
G98 G19 G54
G01 Y5. F500.
G01 Y-5. F500.
G00 X30.
G01 Y6. F500.
(DRILL 2 HOLES)
N120 T5
G83 X-3.5 Z-10. Q4000 F900.
N130 M702
M30
%
"""


def found(*changes: tuple[bytes, bytes], titles: dict[str, str] | None = None) -> Meaning:
    """What the text differs in with some pieces replaced."""
    new = OLD
    for old, fresh in changes:
        assert old in new
        new = new.replace(old, fresh)
    return meaning(Text(OLD, titles or {}), Text(new, titles or {}), dialect_of(turnmill(), "upper"))


def said(one: Meaning) -> list[str]:
    return [row.said for row in gathered(one.changes)]


def test_equal_changes_are_one_row() -> None:
    """Three equal feeds of one operation are said once, with how many."""
    [row] = said(found((b"F500.", b"F400.")))
    assert row.startswith("3 x feed of 4 flats across 14.979 500. to 400.")
    assert row.endswith("20 % slower")


def test_unlike_figures_of_one_word_share_a_row() -> None:
    """The first is said in full, the others by number; waits and blocks are never put together so."""
    rows = said(found((b"Y5.", b"Y4."), (b"Y6.", b"Y5.5")))
    assert len(rows) == 1
    assert rows[0].endswith("; and 1 more of Y there")
    assert len(said(found((b"N100 M701 (WAIT FOR LOWER)\n", b""), (b"N130 M702\n", b"")))) == 2


def test_by_as_much_is_said_where_it_is_so() -> None:
    """A word that went the same way everywhere is told so."""
    assert said(found((b"Y5.", b"Y4."), (b"Y6.", b"Y5.")))[0].endswith("; and 1 more of Y there by as much")


def test_the_gravest_come_first_and_each_kind_is_shown() -> None:
    """A lost wait stands above a feed; of few rows one is of every kind."""
    one = found(
        (b"N130 M702\n", b""), (b"F500.", b"F400."), (b"X-3.5", b"X-3."), (b"Q4000", b"Q3000"), (b"X30.", b"X31.")
    )
    rows = gathered(one.changes)
    kinds = [row.edits[0].kind for row in rows]
    assert kinds[0] is Kind.WAIT_REMOVED
    assert kinds == sorted(kinds, key=lambda kind: kind.risk)
    few = some_of_each(rows, 4)
    assert {row.edits[0].kind for row in few} >= {Kind.WAIT_REMOVED, Kind.FEED}
    assert few == [row for row in rows if row in few]


def test_operations_go_by_the_ids_of_the_family_when_only_figures_of_a_title_differ() -> None:
    """A record whose title has another size tells the operation all the same."""
    titles = {"4 FLATS ACROSS 15.979, END MILL 12": "mill-flats"}
    assert said(found((b"F500.", b"F400."), titles=titles))[0].startswith("3 x feed of mill flats ")


def test_header_and_comments_are_told_apart() -> None:
    """A stamp alone is the header and no row; a drawing is a row of it; a title is a comment."""
    stamp = found((b"STAMP 0123456789", b"STAMP 9876543210"))
    assert (stamp.said, stamp.header, stamp.comments) == ("nothing but the header", (), ())
    drawing = found((b"REV C", b"REV D"))
    assert [edit.new for edit in drawing.header] == ["DRAWING K-1 REV D"]
    title = found((b"(DRILL 2 HOLES)", b"(DRILL 2 DEEP HOLES)"))
    assert (title.said, len(title.comments)) == ("nothing but comments", 1)


def test_a_comment_without_its_blanks_is_the_same_comment() -> None:
    """A control that drops every blank has changed no comment, and lost none."""
    one = meaning(Text(OLD, {}), Text(OLD.replace(b" ", b""), {}), dialect_of(turnmill(), "upper"))
    assert (one.said, one.comments, one.header) == ("nothing but spelling", (), ())
    assert one.comments_lost == 0


def test_a_program_number_is_a_change() -> None:
    """Another number is another program to the control, though it stands in the header."""
    one = found((b"O1201", b"O1301"))
    assert [edit.kind for edit in one.changes] == [Kind.PROGRAM_NUMBER]
    assert one.said == "1 change in 1 block"
