"""A number reckoned again with other leaves: what it would have been, had the YAML said something else."""

from __future__ import annotations

import math
import operator
from typing import TYPE_CHECKING

from gemel.numbers.explain import operands, ordered
from gemel.numbers.number import Number
from gemel.numbers.origin import Rule, Source, Step

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

__all__ = ["again"]

_TWO: dict[str, Callable[[float, float], float]] = {
    "+": operator.add,
    "-": operator.sub,
    "*": operator.mul,
    "/": operator.truediv,
    "//": operator.floordiv,
    "%": operator.mod,
    "**": operator.pow,
    "hypot": math.hypot,
}
_ONE: dict[str, Callable[[float], float]] = {
    "neg": operator.neg,
    "abs": abs,
    "sqrt": math.sqrt,
    "sin": lambda a: math.sin(math.radians(a)),
    "cos": lambda a: math.cos(math.radians(a)),
    "tan": lambda a: math.tan(math.radians(a)),
    "asin": lambda a: math.degrees(math.asin(a)),
    "acos": lambda a: math.degrees(math.acos(a)),
    "atan": lambda a: math.degrees(math.atan(a)),
    "floor": lambda a: math.floor(a + 1e-9),
    "ceil": lambda a: math.ceil(a - 1e-9),
}


def again(value: float, instead: Mapping[Source | Rule, float]) -> float:
    """What `value` would be with other values at some of its leaves; NaN where that has no answer.

    Decisions that were taken on the way (how many passes, which of two paths) stay as they were taken: this is a
    guess by the formula, not another run.
    """
    found: dict[int, float] = {}
    try:
        for node in reversed(ordered(value)):
            found[id(node)] = _one(node, instead, found)
    except (ValueError, ZeroDivisionError, OverflowError, TypeError):
        return math.nan
    return found.get(id(value), float(value))


def _one(node: Number, instead: Mapping[Source | Rule, float], found: Mapping[int, float]) -> float:
    origin = node.origin
    if isinstance(origin, Source | Rule):
        return instead.get(origin, float(node))
    args = [found[id(arg)] if isinstance(arg, Number) else float(arg) for arg in operands(node)]
    if not isinstance(origin, Step):
        return args[0]
    if origin.symbol in ("min", "max"):
        return min(args) if origin.symbol == "min" else max(args)
    if origin.symbol == "round":
        scale = 10.0 ** args[1]
        return math.copysign(math.floor(abs(args[0]) * scale + 0.5 + 1e-9) / scale, args[0])
    if len(args) == 2 and origin.symbol in _TWO:
        return _TWO[origin.symbol](args[0], args[1])
    if len(args) == 1 and origin.symbol in _ONE:
        return _ONE[origin.symbol](args[0])
    return float(node)
