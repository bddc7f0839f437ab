"""Macro statements: assignments, jumps, conditions, loops, calls with arguments, and what bounds them."""

from __future__ import annotations

import math

import pytest

from gemel.reading import read
from gemel.reading.flow import MOST_JUMPS
from support.channels import causes, codes, path, run, run_from


def variables(text: str) -> dict[int, float]:
    """Variables that have a known value at the end."""
    return {n: v for n, v in run(text).state.variables.items() if not math.isnan(v)}


@pytest.mark.parametrize(
    ("text", "kinds"),
    [
        ("#100=[#101+1.5]", ["set"]),
        ("#1=2#2=3", ["set", "set"]),
        ("#[#1+1]=SQRT[2]", ["set"]),
        ("IF [#1 GT 5] GOTO 10", ["if-goto"]),
        ("IF[#1EQ#0]THEN#1=5", ["if-then"]),
        ("WHILE [#2 LT 3] DO 1", ["while"]),
        ("DO1", ["do"]),
        ("END 1", ["end"]),
        ("GOTO10", ["goto"]),
        ("goto [#1*10]", ["goto"]),
        ("N5 GOTO #1 (BACK)", ["goto"]),
    ],
)
def test_statements_are_read_whole(text: str, kinds: list[str]) -> None:
    """Each with its columns, whatever the blanks and the case; nothing of it is left over as a word."""
    [block] = read(text.encode())
    parts = block.parts
    assert [s.kind for s in parts.statements] == kinds
    assert (parts.words, parts.unknown) == ((), ())
    pieces = "".join(block.text[s.start : s.end] for s in parts.statements)
    assert pieces == block.text.removeprefix("N5 ").partition(" (")[0]


def test_words_with_computed_numbers() -> None:
    """Beside plain ones, in any block; a vacant variable is as if the word were not there."""
    done = run_from(50, 0, "#1=10 #2=3\nG0 X[#1*2+1] Z-#2\nX#9 Z1.\nG#2 X40. Z-4. R5.")
    assert path(done) == ["rapid 21 -3", "rapid 21 1", "arc 40 -4"]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("#1=1\n#1=#1+1 #2=#1", {1: 2, 2: 1}),
        ("#1=5\n#1=#0", {}),
        ("#3=2\n##3=7", {2: 7, 3: 2}),
        ("IF[#1 EQ #0]THEN #1=4 #2=5", {1: 4, 2: 5}),
        ("#1=1\nIF[#1 GT 3]THEN #2=5", {1: 1}),
    ],
)
def test_assignments(text: str, found: dict[int, float]) -> None:
    """All of a block at once, with the values from before it; the vacant variable takes a value away."""
    assert variables(text) == found


def test_an_assignment_that_cannot_be_decided() -> None:
    """Its variable is then unknown, not what it was; under a condition that nobody knows, too. Each is said."""
    done = run("#100=1\n#100=#500\n#101=#100\nG0 X#100")
    assert codes(done).count("not-understood") == 3
    assert done.steps[-1].motions[0].end.x_dia is None
    done = run("#101=1\nIF[#500 EQ 1]THEN #101=2\nG0 X#101")
    assert "jump" in codes(done)
    assert done.steps[-1].motions[0].end.x_dia is None


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("GOTO 5\nM8\nN5 M9", [1, 3]),
        ("#1=5\nGOTO #1\nM8\nN5 M9", [1, 2, 4]),
        ("#1=1\nIF[#1 GT 0]GOTO 5\nM8\nN5 M9", [1, 2, 4]),
        ("#1=1\nIF[#1 LT 0]GOTO 5\nM8\nN5 M9", [1, 2, 3, 4]),
        ("N5 #1=#1+1\nIF[#1 LT 3]GOTO 5\nM8", [1, 2, 1, 2, 1, 2, 3]),
        ("M8\nGOTO 5\nN5 M9\nM30\nN5 M8", [1, 2, 3, 4]),
        ("WHILE[#1 LT 2]DO1\n#1=#1+1\nEND1\nM8", [1, 2, 3, 1, 2, 3, 1, 4]),
        ("#1=7\nWHILE[#1 LT 2]DO1\nM8\nEND1\nM9", [1, 2, 5]),
        (
            "WHILE[#1 LT 2]DO1\n#2=0\nWHILE[#2 LT 1]DO2\n#2=#2+1\nEND2\n#1=#1+1\nEND1",
            [1, 2, 3, 4, 5, 3, 6, 7, 1, 2, 3, 4, 5, 3, 6, 7, 1],
        ),
        ("DO1\n#1=#1+1\nIF[#1 GT 1]GOTO 9\nEND1\nN9 M8", [1, 2, 3, 4, 1, 2, 3, 5]),
        ("WHILE[#1 LT 1] D O 1\n#1=1\nEND 1\nM8", [1, 2, 3, 1, 4]),
    ],
)
def test_jumps_and_loops(text: str, lines: list[int]) -> None:
    """Carried out where the conditions can be decided: the blocks in the order in which they run."""
    done = run(text)
    assert ([s.block.line for s in done.steps], codes(done)) == (lines, [])


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("IF[#500 EQ 1]GOTO 5\nM8\nN5 M9", [1, 2, 3]),
        ("GOTO #500\nM8\nN5 M9", [1, 2, 3]),
        ("WHILE[#500 EQ 1]DO1\nM8\nEND1\nM9", [1, 2, 3, 4]),
        ("GOTO 6\nM8\nN5 M9", [1, 2, 3]),
        ("END1\nM8", [1, 2]),
        ("DO1\nM8", [1, 2]),
        ("WHILE[#1 LT 2]DO1\nM8\nEND2", [1, 2, 3]),
    ],
)
def test_what_cannot_be_decided_is_not_followed(text: str, lines: list[int]) -> None:
    """And said, with the reason; of a loop the body is gone through once."""
    done = run(text)
    assert [s.block.line for s in done.steps] == lines
    assert set(codes(done)) == {"jump"}


