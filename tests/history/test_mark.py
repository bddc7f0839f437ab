"""The mark behind the program number comes off as it went on, and nothing else does."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gemel.history.mark import NOT_RELEASED, RELEASED, marked, without_mark

ROUND, SEMICOLON = ("(", ")"), (";", "")
LINES = st.lists(st.sampled_from([b"%", b"O1201 (A B)", b":1201", b"(O7)", b"N10 G1 X1.", b"", b"M30", b"(RELEASED)"]))


@given(LINES, st.sampled_from([b"\n", b"\r\n", b"\r\r\n"]), st.sampled_from([RELEASED, NOT_RELEASED]))
def test_marking_and_unmarking_is_nothing(lines: list[bytes], end: bytes, word: str) -> None:
    """For any program the mark changes one line, keeps their number, and comes off to the byte."""
    data = end.join(lines)
    plain = without_mark(data)
    for comment in (ROUND, SEMICOLON):
        with_mark = marked(plain, word, comment)
        assert without_mark(with_mark) == plain
        assert with_mark.count(end) == plain.count(end)
        assert marked(with_mark, word, comment) == with_mark


@pytest.mark.parametrize(
    "text",
    [
        b"O1201(PORT-BLOCK20UPPER)(NOTRELEASED)\n",
        b"O1201 (PORT-BLOCK 20 UPPER) (RELEASED)\r\r\n",
        b"\0\0\0%\r\nO1201 (PORT-BLOCK 20 UPPER) (not released)\n",
        b"N1 O1201 (X) (RELEASED\n",
        b":1201;NOT RELEASED\r\n",
    ],
)
def test_a_mark_that_a_control_spelled_its_way_comes_off(text: bytes) -> None:
    """Blanks removed, letters lowered, the comment cut: still gemel's own mark."""
    assert b"RELEASED" not in without_mark(text).upper()


@pytest.mark.parametrize(
    "text",
    [
        b"O1201 (X)\n(RELEASED)\nM30\n",
        b"O1201 (RELEASED BY ME)\n",
        b"(SEE O1201) (RELEASED)\n",
        b"G1 X1. (NOT RELEASED)\n",
        b"",
    ],
)
def test_what_a_person_wrote_stays(text: bytes) -> None:
    """The same words elsewhere, or more than the mark, are the program's own."""
    assert without_mark(text) == text
