"""What changed in a program is said by its meaning, and a dry run shows every line."""

from __future__ import annotations

import pytest

from gemel.edits.meaning import Text
from gemel.machines.dialect import dialect_of
from gemel.shop.changes import Look, compare, difference
from support.demo_family import turnmill

LOOK = Look("ascii", {"a.nc": dialect_of(turnmill(), "upper")})
OLD = b"%\nO1201 (PORT BLOCK 20)\n(REVISION C)\n(STAMP 1)\nN100 G54\nG1 X15. F520.\nG1 Z-5. (DEEP)\nM30\n%\n"


def shown(new: bytes) -> str:
    return compare("a.nc", Text(OLD, {}), Text(new, {}), LOOK).shown()


@pytest.mark.parametrize(
    ("before", "after", "expected"),
    [
        (b"", b"", "the same"),
        (b"(STAMP 1)", b"(STAMP 2)", "nothing but the header"),
        (b"(REVISION C)\n", b"", "nothing but the header"),
        (b"(DEEP)", b"(DEEPER)", "nothing but comments"),
        (b"N100 G54\n", b"N100 G54\n(A COMMENT)\n", "nothing but comments"),
        (b"N100 G54\n", b"N110 G54\n", "nothing but sequence numbers"),
        (b"Z-5.", b"Z-5.000", "nothing but spelling"),
        (b"\n", b"\r\n", "nothing but spelling"),
        (b"O1201", b"O1202", "1 block changed"),
        (b"F520.", b"F500.", "1 block changed"),
        (b"X15. F520.", b"X16. F500.", "1 block changed"),
        (b"G1 X15. F520.\n", b"G1 X15. F520.\nG1 X16.\nG1 X17.\n", "2 blocks changed"),
        (b"N100 G54\n", b"", "1 block changed"),
    ],
)
def test_what_is_shown_of_a_change(before: bytes, after: bytes, expected: str) -> None:
    """Blocks are counted where their meaning changed; what only looks different is named."""
    assert shown(OLD.replace(before, after) if before else OLD) == expected


def test_a_header_that_changes_with_blocks_is_not_counted() -> None:
    """The stamp changes with every block; one block is one block."""
    assert shown(OLD.replace(b"STAMP 1", b"STAMP 2").replace(b"F520.", b"F500.")) == "1 block changed"


def test_a_new_program_is_new() -> None:
    """Without an old text there is nothing to compare with."""
    assert compare("a.nc", None, Text(OLD, {}), LOOK).shown() == "new"


def test_the_difference_names_the_file_and_shows_both_sides() -> None:
    """A dry run shows what would go and what would come."""
    rows = difference("output/a.nc", OLD, OLD.replace(b"F520.", b"F500."), LOOK).splitlines()
    assert rows[:2] == ["--- output/a.nc", "+++ output/a.nc"]
    assert "-G1 X15. F520." in rows
    assert "+G1 X15. F500." in rows
    assert difference("output/a.nc", None, OLD, LOOK).startswith("--- /dev/null")
