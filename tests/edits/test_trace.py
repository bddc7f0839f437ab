"""An edited number is carried back to what the YAML would have to say."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gemel import numbers as n
from gemel.edits.trace import Guess, Wanted, reach, solved
from gemel.numbers import Number, Source, again, sourced


def _value(name: str, text: str, line: int = 1) -> Number:
    return sourced(float(text), Source(name, "families/f.yaml", line, 0, text))


def guesses(number: Number, wanted: Wanted) -> list[Guess]:
    """What each value behind the number would have to be, the likeliest first."""
    found = (solved(number, leaf, wanted) for leaf, _ in reach(number))
    return [one for one in found if one is not None]


def check(number: Number, wanted: Wanted, *expected: tuple[str, str]) -> None:
    """The guesses, as names and spellings, in order."""
    assert [(one.at.name, one.new) for one in guesses(number, wanted)] == list(expected)


def test_a_value_that_stands_for_the_word_alone() -> None:
    """A feed is typed lower: the feed in the YAML is that, with as many decimals as it had."""
    check(_value("feed", "0.20"), Wanted(0.15, 0.0005), ("feed", "0.15"))


def test_a_speed_goes_back_to_the_roundest_cutting_speed() -> None:
    """S6000 on a cutter of 12 mm: 226.2 m/min, not 226.194671."""
    speed = _value("speed", "250") * 1000 / (n.rule(3.141592653589793, "pi", "circle") * _value("diameter", "12", 2))
    found = guesses(speed, Wanted(6000, 0.5))
    assert ("speed", "226.2") in [(one.at.name, one.new) for one in found]
    for one in found:
        assert abs(again(speed, {one.at: one.value}) - 6000) <= 0.5


def test_several_values_are_offered_the_most_direct_first() -> None:
    """A depth from a length and a quarter of a bar: the length first."""
    depth = -(_value("length", "35") + _value("bar", "8", 2) / 4)
    check(depth, Wanted(-37.5, 0.0005), ("length", "35.5"), ("bar", "10"))


def test_what_cannot_explain_is_not_offered() -> None:
    """A constant of the trade, the smaller of two, an expression, and the other branch of a maximum."""
    assert guesses(n.rule(2.0, "clear", "common practice, no source"), Wanted(3, 0.001)) == []
    assert guesses(n.minimum(_value("a", "1"), _value("b", "5", 2)), Wanted(7, 0.001)) == []
    expression = sourced(3.0, Source("spacing", "f", 1, 0, "length / 2"))
    assert guesses(expression, Wanted(4, 0.001)) == []
    check(n.maximum(_value("a", "1"), _value("b", "5", 2)), Wanted(6, 0.001), ("b", "6"))


@given(st.floats(0.5, 500), st.floats(0.5, 500), st.floats(0.2, 1.8))
def test_a_guess_gives_the_wanted_number(a: float, b: float, factor: float) -> None:
    """Whatever the values: every guess, set into the formula, reads as it was typed."""
    number = n.sqrt(_value("a", repr(a)) * 3) + _value("b", repr(b), 2) / 7
    wanted = Wanted(round(float(number) * factor, 3), 0.0005)
    for one in guesses(number, wanted):
        assert again(number, {one.at: one.value}) == pytest.approx(wanted.value, abs=0.00051)
