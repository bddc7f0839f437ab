"""NISTIR 6556, section 3.3: what a line of RS274/NGC may hold. Each test names its paragraph."""

from __future__ import annotations

import itertools

import pytest

from gemel.reading import read
from gemel.reading.dialect import code_key
from support.rs274 import RS274, run, run_from


def codes(text: str) -> list[str]:
    """Codes of the remarks on a program."""
    return [remark.code for remark in run(text).remarks]


def end(text: str) -> tuple[float | None, float | None, float | None]:
    """Where a program that starts at the origin leaves the tool."""
    position = run_from((0, 0, 0), text).state.position
    return position.x_dia, position.y, position.z


@pytest.mark.parametrize(("length", "found"), [(256, []), (257, ["block-length"])])
def test_a_line_has_256_characters_at_most(length: int, found: list[str]) -> None:
    """3.3: one more is said."""
    assert codes("G0 X1 (" + "-" * (length - 8) + ")") == found


def test_a_line_is_skip_number_words() -> None:
    """3.3: block-skip mark, line number, then words, settings and comments in any order."""
    [block] = read(b"/N0012 G0 #1=2 X1 (COMMENT) Y2")
    parts = block.parts
    assert (parts.skip, parts.number and parts.number.text) == (1, "0012")
    assert [word.letter for word in parts.words] == ["G", "X", "Y"]
    assert (len(parts.statements), len(parts.comments)) == (1, 1)


@pytest.mark.parametrize("text", ["g0x +0. 12 34y 7", "G0 X+0.1234 Y7", "\tG0X.1234\tY7.", "g 0 x 0 . 1 2 3 4 y 0 7"])
def test_blanks_and_case_have_no_meaning(text: str) -> None:
    """3.3: the report's own example, and three spellings of it."""
    assert end(text) == (0.1234, 7, 0)
    assert codes(text) == []


def test_blank_lines_are_left_out() -> None:
    """3.3."""
    assert [step.block.line for step in run("\n   \nG0 X1\n\t\n").steps] == [3]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("N0", []),
        ("N7", []),
        ("N99999", []),
        ("N000009", ["number-format"]),
        ("N-1", ["number-format"]),
        ("N1.5", ["number-format"]),
    ],
)
def test_a_line_number_is_one_to_five_digits(text: str, found: list[str]) -> None:
    """3.3.1 and appendix E: no sign, no point, not six digits."""
    assert codes(text + " G0 X1") == found


def test_line_numbers_may_repeat_and_be_out_of_order() -> None:
    """3.3.1: or be absent; nothing is said."""
    assert codes("N20 G0 X1\nN10 X2\nN10 X3\nX4") == []


@pytest.mark.parametrize(
    ("number", "value"),
    [("5", 5.0), ("5.", 5.0), (".5", 0.5), ("+.5", 0.5), ("-0.8807", -0.8807), ("007.500", 7.5), ("-0", 0.0)],
)
def test_numbers(number: str, value: float) -> None:
    """3.3.2.1: a sign or none, a point or none, a digit at least; zeros before and behind have no effect."""
    assert end(f"G0 X{number}")[0] == value
    assert codes(f"G0 X{number}") == []


@pytest.mark.parametrize("number", [".", "+", "1.2.3", "1e3", "--5", ""])
def test_what_is_no_number(number: str) -> None:
    """3.3.2.1 and appendix E: each is said, `1e3` because E is no letter of the dialect."""
    assert "not-understood" in codes(f"G0 X{number}")


def test_seventeen_figures_are_kept() -> None:
    """3.3.2.1: a double holds them."""
    assert end("G0 X0.12345678901234567")[0] == 0.12345678901234567


@pytest.mark.parametrize(
    ("letter", "value", "key"),
    [
        ("M", 3.0001, "M3"),
        ("M", 2.9999, "M3"),
        ("M", 3.0002, "M3.0002"),
        ("G", 59.10001, "G59.1"),
        ("G", 59.1001, "G59.1001"),
        ("G", 0.99999, "G1"),
    ],
)
def test_close_to_a_whole_number(letter: str, value: float, key: str) -> None:
    """3.3.2.1: within 0.0001 it is that number, of a G word ten times the number."""
    assert code_key(letter, value) == key