def test_for_ever_is_noticed() -> None:
    """The same jump with the same variables, at whatever distance: the run ends there."""
    for text in ("N1 M8\nGOTO 1", "DO1\nM8\nEND1", "N1 #1=1\n#1=2\nGOTO 1", "#1=1\nWHILE[#1 EQ 1]DO1\nEND1"):
        done = run(text)
        assert (done.ending, codes(done)) == ("endless", ["jump"])
        assert len(done.steps) < 12
        assert "for ever" in causes(done)


def test_m99_in_the_middle_goes_round() -> None:
    """M99 P to a block above is a repeat that is meant: the run ends there without a word."""
    done = run("N1 M8\nM99 P1")
    assert (done.ending, codes(done)) == ("endless", [])


@pytest.mark.parametrize(
    "text",
    [
        "#1=0\nN1 #1=#1+1\nGOTO 1",
        "WHILE[#1 LT 1000000]DO1\n#1=#1+1\nEND1",
        "N1 #1=#1+1\n#[#1+100]=#1\nGOTO 1",
    ],
)
def test_jumps_are_bounded(text: str) -> None:
    """A loop that counts without end, or fills every variable, is cut short, and said."""
    done = run(text)
    assert (done.ending, codes(done)) == ("bound", ["jump"])
    assert done.blocks <= 4 * MOST_JUMPS


def test_a_macro_call_has_variables_of_its_own() -> None:
    """G65 gives its arguments as local variables; the caller's come back behind it, common ones stay."""
    text = "#1=1 #100=1\nG65 P9 A2. B3. F.4 T5 X-1. I6. J7. K8.\nG0 X#1\nM30\nO9\n#100=#1+#2\n#1=99\nM99"
    done = run_from(50, 0, text)
    assert path(done) == ["rapid 1 0"]
    assert done.state.variables == {1: 1, 100: 5}
    assert all(s.tool is None for s in done.steps)
    assert done.state.feed == 0.1


def test_arguments_have_their_numbers() -> None:
    """A to Z without G L N O P; common practice, no source."""
    letters = "ABCIJKDEFHQRSTUVWXYZ"
    numbers = [1, 2, 3, 4, 5, 6, 7, 8, 9, 11, 17, 18, 19, 20, 21, 22, 23, 24, 25, 26]
    words = " ".join(f"{letter}{i}." for i, letter in enumerate(letters, 101))
    sets = "\n".join(f"#{n + 100}=#{n}" for n in numbers)
    done = run(f"G65 P9 {words}\nM30\nO9\n{sets}\nM99")
    assert {n - 100: v for n, v in done.state.variables.items()} == dict(zip(numbers, range(101, 121), strict=True))
    assert path(done) == []


def test_a_macro_call_moves_nothing() -> None:
    """Axis letters are arguments there, and all of its words are understood."""
    done = run_from(50, 0, "G65 P9 X1. Z2.\nM30\nO9\nM99")
    assert (path(done), codes(done)) == ([], [])


def test_a_subprogram_shares_its_callers_variables() -> None:
    """M98, unlike G65."""
    assert variables("#1=1\nM98 P9\nM30\nO9\n#1=#1+1\nM99") == {1: 2}
