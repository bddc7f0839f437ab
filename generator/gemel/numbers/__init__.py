"""Units, numbers that remember, rounding and formatting.

Takes floats and origins; gives `Number` and program text. Imports nothing of gemel.
"""

from gemel.numbers.again import again
from gemel.numbers.explain import formula, leaves, sensitivity
from gemel.numbers.format import NumberForm, spell
from gemel.numbers.number import (
    Number,
    absolute,
    acos,
    asin,
    atan,
    ceil,
    cos_deg,
    floor,
    hypot,
    maximum,
    minimum,
    named,
    passes,
    rounded,
    rule,
    sin_deg,
    sourced,
    sqrt,
    tan_deg,
)
from gemel.numbers.origin import Named, Origin, Rule, Source, Step

__all__ = [
    "Named",
    "Number",
    "NumberForm",
    "Origin",
    "Rule",
    "Source",
    "Step",
    "absolute",
    "acos",
    "again",
    "asin",
    "atan",
    "ceil",
    "cos_deg",
    "floor",
    "formula",
    "hypot",
    "leaves",
    "maximum",
    "minimum",
    "named",
    "passes",
    "rounded",
    "rule",
    "sensitivity",
    "sin_deg",
    "sourced",
    "spell",
    "sqrt",
    "tan_deg",
]
