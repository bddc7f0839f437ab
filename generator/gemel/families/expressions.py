"""Expressions over named values: Jinja2's sandboxed expressions, held to arithmetic.

`parsed(text)` says which names an expression needs, or why it cannot be one; `evaluate` gives its number, with the
origins of the values carried along. Angles of sin, cos, tan are degrees.
"""

from __future__ import annotations

import math
import operator
import re
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from jinja2 import StrictUndefined, TemplateError, nodes
from jinja2.parser import Parser
from jinja2.sandbox import SandboxedEnvironment

from gemel.families import codes
from gemel.numbers import ceil, cos_deg, floor, maximum, minimum, rounded, rule, sin_deg, sqrt, tan_deg

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from gemel.findings import Explanation

__all__ = ["FUNCTIONS", "Fault", "Parsed", "evaluate", "parsed", "usable_name"]

LONGEST = 500
DEEPEST = 60
LARGEST = 1e12


def _round(value: float, digits: float = 0) -> float:
    return rounded(value, int(digits))


FUNCTIONS: dict[str, Callable[..., float]] = {
    "sqrt": sqrt,
    "sin": sin_deg,
    "cos": cos_deg,
    "tan": tan_deg,
    "min": minimum,
    "max": maximum,
    "ceil": ceil,
    "floor": floor,
    "round": _round,
}
_CONSTANTS: dict[str, float] = {"pi": rule(math.pi, "pi", "circumference of a circle over its diameter")}
_WORDS = frozenset({"and", "or", "not", "in", "is", "if", "else", "true", "false", "none", "True", "False", "None"})
_BINARY: dict[str, Callable[[Any, Any], Any]] = {
    "+": operator.add,
    "-": operator.sub,
    "*": operator.mul,
    "/": operator.truediv,
    "//": operator.floordiv,
    "%": operator.mod,
    "**": operator.pow,
}
_ARITHMETIC = (
    nodes.Const,
    nodes.Name,
    nodes.BinExpr,
    nodes.UnaryExpr,
    nodes.Compare,
    nodes.Operand,
    nodes.CondExpr,
    nodes.Call,
)


class Fault(Exception):  # noqa: N818 # it carries a finding's code, and its cause names the fault
    """Why a text gives no number.

    Attributes:
        code: the finding's code. word: the offending part of the text; empty for the whole.
    """

    def __init__(self, code: Explanation, cause: str, word: str = "", remedy: str = "") -> None:
        super().__init__(cause)
        self.code = code
        self.cause = cause
        self.word = word
        self.remedy = remedy


@dataclass(frozen=True, slots=True)
class Parsed:
    """An expression that is one.

    Attributes:
        text: as written. names: the values it needs, in the order met.
    """

    text: str
    names: tuple[str, ...]

    @property
    def is_name(self) -> bool:
        """Whether it is nothing but the name of a value."""
        return self.names == (self.text.strip(),)


class _Arithmetic(SandboxedEnvironment):
    """The sandbox: nothing to call but our functions, nothing to reach, every operation through `call_binop`."""

    # Intercepted operations are never folded while compiling: `9**9**9` meets floats, which overflow at once.
    intercepted_binops = frozenset(_BINARY)
    intercepted_unops = frozenset({"+", "-"})

    def call_binop(self, context: Any, operator: str, left: Any, right: Any) -> Any:  # noqa: ARG002 # the sandbox's own signature
        return _BINARY[operator](_float(left), _float(right))

    def call_unop(self, context: Any, operator: str, arg: Any) -> Any:  # noqa: ARG002 # the sandbox's own signature
        return -_float(arg) if operator == "-" else _float(arg)


def _float(value: Any) -> float:
    return value if isinstance(value, float) else float(value)


def _environment() -> _Arithmetic:
    environment = _Arithmetic(undefined=StrictUndefined, optimized=False, autoescape=False, cache_size=0)
    environment.filters.clear()
    environment.tests.clear()
    environment.globals.clear()
    environment.globals.update(FUNCTIONS)
    environment.globals.update(_CONSTANTS)
    return environment


_ENVIRONMENT = _environment()


def usable_name(name: str) -> bool:
    """Whether a value may bear this name."""
    fits = re.fullmatch(r"[A-Za-z][A-Za-z0-9_]*", name) is not None
    return fits and name not in FUNCTIONS and name not in _CONSTANTS and name not in _WORDS


@lru_cache(maxsize=8192)
def parsed(text: str) -> Parsed:
    """The expression of a text.

    Raises:
        Fault: it is none; with the code, the cause and the offending part.
    """
    if len(text) > LONGEST:
        raise Fault(codes.SYNTAX, f"the expression is {len(text)} characters long; at most {LONGEST} are read")
    comma = re.search(r"(?<![\w.])\d+,\d+(?![\w.])", text)
    if comma and "(" not in text[: comma.start()]:
        remedy = f"write `{comma.group().replace(',', '.')}`"
        raise Fault(codes.DECIMAL_COMMA, f"`{comma.group()}` has a comma for a decimal point", comma.group(), remedy)
    try:
        parser = Parser(_ENVIRONMENT, text, state="variable")
        tree = parser.parse_expression()
        if not parser.stream.eos:
            raise Fault(codes.SYNTAX, f"`{text}` goes on behind the end of an expression")
    except TemplateError as error:
        raise Fault(codes.SYNTAX, f"`{text}` cannot be read: {error.message}") from None
    except (RecursionError, ValueError, OverflowError):
        raise Fault(codes.SYNTAX, "the expression is nested too deep or holds a number too long") from None
    names: dict[str, None] = {}
    _admit(tree, names, 0)
    return Parsed(text, tuple(names))


