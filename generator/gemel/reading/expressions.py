"""Values of macro expressions: `[#101+1.5]`, `#[#3+1]`, `SQRT[3**2+4**2]`, `ATAN[1]/[2]`.

Precedence, functions and rounding follow NISTIR 6556, 3.3.2.3-4: `**` before `* / MOD` before `+ - OR XOR AND`, equal
rank from left to right; angles in degrees; FIX is the floor. Comparisons (`EQ NE GT GE LT LE`) come last; their
spelling and the vacant variable are common practice of macro programs, no source.

An expression is kept in postfix order, so that neither a long nor a deep one can exhaust the stack.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

__all__ = [
    "LARGEST_NUMBER",
    "LOCAL_VARIABLES",
    "UNKNOWN",
    "Cursor",
    "Expression",
    "MacroSyntaxError",
    "UndecidableError",
    "evaluate",
    "parse_value",
]

LOCAL_VARIABLES = 33
"""Variables `#1` to `#33` belong to one program; without a value they are vacant, which can be asked for."""

LARGEST_NUMBER = 1e15
"""No word and no value is as large: with smaller ones no sum of a run can leave the range of a double."""

UNKNOWN = math.nan
"""Value of a variable that was set to something that cannot be known."""

_DEEPEST = 60
"""Brackets in brackets; more is refused. No control takes nearly as many."""

_FUNCTIONS = ("SIN", "COS", "TAN", "ASIN", "ACOS", "ATAN", "SQRT", "ABS", "ROUND", "FIX", "FUP", "EXP", "LN")
_RANKS: tuple[tuple[str, ...], ...] = (
    ("EQ", "NE", "GT", "GE", "LT", "LE"),
    ("+", "-", "OR", "XOR", "AND"),
    ("*", "/", "MOD"),
    ("**",),
)


class MacroSyntaxError(ValueError):
    """A macro text that follows no rule; carries the place in the compact text."""

    def __init__(self, message: str, at: int) -> None:
        super().__init__(message)
        self.at = at


class UndecidableError(ValueError):
    """A value that cannot be known from the text; the message says why."""


class Expression(NamedTuple):
    """An expression in postfix order.

    Attributes:
        code: operations on a stack: a number, `#` (value of the variable whose number is on top), a function name,
            `neg`, or a binary operator.
        text: as written, without blanks.
    """

    code: tuple[float | str, ...]
    text: str


class Cursor:
    """A place in a compact text (upper case, no blanks) that moves on while it is read."""

    __slots__ = ("at", "depth", "text")

    def __init__(self, text: str, at: int = 0) -> None:
        self.text = text
        self.at = at
        self.depth = 0

    def takes(self, piece: str) -> bool:
        """Whether the text goes on with `piece`; then the place is behind it."""
        if self.text.startswith(piece, self.at):
            self.at += len(piece)
            return True
        return False

    def needs(self, piece: str) -> None:
        """Moves behind `piece`, which must come now."""
        if not self.takes(piece):
            raise MacroSyntaxError(f"`{piece}` expected", self.at)

    def digits(self) -> str:
        """The digits that come now, perhaps none."""
        begin = self.at
        while self.at < len(self.text) and self.text[self.at] in "0123456789":
            self.at += 1
        return self.text[begin : self.at]


def parse_value(cursor: Cursor, *, whole: bool = False) -> Expression:
    """The value that comes now: one value (`#1`, `-[..]`, `SIN[..]`), or a whole sum of them where `whole`."""
    begin = cursor.at
    code: list[float | str] = []
    if whole:
        _ranked(cursor, code, 0)
    else:
        _single(cursor, code)
    return Expression(tuple(code), cursor.text[begin : cursor.at])


def _ranked(cursor: Cursor, code: list[float | str], rank: int) -> None:
    """Appends operands and operators of this rank and of those above it, equal ones from left to right."""
    if rank == len(_RANKS):
        _single(cursor, code)
        return
    _ranked(cursor, code, rank + 1)
    while operator := _operator(cursor, rank):
        _ranked(cursor, code, rank + 1)
        code.append(operator)


def _operator(cursor: Cursor, rank: int) -> str:
    """The operator of this rank that comes now, or nothing. `**` is never read as `*`."""
    for operator in _RANKS[rank]:
        if operator == "*" and cursor.text.startswith("**", cursor.at):
            continue
        if cursor.takes(operator):
            return operator
    return ""


def _single(cursor: Cursor, code: list[float | str]) -> None:
    """Appends one value with its signs."""
    negative = False
    while cursor.text.startswith(("+", "-"), cursor.at):
        negative ^= cursor.text[cursor.at] == "-"
        cursor.at += 1
    cursor.depth += 1
    if cursor.depth > _DEEPEST:
        raise MacroSyntaxError("nested too deep", cursor.at)
    if cursor.takes("#"):
        _single(cursor, code)
        code.append("#")
    elif cursor.takes("["):
        _ranked(cursor, code, 0)
        cursor.needs("]")
    elif cursor.text[cursor.at : cursor.at + 1].isalpha():
        _function(cursor, code)
    else:
        code.append(_number(cursor))
    cursor.depth -= 1
    if negative:
        code.append("neg")


def _function(cursor: Cursor, code: list[float | str]) -> None:
    """Appends a function with its argument; ATAN takes two, as `ATAN[a]/[b]` or `ATAN[a,b]`."""
    name = next((f for f in _FUNCTIONS if cursor.text.startswith(f + "[", cursor.at)), "")
    if not name:
        raise MacroSyntaxError("no such function", cursor.at)
    cursor.at += len(name) + 1
    _ranked(cursor, code, 0)
    two = name == "ATAN" and cursor.takes(",")
    if two:
        _ranked(cursor, code, 0)
    cursor.needs("]")
    if name == "ATAN" and not two and cursor.takes("/["):
        _ranked(cursor, code, 0)
        cursor.needs("]")
        two = True
    code.append("ATAN2" if two else name)


def _number(cursor: Cursor) -> float:
    """The unsigned number that comes now."""
    begin = cursor.at
    digits = cursor.digits()
    if cursor.takes("."):
        digits += cursor.digits()
    if not digits:
        raise MacroSyntaxError("a value expected", begin)
    value = float(cursor.text[begin : cursor.at])
    if value >= LARGEST_NUMBER:
        raise MacroSyntaxError("a number without bounds", begin)
    return value


def _half_away(value: float) -> float:
    """The nearest whole number, halves away from zero."""
    return math.copysign(math.floor(abs(value) + 0.5), value) + 0.0


def _divided(a: float, b: float) -> float:
    if b == 0:
        raise UndecidableError("a division by zero")
    return a / b


def _modulo(a: float, b: float) -> float:
    if b == 0:
        raise UndecidableError("a division by zero")
    return a % abs(b)


_UNARY: dict[str, Callable[[float], float]] = {
    "neg": lambda a: -a,
    "SIN": lambda a: math.sin(math.radians(a)),
    "COS": lambda a: math.cos(math.radians(a)),
    "TAN": lambda a: math.tan(math.radians(a)),
    "ASIN": lambda a: math.degrees(math.asin(a)),
    "ACOS": lambda a: math.degrees(math.acos(a)),
    "ATAN": lambda a: math.degrees(math.atan(a)),
    "SQRT": math.sqrt,
    "ABS": abs,
    "ROUND": _half_away,
    "FIX": lambda a: float(math.floor(a)),
    "FUP": lambda a: float(math.ceil(a)),
    "EXP": math.exp,
    "LN": math.log,
}
_BINARY: dict[str, Callable[[float, float], float]] = {
    "+": lambda a, b: a + b,
    "-": lambda a, b: a - b,
    "*": lambda a, b: a * b,
    "/": _divided,
    "MOD": _modulo,
    "**": math.pow,
    "OR": lambda a, b: float(bool(a) or bool(b)),
    "XOR": lambda a, b: float(bool(a) != bool(b)),
    "AND": lambda a, b: float(bool(a) and bool(b)),
    "GT": lambda a, b: float(a > b),
    "GE": lambda a, b: float(a >= b),
    "LT": lambda a, b: float(a < b),
    "LE": lambda a, b: float(a <= b),
    "ATAN2": lambda a, b: math.degrees(math.atan2(a, b)),
}


def evaluate(expression: Expression, variables: Mapping[int, float]) -> float | None:
    """The value; None if it is a vacant variable.

    Raises:
        UndecidableError: the value cannot be known (a variable that the program never set, a root of -1...).
    """
    stack: list[float | None] = []
    for item in expression.code:
        if isinstance(item, float):
            stack.append(item)
        elif item == "#":
            stack.append(_variable(stack.pop(), variables))
        elif item in _UNARY:
            stack.append(_safely(_UNARY[item], stack.pop() or 0.0))
        else:
            second, first = stack.pop(), stack.pop()
            stack.append(_binary(item, first, second))
    return stack[-1]


def _binary(operator: str, first: float | None, second: float | None) -> float:
    """The result of a binary operator; a vacant operand counts as zero, except where it is compared."""
    if operator in {"EQ", "NE"}:
        vacant = first is None or second is None
        equal = first is second if vacant else math.isclose(first or 0.0, second or 0.0, abs_tol=1e-9)
        return float(equal == (operator == "EQ"))
    return _safely(_BINARY[operator], first or 0.0, second or 0.0)


def _safely(function: Callable[..., float], *values: float) -> float:
    """The function's value, or what is wrong with it."""
    try:
        result = function(*values)
    except (ValueError, OverflowError) as error:
        raise UndecidableError(str(error)) from error
    if not abs(result) < LARGEST_NUMBER:
        raise UndecidableError("a value without bounds")
    return result


def _variable(number: float | None, variables: Mapping[int, float]) -> float | None:
    """The value of a variable; None for the vacant one."""
    index = round(number or 0.0)
    value = variables.get(index)
    if value is not None:
        if math.isnan(value):
            raise UndecidableError(f"#{index} was set to what cannot be known")
        return value
    if 0 <= index <= LOCAL_VARIABLES:
        return None
    raise UndecidableError(f"the program never sets #{index}")
