"""Ask a number where it came from: its formula over the YAML's names, and how much it moves with each.

Derivatives are taken backwards through the graph, each node once, only when somebody asks.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from gemel.numbers.number import Number
from gemel.numbers.origin import Named, Rule, Source, Step

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["formula", "leaves", "operands", "ordered", "sensitivity"]

_INFIX = {"+": 1, "-": 1, "*": 2, "/": 2, "//": 2, "%": 2, "**": 4}
_NEGATION = 3


def formula(value: float) -> str:
    """The expression that gave `value`, over the names of its leaves: `-(length + 1.5)`.

    A value that the YAML names stands by its name; ask that value again for its own formula.
    """
    return _formula(value, 0)


def _formula(value: float, outer: int) -> str:
    origin = value.origin if isinstance(value, Number) else None
    if origin is None:
        return f"{float(value):g}"
    if isinstance(origin, Source):
        return origin.name
    if isinstance(origin, Named):
        return origin.source.name
    if isinstance(origin, Rule):
        return f"{float(value):g} ({origin.name})"
    return _step(origin, outer)


def _step(step: Step, outer: int) -> str:
    rank = _INFIX.get(step.symbol)
    if step.symbol == "neg":
        text = "-" + _formula(step.args[0], _NEGATION)
        return f"({text})" if outer > 1 else text
    if rank is None:
        inner = ", ".join(_formula(arg, 0) for arg in step.args)
        return f"{step.symbol}({inner})"
    left = _formula(step.args[0], rank)
    right = _formula(step.args[1], rank + 1)
    text = f"{left} {step.symbol} {right}"
    return f"({text})" if rank < outer else text


def leaves(value: float) -> dict[Source | Rule, float]:
    """Every leaf behind `value` (named values opened) with the leaf's own value, in the order met."""
    found: dict[Source | Rule, float] = {}
    for node in _walk(value):
        if isinstance(node.origin, Source | Rule):
            found.setdefault(node.origin, float(node))
    return found


def _walk(value: float) -> Iterator[Number]:
    seen: set[int] = set()
    stack = [value]
    while stack:
        node = stack.pop()
        if not isinstance(node, Number) or id(node) in seen:
            continue
        seen.add(id(node))
        yield node
        stack.extend(reversed(operands(node)))


def operands(node: Number) -> tuple[float, ...]:
    """What a number was made of; nothing for a leaf."""
    origin = node.origin
    if isinstance(origin, Step):
        return origin.args
    if isinstance(origin, Named):
        return (origin.value,)
    return ()


def sensitivity(value: float) -> dict[Source | Rule, float]:
    """First derivative of `value` by each leaf: how far it moves when the leaf moves by one.

    Steps (`floor`, `ceil`, `round`, `//`) count as constant except `round`, which follows its argument.
    """
    order = ordered(value)
    slope: dict[int, float] = {id(value): 1.0}
    totals: dict[Source | Rule, float] = {}
    for node in order:
        here = slope.get(id(node), 0.0)
        if isinstance(node.origin, Source | Rule):
            totals[node.origin] = totals.get(node.origin, 0.0) + here
            continue
        for arg, partial in zip(operands(node), _partials(node), strict=True):
            if isinstance(arg, Number):
                slope[id(arg)] = slope.get(id(arg), 0.0) + here * partial
    return totals


def ordered(value: float) -> list[Number]:
    """Every number behind `value`, each once, before those that it was made of."""
    done: set[int] = set()
    order: list[Number] = []
    stack: list[tuple[float, bool]] = [(value, False)]
    while stack:
        node, opened = stack.pop()
        if not isinstance(node, Number):
            continue
        if opened:
            order.append(node)
        elif id(node) not in done:
            done.add(id(node))
            stack.append((node, True))
            stack.extend((arg, False) for arg in operands(node))
    order.reverse()
    return order


def _partials(node: Number) -> tuple[float, ...]:
    origin = node.origin
    if isinstance(origin, Named):
        return (1.0,)
    assert isinstance(origin, Step)
    args = tuple(float(arg) for arg in origin.args)
    if origin.symbol in ("min", "max"):
        first = args.index(float(node))
        return tuple(1.0 if i == first else 0.0 for i in range(len(args)))
    if len(args) == 1:
        return (_slope_of_one(origin.symbol, args[0], float(node)),)
    return _slopes_of_two(origin.symbol, args[0], args[1], float(node))


def _slope_of_one(symbol: str, a: float, result: float) -> float:
    degree = math.pi / 180
    match symbol:
        case "neg":
            return -1.0
        case "abs":
            return math.copysign(1.0, a)
        case "sqrt":
            return 0.5 / result if result else math.inf
        case "sin":
            return math.cos(a * degree) * degree
        case "cos":
            return -math.sin(a * degree) * degree
        case "tan":
            return (1 + result * result) * degree
        case "asin" | "acos":
            slope = 1 / (degree * math.sqrt(1 - a * a)) if abs(a) < 1 else math.inf
            return slope if symbol == "asin" else -slope
        case "atan":
            return 1 / (degree * (1 + a * a))
        case _:  # floor, ceil: flat between the steps
            return 0.0


def _slopes_of_two(symbol: str, a: float, b: float, result: float) -> tuple[float, float]:
    match symbol:
        case "+":
            return 1.0, 1.0
        case "-":
            return 1.0, -1.0
        case "*":
            return b, a
        case "/":
            return 1 / b, -a / (b * b)
        case "**":
            by_base = b * a ** (b - 1) if a else 0.0
            return by_base, result * math.log(a) if a > 0 else 0.0
        case "%":
            return 1.0, -math.floor(a / b)
        case "hypot":
            return (a / result, b / result) if result else (0.0, 0.0)
        case "round":
            return 1.0, 0.0
        case _:  # "//": flat between the steps
            return 0.0, 0.0
