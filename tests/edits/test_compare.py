"""Comparison by meaning: what is an edit, what it is called, where it is, and what never is one."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gemel.edits.compare import baseline_of, compare
from gemel.edits.model import Edit, Kind
from gemel.machines.dialect import dialect_of
from support import demo
from support.pairs import machine

if TYPE_CHECKING:
    from collections.abc import Callable

_LOWER = dialect_of(machine(), "lower")
_BASE = """%
O1202 (BLOCK 35 LOWER)
G21 G40 G80 G97
N100 M701 (WAIT FOR UPPER: STARTED)
(FACE FRONT, 80 DEG INSERT, CORNER 0.8)
N110 T0101
G21 G40 G80 G97 G18 G99 G54
G50 S4000
G96 S280 M03
M08
G00 Z2.5
G00 X29.
G01 X-1.6 F0.2
G04 X0.5
G00 X120.
M09
M05
(DRILL HOLE 6, DRILL 6 LONG)
N120 T0909
G97 S4000 M03
G00 X0.
G83 X0. Z-32.092 Q12000 F0.12
G80
G00 X120.
M05
N200 M702 (UPPER WAITS FOR LOWER: DRILL DONE)
(CUT THREAD)
N210 T0505
G00 X12.
G32 Z-20. F1.25
G00 X120.
N300 M703
M30
%
"""


def _edits(base: str, copy: str) -> tuple[Edit, ...]:
    return compare(baseline_of(base.encode(), _LOWER), copy.encode()).edits


def _changed(*changes: tuple[str, str]) -> str:
    text = _BASE
    for old, new in changes:
        assert text.count(old) == 1
        text = text.replace(old, new)
    return text


_NAMED = [
    ("X-1.6 F0.2", "X-1.6 F0.18", Kind.FEED, "feed of face front 0.2 to 0.18 mm/rev, 10 % slower"),
    ("S280 M03", "S310 M03", Kind.SPEED, "speed of face front 280 to 310 m/min, 11 % faster"),
    ("G50 S4000", "G50 S3500", Kind.SPEED_LIMIT, "speed limit of face front 4000 to 3500 rpm, 12 % slower"),
    ("X-1.6 F", "X-1.8 F", Kind.DEPTH, "X of face front -1.6 to -1.8 mm, 0.1 mm further in on the radius"),
    ("Z-32.092", "Z-32.5", Kind.DEPTH, "Z of drill hole 6 -32.092 to -32.5 mm, 0.408 mm further in"),
    ("Q12000", "Q8.", Kind.PECK, "peck of drill hole 6 Q12000 to Q8., 33 % shorter"),
    ("G04 X0.5", "G04 X0.8", Kind.DWELL, "dwell of face front 0.5 to 0.8 s, 0.3 s longer"),
    ("X29.", "X30.", Kind.POSITION, "X of face front 29. to 30. mm, 1 mm larger in diameter"),
    ("F1.25", "F1.5", Kind.LEAD, "lead of cut thread 1.25 to 1.5 mm/rev"),
    ("T0101", "T0111", Kind.OFFSET, "tool offset of face front T0101 to T0111"),
    ("T0101", "T0201", Kind.TOOL, "tool of face front T0101 to T0201"),
    ("G99 G54", "G99 G55", Kind.OFFSET, "work offset of face front: G54 (left G54) to G55 (right G55)"),
    ("M08\n", "M88\n", Kind.CODE, "coolant of face front: M08 (coolant on) to M88 (high pressure on)"),
    ("N200 M702", "N200 M712", Kind.WAIT_CHANGED, "wait mark, stage 2 M702 to M712"),
    ("M08\n", "/M08\n", Kind.BLOCK_SKIP, "block skip of face front: / put in"),
    ("O1202", "O1302", Kind.PROGRAM_NUMBER, "program number, before the first wait mark O1202 to O1302"),
    ("G04 X0.5\n", "", Kind.DWELL, "dwell taken away: G04 X0.5"),
    ("G80\n", "G80\nM01\n", Kind.OPTIONAL_STOP, "optional stop put in behind `G80`: M01"),
    ("G80\n", "G80\nG0 X90.\n", Kind.BLOCK_ADDED, "block put in behind `G80`: G00 X90."),
    ("G80\n", "G80\nM720\n", Kind.WAIT_ADDED, "wait mark put in behind `G80`: M720"),
    ("N200 M702 (UPPER WAITS FOR LOWER: DRILL DONE)\n", "", Kind.WAIT_REMOVED, "wait mark taken away: M702"),
    ("(CUT THREAD)", "(CUT THREAD WITH CARE)", Kind.COMMENT, "comment changed: CUT THREAD to CUT THREAD WITH CARE"),
    ("G80\n", "G80\n(SLOWLY)\n", Kind.COMMENT, "comment put in: SLOWLY"),
]


@pytest.mark.parametrize(("old", "new", "kind", "said"), _NAMED, ids=[f"{row[0]} {row[2]}".strip() for row in _NAMED])
def test_an_edit_is_named_in_shop_words_with_its_size(old: str, new: str, kind: Kind, said: str) -> None:
    """One change gives one edit of its kind, with a sentence that a setter would say."""
    [edit] = _edits(_BASE, _changed((old, new)))
    assert (edit.kind, edit.said) == (kind, said)


def test_a_lost_decimal_point_is_said_as_what_a_control_reads() -> None:
    """X29 without its point is another number on many controls, and never a respelling."""
    [edit] = _edits(_BASE, _changed(("G00 X29.", "G00 X29")))
    assert edit.said.endswith("the decimal point is gone, a control may read X29 as 0.029")


def test_an_edit_knows_its_lines_and_its_place() -> None:
    """Lines are counted in each text; stage and operation are those of the baseline."""
    [added, feed] = _edits(_BASE, _changed(("M08\n", "M08\nM01\n"), ("F0.12", "F0.1")))
    assert (added.where.baseline, added.where.copy) == (None, 11)
    assert (feed.where.baseline, feed.where.copy) == (22, 23)
    assert (feed.place, feed.anchor.operation, feed.anchor.stage) == ("stage 1, drill hole 6", "drill-hole-6", 1)
    assert (feed.anchor.block, feed.anchor.nth, feed.anchor.word) == ("G83 X0. Z-32.092 Q12000 F0.12", 1, "F")


def test_a_moved_block_is_a_move() -> None:
    """Coolant that comes on later, a wait that stands elsewhere, a whole operation behind another: each is one edit."""
    later = _changed(("M08\n", ""), ("X-1.6 F0.2\n", "X-1.6 F0.2\nM08\n"))
    [edit] = _edits(_BASE, later)
    assert (edit.kind, edit.old, edit.target and edit.target.block) == (Kind.BLOCK_MOVED, "M08", "G01 X-1.6 F0.2")
    wait = _changed(("N300 M703\n", ""), ("G00 X12.\n", "G00 X12.\nN300 M703\n"))
    [edit] = _edits(_BASE, wait)
    assert (edit.kind, edit.old) == (Kind.WAIT_MOVED, "M703")


def test_a_block_that_repeats_is_told_by_its_operation() -> None:
    """M05 ends two operations; taken out of the second it is gone there, not in the first."""
    first, second = _BASE.split("(DRILL")
    [edit] = _edits(_BASE, f"{first}(DRILL{second.replace(chr(10) + 'M05', '', 1)}")
    assert (edit.kind, edit.old, edit.anchor.operation) == (Kind.BLOCK_REMOVED, "M05", "drill-hole-6")
    [edit] = _edits(_BASE, f"{first.replace('M05' + chr(10), '')}(DRILL{second}")
    assert (edit.kind, edit.old, edit.anchor.operation) == (Kind.BLOCK_REMOVED, "M05", "face-front")


_SAME: dict[str, Callable[[str], str]] = {
    "sequence numbers": lambda text: "\n".join(
        f"N{i}{row}" if row[:1] in "GM" else row for i, row in enumerate(text.split("\n"))
    ),
    "no sequence numbers": lambda text: text.replace("N100 ", "").replace("N110 ", "").replace("N210 ", ""),
    "line ends": lambda text: text.replace("\n", "\r\r\n"),
    "old line ends": lambda text: text.replace("\n", "\r"),
    "leader": lambda text: "\0" * 40 + text + "\0" * 40,
    "letter case": str.lower,
    "no blanks": lambda text: "\n".join(row if "(" in row else row.replace(" ", "") for row in text.split("\n")),
    "zeros": lambda text: text.replace("X29.", "X+29.000").replace("F0.2\n", "F.200\n").replace("G00 ", "G0"),
    "word order": lambda text: text.replace("G83 X0. Z-32.092 Q12000 F0.12", "Q12000 F0.12 Z-32.092 X0. G83"),
    "no wrapper": lambda text: text.replace("%", ""),
    "broken lines": lambda text: text.replace(
        "G83 X0. Z-32.092 Q12000 F0.12", "G83 X0. Z-32.092\nQ12000 F0.12"
    ).replace("G21 G40 G80 G97 G18 G99 G54", "G21 G40 G80 G97\nG18 G99 G54"),
    "a peck in millimetres": lambda text: text.replace("Q12000", "Q12."),
}


@pytest.mark.parametrize("what", _SAME)
def test_what_has_no_meaning_is_no_edit(what: str) -> None:
    """Numbering, line ends, leaders, letter case, blanks, zeros, word order, wrapper, broken lines."""
    assert _edits(_BASE, _SAME[what](_BASE)) == ()


def test_a_block_that_a_person_split_is_an_edit() -> None:
    """A move in two moves is another path: it was not broken because the line was full."""
    found = _edits(_BASE, _changed(("G83 X0. Z-32.092 Q12000 F0.12", "G83 X0.\nZ-32.092 Q12000 F0.12")))
    assert found != ()


def test_a_jump_holds_when_all_is_renumbered() -> None:
    """GOTO and the block that it names may bear another number; another target is an edit."""
    base = "O1\nN10 #1=1\nN20 G00 X10.\nIF[#1GT5]GOTO20\nGOTO10\nM30\n"
    renumbered = "O1\nN100 #1=1.0\nN200 G00 X10.\nN300 IF[#1 GT 5] GOTO 200\nN400 GOTO100\nN500 M30\n"
    assert _edits(base, renumbered) == ()
    assert [edit.kind for edit in _edits(base, base.replace("GOTO10", "GOTO20"))] == [Kind.BLOCK_CHANGED]


def test_a_dwell_is_no_jump() -> None:
    """P is a time here, whatever sequence numbers there are; in a cycle P and Q name the contour."""
    base = "O1\nN10 G04 P20\nN20 G71 P10 Q20\nGOTO20\nM30\n"
    [edit] = _edits(base, base.replace("G04 P20", "G04 P10"))
    assert (edit.kind, edit.old, edit.new) == (Kind.DWELL, "P20", "P10")
    assert _edits(base, base.replace("10", "110").replace("20", "220").replace("P220\n", "P20\n")) == ()


def test_the_family_names_the_operations_where_it_is_known() -> None:
    """Titles are what an operator reads; the ids of the family are what an edit hangs on."""
    titles = {"FACE FRONT, 80 DEG INSERT, CORNER 0.8": "face-1"}
    base = baseline_of(_BASE.encode(), _LOWER, titles=titles)
    [edit] = compare(base, _changed(("X-1.6 F0.2", "X-1.6 F0.18")).encode()).edits
    assert edit.anchor.operation == "face-1"


def test_ids_do_not_hang_on_lines_or_on_the_spelling_of_the_copy() -> None:
    """The same edit has the same id in a copy that is numbered, squeezed and longer in front of it."""
    plain = _changed(("F0.12", "F0.1"))
    other = _changed(("F0.12", "F.100"), ("M08\n", "M08\nM01\nM01\n")).replace(" ", "").replace("N120", "N7")
    assert {edit.id for edit in _edits(_BASE, plain)} < {edit.id for edit in _edits(_BASE, other)}


def test_equal_edits_of_equal_blocks_have_ids_of_their_own() -> None:
    """A decision about one of two equal blocks never settles the other."""
    base = "M701\nT0101\nG01 Z-2. F0.2\nG00 Z2.\nG01 Z-2. F0.2\nG00 Z2.\nM30\n"
    found = _edits(base, base.replace("F0.2", "F0.1"))
    assert len({edit.id for edit in found}) == 2
    assert [edit.anchor.nth for edit in found] == [1, 2]


def test_a_comment_that_a_control_cut_or_lost_is_no_edit() -> None:
    """Controls keep 32 characters or none; what a person wrote over a comment is an edit."""
    cut = _BASE.replace("(FACE FRONT, 80 DEG INSERT, CORNER 0.8)", "(FACE FRONT, 80 DEG INSERT, CORN)")
    assert _edits(_BASE, cut) == ()
    bare = "\n".join(row.partition("(")[0].strip() for row in _BASE.split("\n"))
    found = compare(baseline_of(_BASE.encode(), _LOWER), bare.encode())
    assert (found.edits, found.comments_lost) == ((), 6)


@given(st.binary(max_size=300), st.binary(max_size=300))
def test_no_text_makes_a_comparison_fail(base: bytes, copy: bytes) -> None:
    """Whatever bytes come from a control, they are compared; a text never differs from itself."""
    compare(baseline_of(base, _LOWER), copy)
    assert compare(baseline_of(base, _LOWER), base).edits == ()


def test_comments_without_their_blanks_are_no_edits() -> None:
    """A control that takes out every blank, also in comments, has edited nothing; one that cuts them then neither."""
    pair = demo.demo("twin-turnmill", "port-block", "20")
    for channel, text in pair.texts.items():
        base = baseline_of(text.encode(), dialect_of(machine("twin-turnmill"), channel))
        bare = text.replace(" ", "")
        cut = re.sub(r"\(([^()\n]{30})[^()\n]*\)", r"(\1)", bare)
        for copy in (bare, cut):
            assert compare(base, copy.encode()).edits == ()
