"""Remarks on the spelling of a block, as the dialect asks for it: each with the words it is about."""

from __future__ import annotations

import pytest

from support.channels import causes, codes, run, run_from


def said(text: str) -> list[tuple[str, str]]:
    """Code and text of each remark."""
    return [(remark.code, remark.text) for remark in run_from(50, 0, text).remarks]


@pytest.mark.parametrize(
    ("text", "remarks"),
    [
        ("G0 X10.", []),
        ("G0 X0 Z0", []),
        ("G0 X-0", []),
        ("G0 X10", [("decimal-point", "X10")]),
        ("G0 X10 Z5", [("decimal-point", "X10")]),
        ("G0 X1 0", [("decimal-point", "X1 0")]),
        ("G4 X2", [("decimal-point", "X2")]),
        ("G4 P2000", []),
        ("#1=10\nG0 X#1", []),
        ("G0 X[5*2]", []),
        ("G3 X20. Z-10. R10", [("decimal-point", "R10")]),
    ],
)
def test_dimensions_need_a_point(text: str, remarks: list[tuple[str, str]]) -> None:
    """Unless they are zero or computed: once a block, at the first one."""
    assert said(text) == remarks


def test_all_dimensions_without_a_point_are_named() -> None:
    """The remark names each of them."""
    assert "X10, Z5: a dimension" in causes(run("G0 X10 Z5"))


@pytest.mark.parametrize(
    ("text", "remarks"),
    [
        ("G0 X1.2345", []),
        ("G0 X1.23456", [("number-format", "X1.23456")]),
        ("G0 X12345678.", []),
        ("G0 X123456789.", [("number-format", "X123456789.")]),
        ("G0 X000000000001.", []),
        ("S500.", [("number-format", "S500.")]),
        ("F.12", []),
        ("N12345678 M8", []),
        ("N123456789 M8", [("number-format", "N123456789")]),
    ],
)
def test_numbers_have_a_form(text: str, remarks: list[tuple[str, str]]) -> None:
    """Decimals and digits that the control reads, no point where it takes none; leading zeros are no digits."""
    assert said(text) == remarks


@pytest.mark.parametrize(
    ("text", "remarks"),
    [
        ("G0 X1. X2.", [("word-twice", "X2.")]),
        ("M8 M8", [("word-twice", "M8")]),
        ("M8 M08", [("word-twice", "M08")]),
        ("M8 M68", []),
        ("G0 G1 X1.", [("modal-group", "G0 G1 X1.")]),
        ("M701 M702", [("modal-group", "M701 M702")]),
        ("G0 X1. U1.", [("absolute-and-incremental", "U1.")]),
        ("G0 X1. W1.", []),
        ("N1 N2 M8", [("not-understood", "N2")]),
        ("M8 O5", [("not-understood", "O5")]),
    ],
)
def test_words_that_exclude_each_other(text: str, remarks: list[tuple[str, str]]) -> None:
    """A word twice, two codes of one group, two waits, one axis by two letters; a second block or program number."""
    assert said(text) == remarks


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("M8" + 78 * " ", []),
        ("M8" + 79 * " ", ["block-length"]),
        ("M8 (ÄÖ)", []),
        ("M8 ä", ["character", "not-understood"]),
        ("m8 x", ["not-understood"]),
        ("M8 (OPEN", ["comment"]),
        ("M8 (IN (SIDE))", ["not-understood"]),
        ("M8 ; (OPEN", []),
    ],
)
def test_lines(text: str, found: list[str]) -> None:
    """Length, characters outside comments, comments that do not close or hold another."""
    assert codes(run(text)) == found


def test_a_misspelt_block_is_said_each_time_it_runs() -> None:
    """With the same words, so that a repeated subprogram tells its fault once to those who count places."""
    done = run("M98 P2 L3\nM30\nO2\nG0 X390\nM99")
    places = [(r.code, r.span.line, r.span.start) for r in done.remarks]
    assert places == [("decimal-point", 4, 3)] * 3


def test_a_variable_that_nobody_can_name() -> None:
    """Which variable is set cannot be known: said, and none is."""
    done = run("#[#500]=3")
    assert codes(done) == ["not-understood"]
    assert done.state.variables == {}


def test_a_return_that_nobody_can_follow() -> None:
    """M99 P of a variable that nobody sets: said, and the subprogram returns behind its call."""
    done = run("M98 P2\nM8\nM30\nO2\nM99 P#500")
    assert "jump" in codes(done)
    assert [s.block.line for s in done.steps] == [1, 5, 2, 3]
