"""Subprograms, repeats and returns: where the run goes, how deep, and what stops it."""

from __future__ import annotations

import pytest

from gemel.reading import ChannelText, read
from gemel.reading.flow import MOST_BLOCKS, MOST_JUMPS
from support.channels import LATHE, codes, path, run, run_from


def lines(text: str, more: tuple[str, ...] = ()) -> list[tuple[str, int]]:
    """File and line of every step."""
    return [(s.block.source, s.block.line) for s in run(text, more=more).steps]


def test_a_call_is_set_in_place() -> None:
    """A later program of the same file; its blocks are one deeper, M99 returns behind the call."""
    done = run("O1\nM98 P2\nG0 X2.\nM30\nO2\nG0 X1.\nM99\nG0 X9.\n")
    assert path(done) == ["rapid 1 300", "rapid 2 300"]
    assert [(s.block.line, s.depth) for s in done.steps] == [(2, 0), (6, 1), (7, 1), (3, 0), (4, 0)]
    assert done.ending == "end"


def test_further_files_hold_subprograms() -> None:
    """Programs of files given besides; the channel's own file is looked at first."""
    assert lines("M98 P7\nM98 P8\nM30\nO7\nM8\nM99", ("O7\nM9\nM99\nO8\nM9\nM99",)) == [
        *(("0.nc", 1), ("0.nc", 5), ("0.nc", 6)),
        *(("0.nc", 2), ("1.nc", 5), ("1.nc", 6)),
        ("0.nc", 3),
    ]


@pytest.mark.parametrize("call", ["M98 P2 L3", "M98 P30002", "M98 L3 P2", "M98 P0030002"])
def test_repeats(call: str) -> None:
    """By L, or in front of a number of four digits."""
    assert path(run_from(50, 0, f"{call}\nM30\nO2\nG0 U-10.\nM99")) == ["rapid 40 0", "rapid 30 0", "rapid 20 0"]


def test_no_repeat_is_no_call() -> None:
    """L0 runs nothing."""
    assert path(run_from(50, 0, "M98 P2 L0\nM30\nO2\nG0 U-10.\nM99")) == []


def test_a_subprogram_without_its_return() -> None:
    """It ends with its text, and the caller goes on."""
    assert path(run_from(50, 0, "M98 P2\nG0 X30.\nM30\nO2\nG0 X40.")) == ["rapid 40 0", "rapid 30 0"]


@pytest.mark.parametrize("head", ["O0001 (MAIN)", ":1", "N5 O1", "(NAME) O1", "%\n\n(A)\nO1", ""])
def test_the_head_of_the_main_program(head: str) -> None:
    """Its number, wherever it stands in its block, or none; the next number begins a subprogram."""
    assert path(run_from(50, 0, f"{head}\nG0 X1.\nO2\nG0 X2.\n")) == ["rapid 1 0"]


@pytest.mark.parametrize("head", ["O2", ":2", "(SUB) O2", "/O2", "N7 O0002 (SUB)", "o 2"])
def test_the_head_of_a_subprogram(head: str) -> None:
    """The same for those that are called."""
    assert path(run_from(50, 0, f"G0 X1.\nM98 P2\nM30\n{head}\nG0 X2.\nM99\n")) == ["rapid 1 0", "rapid 2 0"]


def test_a_number_that_comes_twice() -> None:
    """The first one is run."""
    assert path(run_from(50, 0, "M98 P2\nM30\nO2\nG0 X1.\nM99\nO2\nG0 X2.\nM99")) == ["rapid 1 0"]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("M98 P77", ["no-program"]),
        ("M98", ["no-program"]),
        ("M98 P#500", ["not-understood", "no-program"]),
        ("M98 P1\nM30\nO1\nM99", []),
    ],
)
def test_a_subprogram_that_is_not_there(text: str, found: list[str]) -> None:
    """Said at the call; the run goes on behind it."""
    done = run(text + "\nM8" if "O1" not in text else text)
    assert codes(done) == found


def test_return_to_a_block_number() -> None:
    """M99 P goes to that block of the caller; in the main program it is a jump."""
    text = "M98 P2\nM3 S1\nN50 G0 X1.\nM30\nO2\nM99 P50"
    assert path(run(text)) == ["rapid 1 300"]
    assert [s.block.line for s in run(text).steps] == [1, 6, 3, 4]
    assert [s.block.line for s in run("M99 P7\nM3 S1\nN7 M30").steps] == [1, 3]
    assert codes(run("M99 P8\nM30")) == ["jump"]


def test_m99_repeats_the_main_program() -> None:
    """The pass ends there; modes live on into the next."""
    done = run("G0 X1.\nM99\nG0 X2.")
    assert (done.ending, path(done)) == ("repeat", ["rapid 1 300"])


def test_depth_is_bounded() -> None:
    """Forty nested calls: the control nests ten, the eleventh is not followed, and said once."""
    subs = "".join(f"O{n}\nM98 P{n + 1}\nM99\n" for n in range(1, 41))
    done = run(f"M98 P1\nM30\n{subs}O41\nM8\nM99")
    assert [r.code for r in done.remarks] == ["call-depth"]
    assert max(s.depth for s in done.steps) == LATHE.call_depth
    assert done.ending == "end"


def test_a_subprogram_that_calls_itself() -> None:
    """Comes to the depth that the control has, and back."""
    done = run("M98 P1\nM30\nO1\nM8\nM98 P1\nM99")
    assert [r.code for r in done.remarks] == ["call-depth"]
    assert (done.ending, len(done.steps)) == ("end", 2 + 3 * LATHE.call_depth)


def test_repeats_are_bounded() -> None:
    """More rounds than are followed: the run says that it was cut short."""
    done = run("M98 P1 L99999\nM30\nO1\nM8\nM99")
    assert (done.ending, codes(done)) == ("bound", ["jump"])
    assert done.blocks < 4 * MOST_JUMPS


def test_calls_that_multiply_are_bounded() -> None:
    """Ten calls of ten calls of ten calls ...: ten thousand million blocks, of which a bounded number is read."""
    subs = "".join(f"O{n}\n" + f"M98 P{n + 1} L10\n" + "M99\n" for n in range(1, 10))
    done = run(f"M98 P1 L10\nM30\n{subs}O10\n" + "M8\n" * 100 + "M99")
    assert done.ending == "bound"
    assert done.blocks <= MOST_BLOCKS + 200


def test_motions_that_multiply_are_bounded() -> None:
    """A thousand strokes in a block that is called ten thousand times: the motions count as blocks do."""
    done = run("M98 P1 L9999\nM30\nO1\nG83 W-1. H1. K1000 F.1\nM99")
    assert done.ending == "bound"
    assert sum(len(s.motions) for s in done.steps) < 3 * MOST_BLOCKS


def test_the_wrapper_ends_a_text() -> None:
    """Behind the second `%` nothing is read; the first opens."""
    done = run("%\nO1\nG0 X1.\n%\nG0 X2.")
    assert (path(done), done.ending) == (["rapid 1 300"], "text")
    assert path(run("leader\n%\nG0 X1.\n%")) == ["rapid 1 300"]


def test_skips_are_known_beforehand() -> None:
    """Whether any block may be skipped is known without running; a slash in a comment or an expression is none."""
    for text, has in (("/M8", True), ("(A/B)", False), ("#1=[#2/2]", False), ("(A) /M8", True), ("N5/M8", True)):
        assert ChannelText(LATHE, (read(text.encode()),)).has_skips is has
    assert ChannelText(LATHE, (read(b"M8"), read(b"O1\n/2M9"))).has_skips
