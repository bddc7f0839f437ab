"""A number reckoned again with another leaf is what the formula gives with that leaf."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gemel import numbers as n
from gemel.numbers import Number, Source, again, sensitivity, sourced

_A, _B = (Source(name, "f.yaml", line, 0, "1") for line, name in enumerate(("a", "b"), 1))
_VALUES = st.floats(0.1, 0.9)


def _formulas(a: float, b: float) -> list[float]:
    """One of every operation."""
    return [
        a + b * 2 - 1,
        a / b + a % 0.3 + 7 // b + a**b,
        n.sqrt(a) + n.hypot(a, b) + n.absolute(-a),
        n.sin_deg(a * 90) + n.cos_deg(b) + n.tan_deg(a),
        n.asin(a) + n.acos(b) + n.atan(a),
        n.minimum(a, b, 0.5) + n.maximum(a, b),
        n.rounded(a * 10, 1) + n.floor(b * 9) + n.ceil(a * 9),
    ]


@given(_VALUES, _VALUES, _VALUES, _VALUES)
def test_it_is_what_the_formula_gives(a: float, b: float, other_a: float, other_b: float) -> None:
    """For every operation: the graph with other leaves gives the number that plain arithmetic gives with them."""
    first = _formulas(sourced(a, _A), sourced(b, _B))
    for value, wanted in zip(first, _formulas(other_a, other_b), strict=True):
        assert again(value, {_A: other_a, _B: other_b}) == pytest.approx(float(wanted), abs=1e-9)
        assert again(value, {}) == pytest.approx(float(value), abs=1e-12)


@given(_VALUES, _VALUES)
def test_a_small_step_agrees_with_the_derivative(a: float, b: float) -> None:
    """The difference quotient is what `sensitivity` says."""
    value = sourced(a, _A) * 3 / (sourced(b, _B) + 1)
    step = again(value, {_A: a + 1e-6}) - float(value)
    assert step / 1e-6 == pytest.approx(sensitivity(value)[_A], rel=1e-4)


def test_what_has_no_answer_is_no_number() -> None:
    """A square root below zero, a division by zero: NaN, never an exception."""
    value = n.sqrt(sourced(4.0, _A)) / sourced(1.0, _B)
    assert math.isnan(again(value, {_A: -1.0}))
    assert math.isnan(again(value, {_B: 0.0}))
    assert again(2.5, {}) == 2.5
    assert isinstance(value, Number)
