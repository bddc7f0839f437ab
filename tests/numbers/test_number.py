"""Numbers that remember: value, formula, leaves, derivatives."""

from __future__ import annotations

import math
import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gemel.numbers import (
    Number,
    Source,
    acos,
    asin,
    atan,
    ceil,
    cos_deg,
    floor,
    formula,
    hypot,
    leaves,
    maximum,
    minimum,
    named,
    passes,
    rounded,
    rule,
    sensitivity,
    sin_deg,
    sourced,
    sqrt,
    tan_deg,
)

FINITE = st.floats(min_value=-1e3, max_value=1e3, allow_nan=False)
AWAY = st.floats(min_value=0.5, max_value=50, allow_nan=False)


def leaf(name: str, value: float) -> Number:
    return sourced(value, Source(f"values.{name}", "families/f.yaml", 3, 10, f"{value}"))


@given(FINITE, FINITE, AWAY)
def test_arithmetic_is_the_arithmetic_of_floats(a: float, b: float, c: float) -> None:
    """A Number counts exactly as a float does, on either side of an operator."""
    x, y, z = leaf("a", a), leaf("b", b), leaf("c", c)
    assert x + y == a + b
    assert x - b == a - b
    assert a * y == a * b
    assert x / z == a / c
    assert -x == -a
    assert abs(x) == abs(a)
    assert z**2.0 == c**2.0
    assert x // z == a // c
    assert a % z == a % c
    assert all(isinstance(n, Number) for n in (x + 1, 1 + x, 2 * x, x / 2, 2 / z, 1 - x, sum([x, y])))


@pytest.mark.parametrize(
    ("result", "text"),
    [
        (-(leaf("length", 35) + leaf("blade", 3) / 2), "-(values.length + values.blade / 2)"),
        ((leaf("a", 1) - (leaf("b", 2) - leaf("c", 3))), "values.a - (values.b - values.c)"),
        (2 * (leaf("a", 1) + 1), "2 * (values.a + 1)"),
        (maximum(leaf("a", 1), 4.0), "max(values.a, 4)"),
        (leaf("a", 1) + rule(2.0, "clear distance", "common practice, no source"), "values.a + 2 (clear distance)"),
    ],
)
def test_formula_names_its_leaves(result: Number, text: str) -> None:
    """A formula is written over the names of the YAML, with no more brackets than needed."""
    assert formula(result) == text


def test_a_named_value_stands_by_its_name_and_opens_on_demand() -> None:
    """`why` shows `spacing` first, and `length / (ports + 1)` when asked."""
    spacing = named(
        leaf("length", 36) / (leaf("ports", 2) + 1), Source("values.spacing", "f.yaml", 9, 2, "length / ..")
    )
    assert formula(spacing * 2) == "values.spacing * 2"
    assert {s.name for s in leaves(spacing * 2) if isinstance(s, Source)} == {"values.length", "values.ports"}


OPERATIONS = [
    lambda a, b: a + b * 2,
    lambda a, b: (a - b) / b,
    lambda a, b: a * a * b,
    lambda a, b: sqrt(a * b),
    lambda a, b: sin_deg(a) * cos_deg(b),
    lambda a, b: tan_deg(a) + atan(b),
    hypot,
    lambda a, b: asin(a / 100) - acos(b / 100),
    lambda a, b: a**b,
    lambda a, b: maximum(a, b) - minimum(a, b),
    lambda a, b: abs(-a) / (a + b),
]


@pytest.mark.parametrize("operation", OPERATIONS)
@given(st.floats(2, 5), st.floats(0.6, 1.9))
def test_derivatives_equal_difference_quotients(operation, a: float, b: float) -> None:  # type: ignore[no-untyped-def]  # noqa: ANN001 # a lambda of the table
    """The slope by each leaf is the limit of the difference quotient."""
    slopes = {s.name: d for s, d in sensitivity(operation(leaf("a", a), leaf("b", b))).items() if isinstance(s, Source)}
    step = 1e-6
    by_a = (operation(leaf("a", a + step), leaf("b", b)) - operation(leaf("a", a - step), leaf("b", b))) / (2 * step)
    by_b = (operation(leaf("a", a), leaf("b", b + step)) - operation(leaf("a", a), leaf("b", b - step))) / (2 * step)
    assert slopes.get("values.a", 0.0) == pytest.approx(by_a, rel=1e-4, abs=1e-6)
    assert slopes.get("values.b", 0.0) == pytest.approx(by_b, rel=1e-4, abs=1e-6)


def test_a_leaf_used_twice_counts_twice() -> None:
    """Shared parts of the graph are added up, not overwritten."""
    a = leaf("a", 3)
    assert list(sensitivity(a * a + a).values()) == [7.0]


def test_rounding_is_half_away_from_zero() -> None:
    """2.5 becomes 3 and -2.5 becomes -3, as a programmer expects, not 2 and -2."""
    assert [rounded(leaf("a", v)) for v in (2.5, -2.5, 0.5, -0.5)] == [3.0, -3.0, 1.0, -1.0]
    assert rounded(leaf("a", 1.005), 2) == 1.01
    assert round(leaf("a", 2.345), 2) == 2.35


def test_steps_to_whole_numbers_forgive_binary_noise() -> None:
    """0.3 / 0.1 is three passes, not four."""
    assert passes(0.3, 0.1) == 3
    assert passes(0.31, 0.1) == 4
    assert passes(0.0, 0.1) == 1
    assert ceil(leaf("a", 0.1 * 3 / 0.1)) == 3.0
    assert floor(leaf("a", 2.9999999999)) == 3.0


def test_a_power_that_is_not_real_is_refused() -> None:
    """The square root of a negative size is an error, not a complex number."""
    with pytest.raises(ZeroDivisionError, match="not a real number"):
        leaf("a", -2) ** 0.5


def test_a_number_survives_pickling_with_its_origin() -> None:
    """Worker processes may hand numbers to each other."""
    value = leaf("a", 2) * 3
    back = pickle.loads(pickle.dumps(value))  # noqa: S301 # our own bytes
    assert back == 6
    assert formula(back) == "values.a * 3"


def test_deep_sums_do_not_exhaust_the_stack() -> None:
    """Ten thousand additions are explained without recursion."""
    total = leaf("a", 0.5)
    for _ in range(10_000):
        total = total + 1
    assert len(leaves(total)) == 1
    assert list(sensitivity(total).values()) == [1.0]
    assert math.isfinite(total)