def _admit(node: nodes.Node, names: dict[str, None], depth: int) -> None:
    """Let arithmetic through, and note the names of values."""
    if depth > DEEPEST:
        raise Fault(codes.SYNTAX, "the expression is nested too deep")
    if isinstance(node, nodes.Getattr | nodes.Getitem):
        word = node.attr if isinstance(node, nodes.Getattr) else "["
        raise Fault(codes.ATTRIBUTE, f"an expression cannot reach for `{word}`", word)
    if not isinstance(node, _ARITHMETIC):
        raise Fault(codes.NOT_ALLOWED, f"{_named(node)} gives no number")
    if isinstance(node, nodes.Const):
        _admit_number(node.value)
    elif isinstance(node, nodes.Pow) and isinstance(node.left, nodes.Pow | nodes.UnaryExpr):
        # Jinja2 reads `-a ** 2` as `(-a) ** 2` and `a ** b ** c` from the left; most people read both otherwise.
        remedy = "write `-(a ** 2)`, or `a ** (b * c)`"
        raise Fault(codes.SYNTAX, "`**` behind a sign or another `**` can be read in two ways", "**", remedy)
    elif isinstance(node, nodes.Operand) and node.op in ("in", "notin"):
        raise Fault(codes.NOT_ALLOWED, "`in` compares lists, not numbers", "in")
    elif isinstance(node, nodes.Call):
        _admit_call(node)
    elif isinstance(node, nodes.Name):
        _admit_name(node.name, names)
    for child in node.iter_child_nodes():
        if not (isinstance(node, nodes.Call) and child is node.node):
            _admit(child, names, depth + 1)


def _admit_number(value: object) -> None:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise Fault(codes.NOT_ALLOWED, f"`{value}` is no number", str(value))
    if not abs(value) < LARGEST:
        raise Fault(codes.ARITHMETIC, "a number in the expression is too large to be a size")


def _admit_call(node: nodes.Call) -> None:
    if not isinstance(node.node, nodes.Name):
        raise Fault(codes.ATTRIBUTE, "only a named function can be called")
    name = node.node.name
    if name not in FUNCTIONS:
        known = ", ".join(FUNCTIONS)
        raise Fault(codes.UNKNOWN_NAME, f"there is no function `{name}`", name, f"the functions are {known}")
    if node.kwargs or node.dyn_args is not None or node.dyn_kwargs is not None:
        raise Fault(codes.NOT_ALLOWED, f"`{name}` takes plain arguments only", name)


def _admit_name(name: str, names: dict[str, None]) -> None:
    if name in FUNCTIONS:
        raise Fault(codes.NOT_ALLOWED, f"`{name}` is a function: give it arguments in ( )", name)
    if name not in _CONSTANTS:
        names.setdefault(name)


def _named(node: nodes.Node) -> str:
    words = {"Filter": "a filter (`|`)", "Test": "a test (`is`)", "Tuple": "a list with commas", "Concat": "`~`"}
    kind = type(node).__name__
    return words.get(kind, f"a {kind.lower()}")


@lru_cache(maxsize=8192)
def _compiled(text: str) -> Callable[..., Any]:
    return _ENVIRONMENT.compile_expression(text, undefined_to_none=False)


def evaluate(expression: Parsed, values: Mapping[str, float]) -> float:
    """The number of an expression over `values` (all its names are there); comparisons give 1 or 0.

    Raises:
        Fault: division by zero, an overflow, a root of a negative, a wrong count of arguments.
    """
    given = {name: values[name] for name in expression.names}
    try:
        result = _compiled(expression.text)(**given)
        number = _float(result)
    except ZeroDivisionError as error:
        raise Fault(codes.DIVISION, _zero_cause(expression, error, given)) from None
    except (OverflowError, ValueError, TypeError, TemplateError) as error:
        cause = f"`{expression.text}` gives no number: {_plain(error)}{_shown(given)}"
        raise Fault(codes.ARITHMETIC, cause) from None
    except (RecursionError, SyntaxError, MemoryError):
        raise Fault(codes.SYNTAX, "the expression is nested too deep") from None
    if not abs(number) < LARGEST:
        raise Fault(codes.ARITHMETIC, f"`{expression.text}` is too large to be a size{_shown(given)}")
    return number


def _plain(error: Exception) -> str:
    if isinstance(error, OverflowError):
        return "it is too large"
    # Python's own words, but for the names of our functions, which the person wrote without `_deg`.
    return str(error).replace("_deg()", "()").replace("math domain error", "a root of a negative number")


def _zero_cause(expression: Parsed, error: ZeroDivisionError, given: Mapping[str, float]) -> str:
    why = str(error) if "not a real number" in str(error) else "divides by zero"
    return f"`{expression.text}` {why}{_shown(given)}"


def _shown(given: Mapping[str, float]) -> str:
    if not given:
        return ""
    return " (with " + ", ".join(f"{name} {float(value):g}" for name, value in given.items()) + ")"
