"""Interpreting anything at all: no exception, a bounded run, remarks that point into the text, finite figures."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from gemel.reading import ChannelText, interpret, read, write
from gemel.reading.flow import MOST_BLOCKS
from support.channels import BY_MODE, LATHE
from support.rs274 import RS274

if TYPE_CHECKING:
    from gemel.reading import Dialect, Run

_SEARCH = settings(deadline=None, derandomize=True, max_examples=300, suppress_health_check=[HealthCheck.too_slow])
_DIALECTS = st.sampled_from([LATHE, BY_MODE, RS274])
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


def _holds_together(done: Run, data: bytes, files: tuple[bytes, ...] = ()) -> None:
    lines = {f"{i}.nc": list(read(one)) for i, one in enumerate((data, *files))}
    assert done.ending in {"end", "repeat", "text", "endless", "bound"}
    assert len(done.steps) <= done.blocks <= MOST_BLOCKS + sum(len(v) for v in lines.values()) + 2000
    for remark in done.remarks:
        block = lines[remark.span.source][remark.span.line - 1]
        assert 0 <= remark.span.start <= remark.span.end <= len(block.text)
        assert remark.text == block.text[remark.span.start : remark.span.end]
        assert remark.cause
    for step in done.steps:
        assert step.dwell_s >= 0
        for motion in step.motions:
            assert not any(v is not None and not math.isfinite(v) for v in (*motion.start, *motion.end, motion.low_x))
            assert 0 <= motion.sweep_deg <= 360
            assert motion.feed is None or motion.feed > 0


def _run(dialect: Dialect, data: bytes, *, skip: bool = False) -> Run:
    program = read(data, "0.nc")
    done = interpret(ChannelText(dialect, (program,)), skip=skip)
    assert write(program) == data
    return done


@_SEARCH
@given(data=_TEXTS, dialect=_DIALECTS, skip=st.booleans())
def test_any_program_has_a_run(data: bytes, dialect: Dialect, skip: bool) -> None:  # noqa: FBT001 # drawn
    """Whatever blocks stand in it, in three dialects, twice in a row; no figure is without bounds."""
    done = _run(dialect, data, skip=skip)
    _holds_together(done, data)
    again = interpret(ChannelText(dialect, (read(data, "0.nc"),)), done.state, pass_number=2)
    _holds_together(again, data)


@_SEARCH
@given(data=st.binary(max_size=300), dialect=_DIALECTS)
def test_any_bytes_have_a_run(data: bytes, dialect: Dialect) -> None:
    """Bytes that never were a program."""
    _holds_together(_run(dialect, data), data)


@settings(_SEARCH, max_examples=60)
@given(data=_TEXTS)
def test_a_run_is_the_same_every_time(data: bytes) -> None:
    """Reading and interpreting a text twice gives equal steps and remarks."""
    first, second = (_run(LATHE, data) for _ in range(2))
    assert first.remarks == second.remarks
    assert [(s.block.line, s.motions, s.wait, s.speed) for s in first.steps] == [
        (s.block.line, s.motions, s.wait, s.speed) for s in second.steps
    ]
