"""What changed in a program is said in blocks, and comments are told from blocks."""

from __future__ import annotations

import pytest

from gemel.shop.changes import Look, compare, difference

LOOK = Look(("(", ")"), 2, "ascii")
OLD = b"%\nO1201 (PORT BLOCK 20)\n(REVISION C)\n(STAMP 1)\nN100 G54\nG1 X15. F520.\nG1 Z-5. (DEEP)\nM30\n%\n"


def kind(new: bytes) -> tuple[str, int]:
    change = compare("a.nc", OLD, new, LOOK)
    return change.kind, change.blocks


@pytest.mark.parametrize(
    ("before", "after", "expected"),
    [
        (b"", b"", ("same", 0)),
        (b"(STAMP 1)", b"(STAMP 2)", ("header only", 0)),
        (b"O1201", b"O1202", ("header only", 0)),
        (b"(REVISION C)\n", b"", ("header only", 0)),
        (b"(DEEP)", b"(DEEPER)", ("blocks", 1)),
        (b"F520.", b"F500.", ("blocks", 1)),
        (b"G1 X15. F520.\n", b"G1 X15. F520.\nG1 X16.\nG1 X17.\n", ("blocks", 2)),
        (b"N100 G54\n", b"", ("blocks", 1)),
        (b"N100 G54\n", b"N100 G54\n(A COMMENT)\n", ("comments only", 0)),
    ],
)
def test_the_kind_of_a_change(before: bytes, after: bytes, expected: tuple[str, int]) -> None:
    """Wrapper, program number and the comments above the first block are the header; the rest are blocks."""
    assert kind(OLD.replace(before, after) if before else OLD) == expected


def test_a_header_that_changes_with_blocks_is_not_counted() -> None:
    """The first changes shown are blocks, when there are any; the stamp changes with each of them anyway."""
    change = compare("a.nc", OLD, OLD.replace(b"STAMP 1", b"STAMP 2").replace(b"F520.", b"F500."), LOOK)
    assert (change.shown(), change.first) == ("1 block changed", ("- G1 X15. F520.", "+ G1 X15. F500."))


def test_a_new_program_is_new() -> None:
    """Without an old text there is nothing to count."""
    assert compare("a.nc", None, OLD, LOOK).shown() == "new"


def test_a_comment_to_the_end_of_the_line() -> None:
    """Where comments have no end, everything behind the start is one."""
    look = Look((";", ""), 0, "ascii")
    assert compare("a", b"G0 X1.\nG1 X2. ; a\n", b"G0 X1.\nG1 X2. ; b\n", look).kind == "blocks"
    assert compare("a", b"; a\nG0 X1.\n", b"; b\nG0 X1.\n", look).kind == "header only"
    assert compare("a", b"G0 X1.\n; a\n", b"G0 X1.\n; b\n", look).kind == "comments only"


def test_the_difference_names_the_file_and_shows_both_sides() -> None:
    """A dry run shows what would go and what would come."""
    rows = difference("output/a.nc", OLD, OLD.replace(b"F520.", b"F500."), LOOK).splitlines()
    assert rows[:2] == ["--- output/a.nc", "+++ output/a.nc"]
    assert "-G1 X15. F520." in rows
    assert "+G1 X15. F500." in rows
    assert difference("output/a.nc", None, OLD, LOOK).startswith("--- /dev/null")
