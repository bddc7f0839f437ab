"""Numbers that remember: a float that carries its origin through arithmetic.

`Number` is a float in every respect (comparison, hashing, formatting of the interpreter), and each
operation on it gives a `Number` again. Functions of the `math` module forget; use the ones below.
"""

from __future__ import annotations

import math
from typing import Any, Self, SupportsIndex, overload

from gemel.numbers.origin import Named, Origin, Rule, Source, Step

__all__ = [
    "Number",
    "absolute",
    "acos",
    "asin",
    "atan",
    "cos_deg",
    "hypot",
    "maximum",
    "minimum",
    "named",
    "passes",
    "rounded",
    "rule",
    "sin_deg",
    "sourced",
    "sqrt",
    "tan_deg",
]


class Number(float):
    """A float with an origin. Arithmetic with anything that is a float keeps both origins."""

    __slots__ = ("origin",)

    origin: Origin

    def __new__(cls, value: float, origin: Origin) -> Self:
        """Attach an origin to a value."""
        self = float.__new__(cls, value)
        self.origin = origin
        return self

    def __reduce__(self) -> tuple[Any, ...]:
        return (Number, (float(self), self.origin))

    def __add__(self, other: float) -> Number:
        return Number(float.__add__(self, other), Step("+", (self, other)))

    def __radd__(self, other: float) -> Number:
        return Number(float.__add__(self, other), Step("+", (other, self)))

    def __sub__(self, other: float) -> Number:
        return Number(float.__sub__(self, other), Step("-", (self, other)))

    def __rsub__(self, other: float) -> Number:
        return Number(float.__rsub__(self, other), Step("-", (other, self)))

    def __mul__(self, other: float) -> Number:
        return Number(float.__mul__(self, other), Step("*", (self, other)))

    def __rmul__(self, other: float) -> Number:
        return Number(float.__mul__(self, other), Step("*", (other, self)))

    def __truediv__(self, other: float) -> Number:
        return Number(float.__truediv__(self, other), Step("/", (self, other)))

    def __rtruediv__(self, other: float) -> Number:
        return Number(float.__rtruediv__(self, other), Step("/", (other, self)))

    def __floordiv__(self, other: float) -> Number:
        return Number(float.__floordiv__(self, other), Step("//", (self, other)))

    def __rfloordiv__(self, other: float) -> Number:
        return Number(float.__rfloordiv__(self, other), Step("//", (other, self)))

    def __mod__(self, other: float) -> Number:
        return Number(float.__mod__(self, other), Step("%", (self, other)))

    def __rmod__(self, other: float) -> Number:
        return Number(float.__rmod__(self, other), Step("%", (other, self)))

    def __pow__(self, other: float, mod: None = None) -> Number:
        return Number(_power(self, other), Step("**", (self, other)))

    def __rpow__(self, other: float, mod: None = None) -> Number:
        return Number(_power(other, self), Step("**", (other, self)))

    def __neg__(self) -> Number:
        return Number(float.__neg__(self), Step("neg", (self,)))

    def __pos__(self) -> Number:
        return self

    def __abs__(self) -> Number:
        return Number(float.__abs__(self), Step("abs", (self,)))

    @overload
    def __round__(self, ndigits: None = None) -> int: ...
    @overload
    def __round__(self, ndigits: SupportsIndex) -> Number: ...
    def __round__(self, ndigits: SupportsIndex | None = None) -> int | Number:
        if ndigits is None:
            return int(rounded(self))
        return rounded(self, ndigits.__index__())


def _power(base: float, exponent: float) -> float:
    value: float | complex = float(base) ** float(exponent)
    if isinstance(value, complex):
        raise ZeroDivisionError(f"{float(base):g} to the power {float(exponent):g} is not a real number")
    return value


def sourced(value: float, source: Source) -> Number:
    """A number that stands in YAML at `source`."""
    return Number(value, source)


def named(value: float, source: Source) -> Number:
    """A number that the YAML names at `source` and derives by an expression from others."""
    return Number(value, Named(source, value))


def rule(value: float, name: str, reason: str) -> Number:
    """A constant of the trade in gemel's own code, with the reason for its size."""
    return Number(value, Rule(name, reason))


def _unary(symbol: str, value: float, result: float) -> Number:
    return Number(result, Step(symbol, (value,)))


def sqrt(value: float) -> Number:
    """Square root, with its origin. Raises ValueError below zero, as `math.sqrt` does."""
    return _unary("sqrt", value, math.sqrt(value))


def sin_deg(angle_deg: float) -> Number:
    """Sine of an angle in degrees."""
    return _unary("sin", angle_deg, math.sin(math.radians(angle_deg)))


def cos_deg(angle_deg: float) -> Number:
    """Cosine of an angle in degrees."""
    return _unary("cos", angle_deg, math.cos(math.radians(angle_deg)))


def tan_deg(angle_deg: float) -> Number:
    """Tangent of an angle in degrees."""
    return _unary("tan", angle_deg, math.tan(math.radians(angle_deg)))


def asin(ratio: float) -> Number:
    """Angle in degrees whose sine is `ratio`."""
    return _unary("asin", ratio, math.degrees(math.asin(ratio)))


def acos(ratio: float) -> Number:
    """Angle in degrees whose cosine is `ratio`."""
    return _unary("acos", ratio, math.degrees(math.acos(ratio)))


def atan(ratio: float) -> Number:
    """Angle in degrees whose tangent is `ratio`."""
    return _unary("atan", ratio, math.degrees(math.atan(ratio)))


def absolute(value: float) -> Number:
    """Distance from zero."""
    return _unary("abs", value, abs(float(value)))


def hypot(a: float, b: float) -> Number:
    """Length of the diagonal over `a` and `b`."""
    return Number(math.hypot(a, b), Step("hypot", (a, b)))


def minimum(*values: float) -> Number:
    """The smallest of the values; all of them stay in its origin."""
    return Number(min(float(v) for v in values), Step("min", values))


def maximum(*values: float) -> Number:
    """The largest of the values; all of them stay in its origin."""
    return Number(max(float(v) for v in values), Step("max", values))


def rounded(value: float, digits: int = 0) -> Number:
    """Round half away from zero to `digits` decimals (the trade's rounding, not the interpreter's)."""
    scale = 10.0**digits
    size = math.floor(abs(float(value)) * scale + 0.5 + 1e-9) / scale
    return Number(math.copysign(size, value), Step("round", (value, float(digits))))


def floor(value: float) -> Number:
    """The next whole number at or below."""
    return _unary("floor", value, float(math.floor(value + 1e-9)))


def ceil(value: float) -> Number:
    """The next whole number at or above."""
    return _unary("ceil", value, float(math.ceil(value - 1e-9)))


def passes(total: float, most: float) -> int:
    """How many equal passes cut `total` when one pass takes `most`; at least one. Units cancel."""
    return max(1, math.ceil(float(total) / float(most) - 1e-9))
