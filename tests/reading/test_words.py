"""What a line is made of: words with their numbers and columns, comments, skips, and pieces not understood."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gemel.reading import Block, Comment, read

if TYPE_CHECKING:
    from gemel.reading import Word


def block(text: str) -> Block:
    [only] = read(text.encode("latin-1"), "a.nc")
    return only


def spelt(words: tuple[Word, ...]) -> list[str]:
    """Letter and number of each word, as typed but for blanks and case."""
    return [word.letter + word.text for word in words]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("G00 X10. Z-5.", ["G00", "X10.", "Z-5."]),
        ("G00X10.Z-5.", ["G00", "X10.", "Z-5."]),
        ("g0 x+.5 z-0.", ["G0", "X+.5", "Z-0."]),
        ("G 0 1 X 1 0 . 5", ["G01", "X10.5"]),
        ("\tG01\0X1\x7f0.\f5\v", ["G01", "X10.5"]),
        ("T0101 M701", ["T0101", "M701"]),
        ("A-300. B5 C0 H90. I1 J2 K3 L4 P5 Q6 R7 U8 V9 W1 E2 D3", None),
        ("X1.Y2.;X3.", ["X1.", "Y2."]),
        ("X1. (X2.) Y3.", ["X1.", "Y3."]),
    ],
)
def test_words_whatever_the_typing(text: str, words: list[str] | None) -> None:
    """Blanks mean nothing, not even inside a number, nor does letter case; any letter makes a word."""
    parts = block(text).parts
    assert spelt(parts.words) == (words or text.split())
    assert parts.unknown == ()
    assert all(word.value == float(word.text) for word in parts.words)


def test_a_word_knows_its_columns() -> None:
    """From the letter to behind the number, blanks inside included; cutting the line there gives the word."""
    line = block("/N7 g 0 1X-1 2.5(in)z3")
    parts = line.parts
    assert parts.number is not None
    found = [line.text[word.start : word.end] for word in (parts.number, *parts.words)]
    assert found == ["N7", "g 0 1", "X-1 2.5", "z3"]
    span = line.span(parts.words[1].start, parts.words[1].end)
    assert (span.source, span.line, span.start, span.end) == ("a.nc", 1, 9, 16)


@pytest.mark.parametrize(
    ("text", "pieces"),
    [
        ("HELLO", {"HELLO": 0}),
        ("G01 X", {"X": 4}),
        ("G01 X+ Z1.", {"X": 4, "+": 5}),
        ("X.", {"X": 0, ".": 1}),
        ("X--5", {"X": 0, "--5": 1}),
        ("X1.2.3", {".3": 4}),
        ("X1,5", {",": 2, "5": 3}),
        ("G01 $ X1.", {"$": 4}),
        (") X1.", {")": 0}),
        ("X1. %", {"%": 4}),
        ("é", {"é": 0}),
        ("X" + 400 * "9", {"X" + 400 * "9": 0}),
        ("X1000000000000000.", {"X1000000000000000.": 0}),
        ("#1=", {"#1=": 0}),
        ("N5 X[1+", {"X[1+": 3}),
        ("N5 GOTO", {"GOTO": 3}),
        ("X1. Y[2]] Z3.", {"X1. Y[2]] Z3.": 0}),
        ("IF [#1 GT 2] STOP", {"IF [#1 GT 2] STOP": 0}),
        ("#1=ASIM[1]", {"#1=ASIM[1]": 0}),
        ("#" * 100 + "1=5", {"#" * 100 + "1=5": 0}),
    ],
)
def test_a_piece_that_is_not_understood_is_a_word_of_its_own(text: str, pieces: dict[str, int]) -> None:
    """It stands among the unknown with its text and columns; a faulty macro block is one such piece as a whole."""
    line = block(text)
    unknown = line.parts.unknown
    assert {word.text: word.start for word in unknown} == pieces
    for word in unknown:
        assert (word.letter, word.value, word.expression) == ("", None, None)
        assert line.text[word.start : word.end] == word.text


def test_what_stands_beside_an_unknown_piece_is_read() -> None:
    """One strange character does not hide the words around it."""
    assert spelt(block("G01 $ X1. @F2").words) == ["G01", "X1.", "F2"]


@pytest.mark.parametrize(
    ("text", "level", "number"),
    [
        ("G00", 0, None),
        ("/G00", 1, None),
        ("/ 2 G00", 2, None),
        ("/2N10 G00", 2, 10.0),
        ("N10/3G00", 3, 10.0),
        ("N10 / G00", 1, 10.0),
        ("(C)/G00", 1, None),
        ("/12", 1, None),
        ("/", 1, None),
    ],
)
def test_block_skip_and_its_level(text: str, level: int, number: float | None) -> None:
    """A `/` at the beginning, before or behind the block number, with a level of one digit or without."""
    line = block(text)
    assert line.parts.skip == level
    assert line.skippable == (level > 0)
    assert (line.parts.number.value if line.parts.number else None) == number


@pytest.mark.parametrize("text", ["N30G01X2.", "G01N30X2.", "G01X2.N30", "n 3 0 g1x2.", "/N30G01X2.", "N30/G1X2."])
def test_a_block_number_may_stand_anywhere(text: str) -> None:
    """Wherever it stands it is the block's number and no word; a second one is a word, and strange."""
    parts = block(text).parts
    assert parts.number is not None
    assert parts.number.value == 30
    assert [word.letter for word in parts.words] == ["G", "X"]


