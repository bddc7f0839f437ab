"""Arithmetic that gives a `Number` also when both sides are plain floats.

Formulas of the trade take what they get: a value out of a family brings its origin, a figure out of a machine
file may have none. The step is recorded either way, so a formula can always be shown.
"""

from __future__ import annotations

import math

from gemel.numbers import Number, Step, rule

__all__ = ["PI", "less", "over", "times"]

PI = rule(math.pi, "pi", "ratio of a circle's circumference to its diameter")


def times(first: float, *more: float) -> Number:
    """The product of all factors."""
    product = first
    for factor in more:
        product = Number(float(product) * float(factor), Step("*", (product, factor)))
    assert isinstance(product, Number), "a product of one factor has no step to record"
    return product


def over(above: float, below: float) -> Number:
    """The quotient. Raises ZeroDivisionError when `below` is zero."""
    return Number(float(above) / float(below), Step("/", (above, below)))


def less(whole: float, part: float) -> Number:
    """The difference."""
    return Number(float(whole) - float(part), Step("-", (whole, part)))
