"""Proofs of anything at all: no exception, and a verdict that holds together."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from gemel.proving import Verdict, as_json, as_text, prove
from support.proofs import demo_machine

_BLOCKS = st.sampled_from(
    [
        *("M701", "M702", "M703", "M700", "M799 M701", "/M701", "M30", "M99", "M98 P7", "M98 P8 L3", "O7", "O8", "%"),
        *("T0101", "T1", "T0303", "T1111", "T9999", "G54", "G55", "G00 X60.", "G00 X200.", "G01 X-1. F0.1", "G01 X20"),
        *("G02 X50. Z-5. R5.", "G03 X40. I2. K-3.", "G28 U0.", "G28 X0.", "G53 A-300.", "G53 A0.", "G53 X-5.", "C90."),
        *("G83 Z-20. R2. Q2000 F0.1", "G84 X10. F1.", "G80", "G71 P10 Q20 U0.5 W0.1", "N10 G00 X20.", "N20 G01 X30."),
        *("M03", "M05", "M203", "M205", "M68", "M69", "M168", "M169", "M131", "M132", "M45 M46", "M145", "M89", "M190"),
        *("G96 S180", "G97 S900", "G50 S2000", "G50 X10.", "G98", "G99", "G20", "G17", "G04 X1.", "M70", "M73", "M74"),
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


def _holds_together(verdict: Verdict, programs: dict[str, tuple[str, bytes]]) -> None:
    names = {name for name, _ in programs.values()}
    assert verdict.passes == (not any(f.is_error for f in verdict.findings))
    assert all(0.0 <= share <= 1.0 for share in verdict.understood.values())
    for fault in verdict.findings:
        assert fault.cause
        assert fault.remedy
        assert fault.labels
        assert {label.span.source for label in fault.labels} <= names
    assert as_json(verdict).startswith('{\n  "verdict": "')
    assert as_text(verdict, programs)


@settings(max_examples=150, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(upper=_BYTES, lower=_BYTES)
def test_any_bytes_get_a_verdict(upper: bytes, lower: bytes) -> None:
    """Whatever the two files hold, proving ends, and both forms of the verdict can be made."""
    programs = {"upper": ("a.upper.nc", upper), "lower": ("a.lower.nc", lower)}
    _holds_together(prove(programs, demo_machine()), programs)
