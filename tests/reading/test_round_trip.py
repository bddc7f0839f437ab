"""Any bytes to blocks and back to the same bytes, whoever typed, posted or punched them."""

from __future__ import annotations

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from gemel.reading import Program, read, write

_EVEN = bytes(b if b.bit_count() % 2 == 0 else b | 0x80 for b in range(128))
"""Seven-bit characters with even parity, as tape punches and old lines send them (ISO 840)."""


_SEARCH = settings(deadline=None, derandomize=True, max_examples=300)


def _with_parity(text: str) -> bytes:
    return text.encode("ascii").translate(_EVEN + bytes(range(128, 256)))


EXAMPLES = {
    "empty": b"",
    "one line end": b"\n",
    "mixed line ends": b"G00 X1.\r\nG01 X2.\nG01 X3.\rG01 X4.\n\rM30\r\r\n",
    "no last line end": b"G00 X1.\nM30",
    "wrapper": b"%\nO0001(BUSH)\nM30\n%\n",
    "bytes behind the wrapper": b"%\nM30\n%\n\0\0\0",
    "byte order mark": b"\xef\xbb\xbf%\r\nO1\r\nM30\r\n%",
    "byte order mark alone": b"\xef\xbb\xbf",
    "utf-16": "G00 X1.\r\n".encode("utf-16"),
    "nul and rubout": b"\0\0G0\x7f0 X\x001.\n\0",
    "form feed and vertical tab": b"G00 X1.\f\nG01\vX2.\n\f\n",
    "other separators are no line ends": b"G00\x1cX1.\x1dY2.\x1eZ3.\x85F1.\xa0S1\n",
    "lower case": b"g0x10.z-5.\nm30\n",
    "no spaces": b"N10G96S180M03T0101\nG01X20.Z-5.F.2\n",
    "spaces inside numbers": b"g0x +0. 12 34y 7\nM 7 0 1\n",
    "comments": b"(HEAD)\nG00 X1. (IN) Z2. ; REST (OF) LINE\n;\n()\n",
    "nested comments": b"(A (B) C) G00 X1.\n((((\n))))\n",
    "unclosed comment": b"G00 X1. (OPEN\nG01 X2.)\n",
    "skips": b"/G00 X1.\n/2 G01 X2.\n/ 3G01 X3.\n/\nN10/4 M701\n/N20 M702\n//\n",
    "program numbers": b"O1234\n:1234\nO 12 34 (NAME)\n/O7\nN5 O8\n",
    "block numbers anywhere": b"N10 G00 N20 X1.\nX2. N30\nN\nN-1\nN1.5\n",
    "macro statements": b"#100=[#101+1.5]\nIF [#1 GT 5] GOTO 10\nWHILE[#2LT3]DO1\nEND1\nG65P9001A1.\n#=\nIF[\n",
    "not understood": b"HELLO WORLD\nG01 X1,5 $ @ !\nX1.2.3 Y--1 Z. W+\n\xe9\xff\n",
    "parity": _with_parity("%\r\nO0001\r\nN10 G00 X200. Z5.\r\nM30\r\n%\r\n"),
    "parity in one block only": b"G00 X1.\n" + _with_parity("G01 X7.\n"),
    "every byte": bytes(range(256)) + bytes(reversed(range(256))),
}


def _whole(data: bytes) -> Program:
    """The program, with every block's words read and its bytes compared both ways."""
    program = read(data, "a.nc")
    for block in program:
        assert block.parts is block.parts
        assert 0 <= len(block.raw) - len(block.text) <= 2
    assert write(program) == data
    assert write(list(program)) == data
    return program


@pytest.mark.parametrize("data", EXAMPLES.values(), ids=EXAMPLES.keys())
def test_examples_come_back_byte_for_byte(data: bytes) -> None:
    """Every way of typing that a control, a text editor or a tape leaves behind is written back unchanged."""
    _whole(data)


@_SEARCH
@example(data=b"\r\x8d\n")
@given(data=st.binary(max_size=300))
def test_any_bytes_come_back(data: bytes) -> None:
    """Reading any bytes, and all their words, and writing them gives the same bytes."""
    _whole(data)


_PIECES = st.sampled_from(
    [
        *(
            "G",
            "x",
            "N",
            "O",
            ":",
            "%",
            "/",
            "2",
            "1.5",
            "-",
            "+",
            ".",
            "(",
            ")",
            ";",
            "#",
            "[",
            "]",
            "=",
            "IF",
            "GOTO",
        ),
        *("WHILE", "DO1", "END1", "THEN", "GT", "SQRT", " ", "\t", "\0", "\x7f", "\f", "\v", "\r", "\n", "\r\n", "é"),
    ]
)


@_SEARCH
@given(pieces=st.lists(_PIECES, max_size=60))
def test_any_pieces_of_programs_come_back(pieces: list[str]) -> None:
    """The same for texts made of what programs are made of, in any order."""
    _whole("".join(pieces).encode("latin-1"))


@_SEARCH
@given(pieces=st.lists(st.sampled_from("GXZ0123456789.-+()%/N \r\n"), max_size=80))
def test_parity_changes_no_word(pieces: list[str]) -> None:
    """A text with even parity holds the same words, at the same columns, as the same text without."""
    text = "".join(pieces)
    plain, punched = _whole(text.encode()), _whole(_with_parity(text))
    assert [b.text for b in plain] == [b.text for b in punched]
    assert [b.parts for b in plain] == [b.parts for b in punched]


@_SEARCH
@given(data=st.one_of(st.binary(max_size=200), st.text("GX1 \r\n", max_size=60).map(str.encode)))
def test_a_line_ends_at_lf_cr_and_both_together_only(data: bytes) -> None:
    """As many blocks as lines, counted with nothing but the three line ends; each knows its number."""
    assume(data.isascii() or any(b.bit_count() % 2 for b in data))
    lines = data.replace(b"\r\n", b"\n").replace(b"\r", b"\n").split(b"\n")
    if not lines[-1]:
        lines.pop()
    assert [(b.line, b.text.encode("latin-1")) for b in _without_mark(data)] == list(enumerate(lines, 1))


def _without_mark(data: bytes) -> Program:
    """The program of bytes that do not begin with a byte order mark, which is blanked out."""
    assume(not data.startswith(b"\xef\xbb\xbf"))
    return read(data)


def test_blocks_are_those_of_the_list() -> None:
    """A program is a sequence: by index from both ends, by slice, in order, the same block each time."""
    program = read(b"G00 X1.\nG01 X2.\nM30\n", "a.nc")
    assert [program[i] for i in range(3)] == list(program) == program[:]
    assert program[-1] is program[2]
    assert program[1:] == [program[1], program[2]]
    for index in (3, -4):
        with pytest.raises(IndexError):
            program[index]