def test_a_faulty_macro_block_keeps_its_number() -> None:
    """A jump to it still finds it."""
    number = block("N40 #1=[").parts.number
    assert number is not None
    assert number.value == 40


@pytest.mark.parametrize("text", ["O1234", ":1234", "O 12 34 (BUSH)", "N1 O1234", "/O1234", "o1234", "(A) O1234"])
def test_a_program_number(text: str) -> None:
    """`O` or `:`, as the first word of a block."""
    program = block(text).parts.program
    assert program is not None
    assert (program.letter, program.value) == ("O", 1234)


@pytest.mark.parametrize(
    ("text", "comments"),
    [
        ("()", [("", True)]),
        ("X1 (A) Y2 (B)", [("A", True), ("B", True)]),
        ("(A (B) C) X1", [("A (B) C", True)]),
        ("(A ; B) X1", [("A ; B", True)]),
        ("X1 ; A (B", [(" A (B", True)]),
        ("X1 (A ; B", [("A ; B", False)]),
        ("((A)", [("(A)", False)]),
        (";", [("", True)]),
    ],
)
def test_comments(text: str, comments: list[tuple[str, bool]]) -> None:
    """From `(` to the `)` that closes it, or from `;` to the end; one that nothing closes goes to the end."""
    found = block(text).parts.comments
    assert [(c.text, c.closed) for c in found] == comments
    for comment in found:
        assert text[comment.start] in "(;"
        assert text[comment.start + 1 :].startswith(comment.text)


@pytest.mark.parametrize(("text", "percent"), [("%", True), ("  %", True), ("%O1", True), ("X1%", False), ("", False)])
def test_the_wrapper_mark(text: str, percent: bool) -> None:  # noqa: FBT001 # a column of the table
    """`%` at the beginning of a line."""
    assert block(text + "\n").parts.percent is percent


_SPACE = st.text(" \t\0", max_size=2)
_NUMBERS = st.from_regex(r"[+-]?([0-9]{1,4}(\.[0-9]{0,4})?|\.[0-9]{1,4})", fullmatch=True)
_LETTERS = st.sampled_from("ABCDEFGHIJKLMPQRSTUVWXYZ")


@settings(deadline=None, derandomize=True)
@given(words=st.lists(st.tuples(_LETTERS, _NUMBERS), max_size=8), data=st.data())
def test_blanks_and_case_change_no_word(words: list[tuple[str, str]], data: st.DataObject) -> None:
    """However a block's words are strung together, the same letters and numbers are read."""
    pieces = []
    for letter, number in words:
        pieces.append(data.draw(st.sampled_from([letter, letter.lower()])))
        pieces += [digit + data.draw(_SPACE) for digit in number]
    text = "".join(pieces)
    parts = block(text + "\n").parts
    assert [(word.letter, word.text) for word in parts.words] == words
    assert parts.unknown == ()
    assert all(text[word.start] in {word.letter, word.letter.lower()} for word in parts.words)


def test_a_comment_has_columns() -> None:
    """From its opening mark to behind its closing one."""
    assert block("X1 (AB)Y2").parts.comments == (Comment("AB", 3, 7, closed=True),)
