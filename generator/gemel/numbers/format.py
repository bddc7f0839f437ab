"""From a number to its spelling in a program: the only place that formats a coordinate.

Rounding is half away from zero on the decimal spelling, never on the binary one.
No spelling ever holds an exponent, `-0`, `nan` or `inf`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache
from typing import Literal

__all__ = ["NumberForm", "spell"]


@dataclass(frozen=True, slots=True)
class NumberForm:
    """How one kind of number is written for one control.

    Attributes:
        decimals: digits kept behind the point.
        point: `always` (X40.), `never` (S1200, whole numbers only), `needed` (F200 but F0.1).
        trailing: whether zeros at the end are kept (X40.000) or dropped (X40.).
        leading: whether the zero before the point is kept (0.5) or dropped (.5).
    """

    decimals: int = 3
    point: Literal["always", "never", "needed"] = "always"
    trailing: Literal["keep", "drop"] = "drop"
    leading: Literal["keep", "drop"] = "keep"


@lru_cache(maxsize=1 << 16)
def _spell(value: float, form: NumberForm) -> str:
    if not math.isfinite(value):
        raise ValueError(f"{value} cannot be written in a program")
    decimals = 0 if form.point == "never" else form.decimals
    # Nine digits are far below what a control reads; they take away the noise of binary arithmetic.
    exact = Decimal(repr(round(value, 9)))
    text = format(exact.quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_UP), "f")
    sign, text = ("-", text[1:]) if text.startswith("-") else ("", text)
    whole, _, part = text.partition(".")
    if form.trailing == "drop":
        part = part.rstrip("0")
    if not whole.strip("0") and not part.strip("0"):
        sign = ""
    if form.leading == "drop" and whole == "0" and part:
        whole = ""
    point = "." if part or form.point == "always" else ""
    return f"{sign}{whole}{point}{part}"


def spell(value: float, form: NumberForm) -> str:
    """The text of `value` under `form`, `-36.5` or `40.` or `1200`.

    Raises:
        ValueError: the value is not finite; bad input was let through before.
    """
    return _spell(float(value), form)
