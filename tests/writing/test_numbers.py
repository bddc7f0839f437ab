"""How numbers reach the text, machine by machine.

Rules of NISTIR 6556 section 3.3.2.1: a number has at least one digit, at most one point, an optional sign, no exponent.
"""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gemel.findings import Findings
from gemel.numbers import Number, Source, sourced
from gemel.pairs import Size
from gemel.writing.comments import Comments
from gemel.writing.marks import Plain
from gemel.writing.situation import Now
from gemel.writing.words import Words
from support.pairs import FILE, machine, number

MACHINES = {name: machine(name) for name in ("twin-turnmill", "inch-duplex")}
WORD = re.compile(r" [A-Z][-]?(?:\d+\.?\d*|\.\d+)\Z")


def words(name: str, feed_mode: str = "per_minute") -> Words:
    return Words(MACHINES[name], Plain(), Now(feed_mode=feed_mode))


@pytest.mark.parametrize(
    ("name", "spelled"),
    [
        ("twin-turnmill", "X15. Z-0.5 X0. X12.346 C45. F520. S5200 S200 Q2500 X1.5"),
        ("inch-duplex", "X.5906 Z-.0197 X.0000 X.4860 C45. F20.47 S5200 S656 Q.0984 X1.5"),
    ],
)
def test_each_machine_spells_by_its_own_forms(name: str, spelled: str) -> None:
    """Decimals, points, leading and trailing zeros, units: all from the machine file (figures by hand calculation)."""
    w = words(name)
    written = (
        w.lengths("X", number("a", 15.0)),
        w.lengths("Z", number("a", -0.5)),
        w.lengths("X", number("a", -0.0)),
        w.lengths("X", number("a", 12.3456)),
        w.angles("C", number("a", 45.0)),
        w.feeds("F", number("a", 520.0)),
        w.speeds("S", number("a", 5200.0)),
        w.surface_speeds("S", number("a", 200.0)),
        w.pecks("Q", number("a", 2.5)),
        w.seconds("X", number("a", 1.5)),
    )
    assert "".join(written).strip() == spelled


def test_feed_is_spelled_for_the_mode_in_force() -> None:
    """0.25 mm/rev keeps three decimals, 0.25 mm/min only one."""
    assert words("twin-turnmill", "per_revolution").feeds("F", number("f", 0.125)) == " F0.125"
    assert words("twin-turnmill", "per_minute").feeds("F", number("f", 120.25)) == " F120.3"
    assert words("twin-turnmill", "per_minute").feeds("F", number("f", 1.5), "per_revolution") == " F1.5"


def test_words_without_a_value_are_left_out() -> None:
    """None leaves the letter out too."""
    w = words("twin-turnmill")
    assert w.lengths("X", None, "Z", number("z", 1.0)) == " Z1."
    assert w.feeds("F", None) + w.pecks("Q", None) + w.milliseconds("P", None) + w.angles("C", None) == ""


@given(st.sampled_from(sorted(MACHINES)), st.floats(-1e5, 1e5))
@settings(max_examples=300, deadline=None)
def test_any_length_is_a_number_that_a_control_reads(name: str, value: float) -> None:
    """No exponent, no `-0`, and the text is within half a unit of the last place of the value."""
    text = words(name).lengths("X", sourced(value, Source("v", FILE, 1, 0, "")))
    assert WORD.match(text)
    scale = 25.4 if name == "inch-duplex" else 1.0
    places = MACHINES[name].numbers.length.decimals
    assert abs(float(text[2:]) - value / scale) <= 0.5 * 10**-places + 1e-9
    assert not (text[2] == "-" and float(text[2:]) == 0)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_a_finding(value: float) -> None:
    """`nan` and `inf` never reach a program; the scalar behind is told."""
    with pytest.raises(Findings) as caught:
        words("twin-turnmill").lengths("X", number("values.bad", value, 7))
    (finding,) = caught.value.findings
    assert (finding.name, finding.labels[0].span.line) == ("template:not-a-number", 7)


@pytest.mark.parametrize("call", ["feeds", "speeds", "surface_speeds", "seconds", "pecks"])
def test_a_value_that_would_be_spelled_zero_is_a_finding(call: str) -> None:
    """A feed of 0.0001 is not F0."""
    with pytest.raises(Findings) as caught:
        getattr(words("twin-turnmill"), call)("F", number("values.tiny", 0.0001))
    assert caught.value.findings[0].name == "writing:vanished"


def comments(name: str) -> Comments:
    return Comments(MACHINES[name], words(name), Plain())


def test_comments_wrap_between_words_and_never_exceed_a_block() -> None:
    """A long header text becomes several comments, none longer than the control takes."""
    text = comments("twin-turnmill").comments("word " * 40)
    lines = text.splitlines()
    assert len(lines) == 3
    assert all(len(line) <= 80 and line.startswith("(") and line.endswith(")") for line in lines)
    assert sum(line.count("WORD") for line in lines) == 40


def test_a_comment_behind_a_block_is_cut() -> None:
    """It leaves room for the block before it."""
    assert len(comments("twin-turnmill").comment("A" * 200)) <= 80 - 20


def test_sizes_in_comments_follow_the_machine_and_counts_do_not() -> None:
    """4 flats stay 4; 15 mm across becomes 0.5906 inch."""
    parts = (number("n", 4.0), " FLATS ACROSS ", Size(number("across", 15.0)))
    assert comments("twin-turnmill").comment(parts) == "(4 FLATS ACROSS 15)"
    assert comments("inch-duplex").comment(parts) == ";4 FLATS ACROSS 0.5906"


def test_a_number_keeps_its_type_through_words() -> None:
    """The numbers used here are Numbers, so the findings above could name their place."""
    assert isinstance(number("a", 1.0), Number)
