"""Input that was never a program, or far too much of one: read in one go, back byte for byte, in bounded memory.

No clock: each of these texts, read in a time that grows with the square of its length, would take minutes.
"""

from __future__ import annotations

import os
import random
import subprocess
import sys
import tracemalloc

import pytest

from gemel.reading import ChannelText, interpret, read, write
from gemel.reading.parts import Parts
from gemel.reading.words import parts_of
from support.channels import LATHE, codes, run

_MANY = 100_000


@pytest.mark.parametrize(
    "piece",
    [
        *(
            "X ",
            "AB \t",
            "N ",
            "X1. ",
            "/ ",
            "()",
            "(",
            "(a)X1",
            ";(",
            "#1=1",
            "#1=",
            "[",
            "]",
            "DO ",
            "END",
            "IF[",
            ".",
        ),
        *("GOTO", "1 ", "-", "%", "$", "\0", "é", "X1Y2Z3", "O1", ":", "G1G2", "M701"),
    ],
)
@pytest.mark.parametrize("head", ["", "X", "N1", "#1="])
def test_one_line_without_end(head: str, piece: str) -> None:
    """A line of a hundred thousand characters, whatever it is made of, is read once from left to right."""
    for text in (head + piece * (_MANY // len(piece)), head + " " * _MANY + piece):
        program = read(text.encode("latin-1"))
        parts = program[0].parts
        assert len(program) == 1
        assert parts != Parts() or not text.strip(" \0")
        assert write(program) == text.encode("latin-1")


@pytest.mark.parametrize("end", ["\n", "\r", "\r\n", "\n\r"])
def test_a_hundred_thousand_lines(end: str) -> None:
    """Empty ones are blocks too, and nothing happens in them."""
    program = read((end * _MANY).encode())
    done = interpret(ChannelText(LATHE, (program,)))
    assert done.steps == ()
    assert done.blocks == len(program)


def test_binary() -> None:
    """Random bytes, and a compressed file's head: blocks that are not understood, said as such."""
    rng = random.Random(7)  # noqa: S311 # a fixed sequence is wanted
    data = b"PK\x03\x04" + rng.randbytes(100_000)
    program = read(data, "a.zip")
    assert write(program) == data
    done = interpret(ChannelText(LATHE, (program,)))
    assert {"not-understood", "character"} <= set(codes(done))


def test_ten_thousand_waits() -> None:
    """Each is one step, in order."""
    text = "\n".join(f"M{701 + i % 99}" for i in range(10_000)) + "\nM30\n"
    done = run(text)
    assert [s.wait.number for s in done.steps if s.wait] == [701 + i % 99 for i in range(10_000)]
    assert codes(done) == []


def test_words_are_read_when_first_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """Reading and writing back looks at no word; asking for those of one block reads that block, once."""
    asked: list[str] = []

    def counted(text: str) -> Parts:
        asked.append(text)
        return parts_of(text)

    monkeypatch.setattr("gemel.reading.blocks.parts_of", counted)
    data = b"G00 X1.\n" * 1000 + b"M30\n"
    program = read(data)
    assert write(program) == data
    assert (len(program), asked) == (1001, [])
    assert [w.letter for w in program[1000].words] == ["M"]
    assert program[1000].words is program[1000].words
    assert asked == ["M30"]


def test_words_of_many_blocks_are_not_kept() -> None:
    """A program of two million characters takes a few times its own size, also when every word has been asked for."""
    data = b"N100 G01 X12.345 Y-6.789 Z0.5 F900.\n" * 60_000
    tracemalloc.start()
    try:
        program = read(data)
        assert write(program) == data
        letters = {word.letter for block in program for word in block.words}
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert letters == set("GXYZF")
    assert peak < 10 * len(data)


def test_words_that_were_pushed_out_are_read_again() -> None:
    """And are the same; a block number and what lies around it too."""
    program = read(b"".join(b"N%d G01 X%d. (A) /\n" % (n, n) for n in range(9000)))
    first = [block.parts for block in program]
    assert [block.parts for block in program] == first
    assert [block.words for block in program] == [parts.words for parts in first]


_ENDLESS = [
    "N1 #1=#1+1\nG1 X#1 F.1\nGOTO 1",
    "M98 P1 L9999\nM30\nO1\nM98 P1 L9999\nM99",
    "N1 #[#1+100]=#1 #1=#1+1\nGOTO 1",
    "M98 P1 L9999\nM30\nO1\nG76 X1. Z-9. P9000 Q1\nM99",
    "M98 P1 L9999\nM30\nO1\nG83 H1. Z-9. K1000\nM99",
]


@pytest.mark.parametrize("text", _ENDLESS)
def test_memory_of_a_run_without_end(text: str) -> None:
    """A program that goes on and on ends, and is said to, in a process that may take half a gigabyte."""
    code = (
        "import resource, sys\n"
        "resource.setrlimit(resource.RLIMIT_AS, (512 << 20, 512 << 20))\n"
        "from support.channels import run\n"
        f"done = run({text!r})\n"
        "assert done.remarks\n"
        "print(done.ending)\n"
    )
    paths = os.pathsep.join(sys.path)
    made = subprocess.run(  # noqa: S603 # our own interpreter
        [sys.executable, "-c", code], capture_output=True, check=False, text=True, env={"PYTHONPATH": paths}
    )
    assert made.returncode == 0, made.stderr
    assert made.stdout.strip() in {"bound", "end"}
