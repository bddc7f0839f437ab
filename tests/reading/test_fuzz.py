"""Interpreting anything at all: no exception, a bounded run, remarks that point into the text, finite figures."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from support.anything import DIALECTS, bears
from support.channels import BY_MODE, LATHE
from support.rs274 import RS274

if TYPE_CHECKING:
    from gemel.reading import Dialect

_SEARCH = settings(deadline=None, derandomize=True, max_examples=300, suppress_health_check=[HealthCheck.too_slow])
_DIALECTS = st.sampled_from(DIALECTS)
_CODES = st.sampled_from(sorted({*LATHE.codes, *RS274.codes, *BY_MODE.codes, "M701", "M799", "G200", "M7.5"}))
_NUMBERS = st.one_of(
    st.sampled_from(
        ["0", "0.", "1", "-1.", ".5", "10.", "1000", "99999", "1" + 300 * "0", "-" + 308 * "9", "." + 320 * "0" + "1"]
    ),
    st.sampled_from(["#1", "#500", "[1/0]", "[#1+1]", "-#2", "[2**1000]", "[0-[9**300]]", "#[", "1.2.3", ""]),
    st.decimals(-500, 500, places=3).map(str),
)
_WORDS = st.tuples(st.sampled_from("XZUWYVCHAIJKRFSTPQLDNOEB"), _NUMBERS).map("".join)
_PIECES = st.sampled_from(
    [
        *("#1=#1+1", "#2=[#1*2]", "IF[#1GT3]GOTO10", "GOTO 20", "GOTO #1", "WHILE[#1LT9]DO1", "END1", "DO2", "END2"),
        *(
            "IF[#9EQ#0]THEN#3=1",
            "(A(B)C)",
            "(OPEN",
            ";",
            "/",
            "/2",
            "%",
            "N10",
            "N20",
            "O1",
            "O2",
            ":7",
            "@",
            "\r",
            "\x8d",
        ),
        *(
            "M98 P2 L3",
            "M98 P1",
            "G65 P2 A1. X2.",
            "M99",
            "M99 P10",
            "G71 P10 Q20",
            "G70 P10 Q20",
            "G71 U1. R.5",
            "G28 A",
        ),
    ]
)
_BLOCKS = st.lists(st.one_of(_WORDS, _WORDS, _CODES, _CODES, _PIECES), max_size=7).map(" ".join)
_TEXTS = st.lists(_BLOCKS, max_size=14).map(lambda rows: "\n".join(rows).encode("latin-1"))


@_SEARCH
@given(data=_TEXTS, dialect=_DIALECTS, skip=st.booleans())
def test_any_program_has_a_run(data: bytes, dialect: Dialect, skip: bool) -> None:  # noqa: FBT001 # drawn
    """Whatever blocks stand in it, in three dialects, twice in a row."""
    bears(data, dialect, skip=skip)


@_SEARCH
@given(data=st.binary(max_size=300), dialect=_DIALECTS)
def test_any_bytes_have_a_run(data: bytes, dialect: Dialect) -> None:
    """Bytes that never were a program."""
    bears(data, dialect)


@settings(_SEARCH, max_examples=60)
@given(data=_TEXTS)
def test_a_run_is_the_same_every_time(data: bytes) -> None:
    """Reading and interpreting a text twice gives equal steps and remarks."""
    first, second = (bears(data, LATHE) for _ in range(2))
    assert first.remarks == second.remarks
    assert [(s.block.line, s.motions, s.wait, s.speed) for s in first.steps] == [
        (s.block.line, s.motions, s.wait, s.speed) for s in second.steps
    ]