@pytest.mark.parametrize("letter", "EOUVW")
def test_letters_without_a_meaning(letter: str) -> None:
    """Table 3 and appendix E: five letters begin no word of the dialect; each is said."""
    assert codes(f"G0 X1 {letter}2") == ["not-understood"]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("G0 G17 G21 G40 G90 G94 G98 X1", []),
        ("M6 M3 M8 M48 T1 S1", []),
        ("G0 G1 X1 F1", ["modal-group"]),
        ("M3 M5 S1", ["modal-group"]),
        ("G0 X1 X2", ["word-twice"]),
        ("G0 X1 X1", ["word-twice"]),
    ],
)
def test_words_that_may_stand_together(text: str, found: list[str]) -> None:
    """3.3.5: codes of different groups, any other letter once. A limit of four M words is none of our machines'."""
    assert codes(text) == found


def test_the_order_of_a_line_changes_nothing() -> None:
    """3.3.6: two words, two settings and a comment have 120 orders, and all of them do the same."""
    start = "#3=15 #4=1\nG0\n"
    results = set()
    for items in itertools.permutations(["X#3", "Y[#4+1]", "#3=6", "#4=#3", "(COMMENT)"]):
        done = run_from((0, 0, 0), start + " ".join(items))
        position, variables = done.state.position, done.state.variables
        results.add((position.x_dia, position.y, variables[3], variables[4], done.remarks))
    assert results == {(15, 2, 6, 15, ())}


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("(PLAIN) G0 X1", []),
        ("G0 X1 (MSG, CHECK THE VISE)", []),
        ("G0 (A) X1 (B)", []),
        ("G0 X1 (INNER (COMMENT) SAID)", ["not-understood"]),
        ("G0 X1 (OPEN", ["comment"]),
    ],
)
def test_comments(text: str, found: list[str]) -> None:
    """3.3.4, 3.3.5: one inside another and one without an end are said. All are kept; none is shown as a message."""
    assert codes(text) == found
    assert end(text)[0] == 1


def test_nothing_behind_the_closing_mark_is_read() -> None:
    """3.1: a file between two `%` ends at the second; without them it needs an end code."""
    assert run("%\nG0 X1\n%\nG0 X2").state.position.x_dia == 1
    assert run("G0 X1\nM2\nG0 X2").ending == "end"


@pytest.mark.parametrize("code", ["M2", "M30"])
def test_nothing_behind_the_end_is_read(code: str) -> None:
    """3.1, 3.6.1."""
    done = run(f"G0 X1\n{code}\nX2")
    assert (done.ending, done.state.position.x_dia) == ("end", 1)


@pytest.mark.parametrize(
    ("text", "x"),
    [
        ("#1=5 #3=7 \nX[#1+2]", 7),
        ("#3=8\nX#[1+2]", 8),
        ("#2=9 #9=4\nX##2", 4),
        ("#1=1 #2=10\nX[#1+2]", 3),
        ("#3=15\n#3=6 X#3", 15),
        ("#3=15\n#3=6\nX#3", 6),
    ],
)
def test_parameters(text: str, x: float) -> None:
    """3.3.2.2, 3.3.3: `#1+2` is (#1)+2; a setting takes effect behind its line. How many there are, a control says."""
    assert end("G0\n" + text)[0] == x


@pytest.mark.parametrize(
    ("text", "dwell_s", "found"),
    [
        ("G4 P1.5", 1.5, []),
        ("G4 P0", 0, []),
        ("G4 P-1", 0, ["not-understood"]),
        ("M3 S-5", 0, ["no-speed", "not-understood"]),
    ],
)
def test_times_and_speeds_have_no_sign(text: str, dwell_s: float, found: list[str]) -> None:
    """3.5.4, 3.7.2: P of a dwell is seconds; a negative one, and a negative speed, are said and not used."""
    [step] = run(text).steps
    assert step.dwell_s == dwell_s
    assert [remark.code for remark in step.remarks] == found
    assert step.speed.value is None


def test_the_dialect_is_that_of_the_report() -> None:
    """What the cases above rest on: seconds, five digits, 256 characters, X as a length, arcs to 0.002 mm (3.5.3.2)."""
    assert RS274.dwell == {"P": 1.0}
    assert (RS274.longest_block, RS274.numbers.sequence_digits) == (256, 5)
    assert (RS274.x_is_diameter, RS274.arc_tolerance) == (False, 0.002)
