"""Proofs of anything at all: no exception, and a verdict that holds together."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from gemel.proving import Verdict, as_json, as_text, prove
from gemel.proving.explore import MOST_STATES
from gemel.reading.blocks import read
from support.demo_pairs import demo_members, demo_pair
from support.proofs import demo_machine, three_channel_machine

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
    identities = [fault.identity for fault in verdict.findings]
    assert len(set(identities)) == len(identities)
    lines = {channel: len(read(data)) for channel, (_, data) in programs.items()}
    for fault in verdict.findings:
        assert all(1 <= line <= lines[channel] for channel, line in fault.trace)
        assert all(label.span.line <= lines[label.channel] for label in fault.labels)
        assert fault.cause
        assert fault.remedy
        assert fault.labels
        assert {label.span.source for label in fault.labels} <= names
    assert as_json(verdict).startswith('{\n  "verdict": "')
    assert verdict.states <= MOST_STATES + 1
    rows = as_text(verdict, programs).splitlines()
    assert sum(row.endswith("]") and row.startswith(tuple(names)) for row in rows) >= len(verdict.findings)


@settings(max_examples=150, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(upper=_BYTES, lower=_BYTES)
def test_any_bytes_get_a_verdict(upper: bytes, lower: bytes) -> None:
    """Whatever the two files hold, proving ends, and both forms of the verdict can be made."""
    programs = {"upper": ("a.upper.nc", upper), "lower": ("a.lower.nc", lower)}
    _holds_together(prove(programs, demo_machine()), programs)


_THREE = st.sampled_from(["M701 P12", "M702 P23", "M703 P13", "M704 P123", "M704 P2", "M705 P9", "M701 P", "M702"])


@settings(max_examples=80, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(texts=st.lists(st.lists(st.one_of(_BLOCKS, _THREE), max_size=12), min_size=3, max_size=3))
def test_any_three_channels_get_a_verdict(texts: list[list[str]]) -> None:
    """Waits that name some channels, none, themselves or ones that do not exist: proving ends all the same."""
    names = ("upper", "lower", "rear")
    programs = {c: (f"a.{c}.nc", "\n".join(rows).encode()) for c, rows in zip(names, texts, strict=True)}
    _holds_together(prove(programs, three_channel_machine()), programs)


_EDITS = st.lists(
    st.tuples(st.booleans(), st.integers(0, 10**6), st.integers(0, 2), st.binary(max_size=4)), min_size=1, max_size=6
)


@settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(pair=st.integers(0, 12), edits=_EDITS)
def test_demo_pair_with_slips_gets_a_verdict(pair: int, edits: list[tuple[bool, int, int, bytes]]) -> None:
    """A real pair with bytes put in, taken out and written over, as at a control with a worn keyboard."""
    family, member = demo_members("twin-turnmill")[pair]
    machine, texts = demo_pair("twin-turnmill", family, member)
    programs = {channel: (f"a.{channel}.nc", text.encode()) for channel, text in texts.items()}
    for is_upper, place, taken, put in edits:
        channel = "upper" if is_upper else "lower"
        name, data = programs[channel]
        at = place % (len(data) + 1)
        programs[channel] = name, data[:at] + put + data[at + taken :]
    _holds_together(prove(programs, machine), programs)
