"""Units, numbers that remember, rounding and formatting.

Takes floats and origins; gives `Number` and program text. Imports nothing of gemel.
"""

from gemel.numbers.again import again
from gemel.numbers.explain import formula, leaves, sensitivity
from gemel.numbers.figures import Figure, figure, plain, share, spelled_like
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
    "Figure",
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
    "figure",
    "floor",
    "formula",
    "hypot",
    "leaves",
    "maximum",
    "minimum",
    "named",
    "passes",
    "plain",
    "rounded",
    "rule",
    "sensitivity",
    "share",
    "sin_deg",
    "sourced",
    "spell",
    "spelled_like",
    "sqrt",
    "tan_deg",
]
