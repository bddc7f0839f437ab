"""The report for people: what stands first, the programs side by side, the way to a fault in a few words."""

from __future__ import annotations

from itertools import groupby

import pytest

from gemel.proving import Verdict, as_rows, as_text
from support.proofs import proof

_VISIT = "G00 X60.\nG00 X200.\n"


def _report(upper: str, lower: str, width: int = 100) -> tuple[Verdict, list[str]]:
    programs = {"upper": ("upper.nc", upper.encode()), "lower": ("lower.nc", lower.encode())}
    verdict = proof(upper=upper, lower=lower)
    return verdict, as_text(verdict, programs, width).splitlines()


def _row(rows: list[str], words: str) -> int:
    return next(i for i, row in enumerate(rows) if words in row)


DROPPED = (
    "M701\nT1\nM702\nG00 X300\n" + _VISIT + "M703\nM30\n",
    "M70\nM701\nT0101\n" + _VISIT + "M703\nM30\n",
)
"""The lower channel has no M702: the upper one waits for it while the lower one is a stage ahead."""


def test_deadlock_stands_first_and_what_follows_from_it_last() -> None:
    """The waits come first with the word to mend them, then what stands apart, then a line each of what may follow."""
    _, rows = _report(*DROPPED)
    assert rows[0].startswith("Mend this first:")
    order = ("[waits:deadlock]", "[waits:count]", "do not depend on it", "[holding:8-clamp]", "[words:decimal-point]")
    places = [_row(rows, words) for words in order]
    assert places == sorted(places)
    assert rows[places[0]].startswith("upper.nc:3:1: error: ")


def test_consequence_of_a_dropped_wait_is_said_to_be_one() -> None:
    """A meeting behind the wait that one channel does not have is a consequence, one before it is not."""
    shift = "M701\nT1\nM702\n" + _VISIT + "M703\nM704\nM30\n", "M701\nT0101\nM703\n" + _VISIT + "M704\nM30\n"
    upper = shift[0].replace("M702\n", "").replace("M703\n", "M705\n")
    _, rows = _report(upper, "M701\nT0101\n" + _VISIT + "M704\nM30\n")
    assert _row(rows, "These may come from it alone") < _row(rows, "[zones:left]")
    _, rows = _report("T1\n" + _VISIT + "M701\nM30\n", "T0101\n" + _VISIT + "M701\nM702\nM30\n")
    assert _row(rows, "do not depend on it") < _row(rows, "[zones:left]")


def test_every_finding_has_one_line_of_its_own() -> None:
    """Whatever the order, the report has a line for each finding of the verdict, and no other such lines."""
    for upper, lower in (DROPPED, ("M69\n" * 9 + "M30\n", "M68\n" * 9 + "G00 X1\nM30\n")):
        verdict, rows = _report(upper, lower)
        lines = [row for row in rows if row.endswith("]") and ".nc:" in row]
        assert len(lines) == len(verdict.findings)
        assert {row.rsplit("[", 1)[1][:-1] for row in lines} == {f.name for f in verdict.findings}


def test_of_many_findings_of_a_code_the_first_has_the_picture() -> None:
    """Nine faults of one kind are nine lines and one picture."""
    _, rows = _report("M30\n", "M70\n" * 9 + "M30\n")
    assert sum("[holding:8-clamp]" in row for row in rows) == 9
    assert sum("remedy:" in row for row in rows) == 1


def test_first_at_the_machine_stands_first() -> None:
    """The fault of an earlier stage stands before that of a later one, whatever their codes and lines."""
    part = "T0303\nG97 S900 M03\nG00 X60.\nG01 X-1. F0.1\nG00 X200.\nM05\n"
    _, rows = _report("M701\nM702\nT1\nM45\nG00 X60.\nG01 X20. F0.1\nG00 X200.\nM30\n", "M701\n" + part + "M702\nM30\n")
    assert _row(rows, "[holding:5]") < _row(rows, "[holding:9-drive-stopped]")


def test_fault_of_a_later_pass_says_so() -> None:
    """What one pass leaves behind for the next is told with the pass."""
    _, rows = _report("M99\n", "M45\nM46\nG97 S900 M03\nM99\n")
    assert ", in pass 2 [holding:10-c-on]" in rows[0]
    _, rows = _report("M701\nM702\nM99\n", "M701\nM99\n")
    assert not any("in pass 2 [waits:count]" in row for row in rows)


def test_channels_are_aligned_at_their_waits() -> None:
    """Both columns are as wide as each other, and the waits of a stage stand in one row."""
    upper = "M701\nT1\nG00 X60.\nG00 X200.\nM702\nM30\n"
    lower = "M701\nT0101\nG04 X1.\nG04 X1.\nG04 X1.\nG04 X1.\nG04 X1.\nG00 X60.\nG00 X200.\nM702\nM30\n"
    _, rows = _report(upper, lower, 80)
    picture = [row for row in rows if " | " in row]
    assert len({row.index(" | ") for row in picture}) == 1
    assert any("M702" in left and "M702" in right for left, right in (row.split(" | ") for row in picture))
    assert sum(row.count(">") for row in picture) == 2
    assert all(len(row) <= 80 for row in picture)


def test_other_channel_shows_how_far_it_has_come() -> None:
    """Where a clamp opens under a spindle that the other channel has started, that block is marked too."""
    upper = "M701\nG97 S900 M03\nM05\nM702\nM30\n"
    _, rows = _report(upper, "M701\nM69\nM68\nM702\nM30\n")
    at_lower = _row(rows, "lower.nc:2:1: error")
    picture = "\n".join(rows[at_lower : at_lower + 9])
    assert "=    2 G97 S900 M03" in picture
    assert ">    2 M69" in picture


@pytest.mark.parametrize("width", [20, 60, 100, 200])
def test_picture_keeps_the_width(width: int) -> None:
    """Rows of a picture are as wide as asked for, down to a width below which nothing could be read."""
    long = "G00 X60. (" + "A" * 60 + ")\n"
    _, rows = _report("T1\n" + long + "G00 X200.\nM30\n", "T0101\n" + long + "G00 X200.\nM30\n", width)
    assert max(len(row) for row in rows if " | " in row) <= max(width, 46)


def test_way_to_a_fault_is_told_in_runs() -> None:
    """A trace of many blocks is a few runs; one that goes into the next pass begins again."""
    lower = "M45\nM46\n" + "G04 X1.\n" * 40 + "G97 S900 M03\nM99\n"
    _, rows = _report("M99\n", lower)
    shown = next(row for row in rows if "shown by" in row)
    assert shown.count("lower") <= 3
    assert len(shown) < 100


def test_kinds_of_rows_say_what_they_are() -> None:
    """Findings, marked blocks, heads and the verdict can be told apart without reading them."""
    programs = {"upper": ("upper.nc", b"M701\nM30\n"), "lower": ("lower.nc", b"M30\n")}
    rows = as_rows(proof(upper="M701\nM30\n", lower="M30\n"), programs)
    assert [kind for kind, _ in groupby(row.kind for row in rows if row.kind)] == [
        "head",
        "error",
        "mark",
        "error",
        "mark",
        "fail",
    ]


def test_control_characters_do_not_reach_the_screen() -> None:
    """What a program holds is printed with control characters made visible."""
    _, rows = _report("M30\n", "M70 (\x1b[31m\x07)\nM30\n")
    assert "\x1b" not in "\n".join(rows)
    assert "\x07" not in "\n".join(rows)
