"""The spelling of numbers in programs.

Rules of numbers: NISTIR 6556 section 3.3.2.1 (an optional sign, digits with at most one point, at least one digit).
"""

from __future__ import annotations

import math
import re
from decimal import ROUND_HALF_UP, Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gemel.numbers import NumberForm, spell

LENGTH = NumberForm(3)


@pytest.mark.parametrize(
    ("value", "form", "text"),
    [
        (40.0, LENGTH, "40."),
        (-36.5, LENGTH, "-36.5"),
        (0.0, LENGTH, "0."),
        (-0.0, LENGTH, "0."),
        (-0.0001, LENGTH, "0."),
        (1e-7, LENGTH, "0."),
        (0.0005, LENGTH, "0.001"),
        (1.0005, LENGTH, "1.001"),
        (2.6745, LENGTH, "2.675"),
        (0.1 + 0.2, LENGTH, "0.3"),
        (1200.0, NumberForm(0, "never"), "1200"),
        (1199.5, NumberForm(0, "never"), "1200"),
        (200.0, NumberForm(1, "needed"), "200"),
        (0.125, NumberForm(4, leading="drop"), ".125"),
        (0.0, NumberForm(4, leading="drop"), "0."),
        (-0.125, NumberForm(4, leading="drop"), "-.125"),
        (0.5, NumberForm(4, trailing="keep"), "0.5000"),
        (1e16, LENGTH, "10000000000000000."),
    ],
)
def test_spelling(value: float, form: NumberForm, text: str) -> None:
    """Each form gives the text that its control reads."""
    assert spell(value, form) == text


@given(st.floats(-1e6, 1e6, allow_nan=False), st.integers(0, 5))
def test_every_spelling_is_a_number_that_a_control_reads(value: float, decimals: int) -> None:
    """Never an exponent, `-0`, `nan`; and within half a unit of the last place."""
    text = spell(value, NumberForm(decimals))
    assert re.fullmatch(r"-?[0-9]+\.[0-9]*", text)
    assert not re.fullmatch(r"-0*\.?0*", text)
    assert abs(Decimal(text) - Decimal(value)) <= Decimal(1).scaleb(-decimals) / 2 + Decimal("1e-9")


@given(st.integers(-10_000_000, 10_000_000))
def test_half_goes_away_from_zero(thousandths: int) -> None:
    """Rounding is decimal, half up, as the drawing office rounds; held against the decimal library."""
    value = thousandths / 10_000
    wanted = Decimal(thousandths).scaleb(-4).quantize(Decimal("0.001"), rounding=ROUND_HALF_UP)
    assert Decimal(spell(value, LENGTH)) == wanted


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_refused(value: float) -> None:
    """`nan` never reaches a program."""
    with pytest.raises(ValueError, match="cannot be written"):
        spell(value, LENGTH)
