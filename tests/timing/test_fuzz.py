"""Timelines of anything at all: no exception, finite times that add up, and the same view of waits as the proof."""

from __future__ import annotations

import json
import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from gemel.proving import prove
from gemel.timing import Timeline, as_json, headline, overview_row, text, time_pair
from support.proofs import demo_machine
from support.timed import timeline_of

_BLOCKS = st.sampled_from(
    [
        *("M701", "M702", "M703", "/M701", "M30", "M99", "M98 P7", "M98 P8 L3", "O7", "O8", "%", "(CUT)", "N5 (X)"),
        *(
            "T0101",
            "T1",
            "T0303",
            "T0909",
            "T9999",
            "G54",
            "G55",
            "G00 X60.",
            "G00 X200. Z5.",
            "G01 X-1. F0.1",
            "G01 X20",
        ),
        *("G02 X50. Z-5. R5.", "G03 X40. I2. K-3.", "G28 U0.", "G28 X0.", "G53 A-300.", "G53 A0.", "G53 X-5.", "C90."),
        *("G83 Z-20. R2. Q2000 F0.1", "G84 X10. F1.", "G80", "G71 P10 Q20 U0.5 W0.1", "N10 G00 X20.", "N20 G01 X30."),
        *("M03", "M05", "M203", "M205", "M68", "M69", "M168", "M169", "M131", "M132", "M45 M46", "M145", "M89", "M00"),
        *(
            "G96 S180",
            "G97 S900",
            "G50 S2000",
            "S-5",
            "G96 S-9",
            "G50 S-1",
            "G98",
            "G99",
            "G20",
            "G17",
            "G04 X1.",
            "M70",
        ),
        *("G04 X-3.", "G00 X1E9", "G01 Z-99999999999. F0.0000001", "G32 Z-9. F0.", "G83 Z-9999999. Q1", "M103 S1"),
        *(
            "#1=#1+1",
            "IF[#1GT5]GOTO10",
            "GOTO 20",
            "WHILE[#2LT3]DO1",
            "END1",
            "G65 P8 A1.",
            "(open",
            "G01 X#1",
            "G1G2G3",
        ),
    ]
)
_TEXT = st.lists(_BLOCKS, max_size=25).map(lambda rows: "\n".join(rows).encode())
_BYTES = st.one_of(_TEXT, st.binary(max_size=200))


def _holds_together(timed: Timeline) -> None:
    json.loads(as_json(timed), parse_constant=lambda name: pytest.fail(f"{name} is no number"))
    assert headline(timed)
    assert overview_row(timed)
    for rows in (text.operation_rows, text.wait_rows, text.load_rows, text.critical_rows, text.notes):
        list(rows(timed))
    assert (timed.cycle_s is None) == bool(timed.stuck)
    for lane in timed.lanes:
        now_s = lane.start_s
        for block in lane.blocks:
            assert all(0 <= s < math.inf for s in block.spent)
            assert block.start_s >= now_s - 1e-6
            now_s = block.end_s
        assert lane.end_s >= now_s - 1e-6
    for load in timed.loads:
        assert 0 <= load.cutting_s <= load.busy_s + 1e-6 or load.kind != "channel"
    if timed.period_s:
        assert sum(p.seconds for p in timed.critical) <= timed.period_s * (1 + 1e-9) + 1e-6


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(upper=_BYTES, lower=_BYTES, override=st.sampled_from([1.0, 0.5]))
def test_any_bytes_get_a_timeline(upper: bytes, lower: bytes, override: float) -> None:
    """Whatever the two files hold, timing ends, and every form of the timeline can be made."""
    programs = {"upper": ("a.upper.nc", upper), "lower": ("a.lower.nc", lower)}
    _holds_together(time_pair(programs, demo_machine(), override=override))


_MARKS = st.lists(st.sampled_from(["M701", "M702", "M703"]), max_size=4)


@settings(deadline=None)
@given(_MARKS, _MARKS, st.sampled_from(["M30", "M99"]))
def test_a_pair_hangs_here_where_the_proof_says_so(upper: list[str], lower: list[str], end: str) -> None:
    """A deadlock or a wait for an ended channel hangs the timeline too, and what hangs it is an error there."""
    texts = {"upper": "\n".join([*upper, end, ""]), "lower": "\n".join([*lower, end, ""])}
    programs = {c: (f"{c}.nc", t.encode()) for c, t in texts.items()}
    found = {f.name for f in prove(programs, demo_machine()).findings}
    hangs = bool(timeline_of(texts).stuck)
    assert hangs or not found & {"waits:deadlock", "waits:ended"}
    assert not hangs or found & {"waits:deadlock", "waits:ended", "waits:count"}
