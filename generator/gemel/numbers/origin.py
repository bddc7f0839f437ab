"""Where a number came from: leaves in YAML or in the trade's rules, and the operations between.

An origin is a small graph: each `Number` holds one node, each node its arguments.
Nothing is computed until somebody asks (`gemel.numbers.explain`), so carrying origins costs one tuple a step.
"""

from __future__ import annotations

from typing import NamedTuple


class Source(NamedTuple):
    """A leaf: one scalar that a person wrote.

    Attributes:
        name: the path of the value in its document, `values.length` or `operations.turn-body.cutting.feed`.
        file: the document, relative to the shop.
        line: 1-based; 0 where the document has no lines.
        column: 0-based start of the scalar.
        text: the scalar as written, `7/8` or `0.25`.
    """

    name: str
    file: str
    line: int
    column: int
    text: str


class Rule(NamedTuple):
    """A leaf: a constant of the trade that stands in gemel's own code.

    Attributes:
        name: what it is, `clear distance before a cut`.
        reason: its source, or `common practice, no source`.
    """

    name: str
    reason: str


class Step(NamedTuple):
    """An inner node: `symbol` applied to `args` (Numbers, or plain floats for literals in an expression)."""

    symbol: str
    args: tuple[float, ...]


class Named(NamedTuple):
    """A value that the YAML names and derives by an expression; `value` is what the expression gave."""

    source: Source
    value: float


Origin = Source | Rule | Step | Named
