"""Why a block reads as it does: each word with its value, its formula, and the scalars behind it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from gemel.documents import place_of
from gemel.numbers import Number, Rule, Source, formula, leaves
from gemel.numbers.origin import Named

if TYPE_CHECKING:
    from gemel.writing.marks import Address, Site
    from gemel.writing.origins import Piece, TextMap, Word

__all__ = ["Leaf", "WordReason", "explain_line"]


@dataclass(frozen=True, slots=True)
class Leaf:
    """A scalar, or a rule of the trade, behind a number.

    Attributes:
        name: the value's path in its document, or the rule's name.
        value: as it stands there.
        where: `file:line`, or the rule's reason.
        formula: for a value that the document derives from others: its own formula.
    """

    name: str
    value: float
    where: str
    formula: str = ""


@dataclass(frozen=True, slots=True)
class WordReason:
    """One word explained.

    Attributes:
        word: as it stands in the block. start, end: its columns.
        value: the number it spells, in the machine's unit; None for a word without one.
        formula: over the names of YAML values; empty without a number.
        leaves: what the formula's names stand for.
        copied: `file:line` of the machine-file or family scalar that the word was copied from, else empty.
        template: `file:line` of the template line that worded it, else empty.
        address: stage, operation and step.
    """

    word: str
    start: int
    end: int
    value: float | None
    formula: str
    leaves: tuple[Leaf, ...]
    copied: str
    template: str
    address: Address


def explain_line(text_map: TextMap, number: int) -> list[WordReason]:
    """Every word of a line, in order; a comment with several numbers gives one entry per number."""
    return [reason for word in text_map.line(number) for reason in _reasons(word)]


def _reasons(word: Word) -> list[WordReason]:
    numbers = [piece for piece in word.pieces if isinstance(piece.value, Number)]
    if not numbers:
        return [_reason(word, None)]
    return [_reason(word, piece) for piece in numbers]


def _reason(word: Word, piece: Piece | None) -> WordReason:
    value = piece.value if piece is not None and isinstance(piece.value, Number) else None
    site = piece.site if piece is not None else word.site
    return WordReason(
        word.text,
        word.start,
        word.end,
        None if value is None else float(value),
        "" if value is None else formula(value),
        () if value is None else tuple(_leaves(value)),
        _copied(word) if value is None else "",
        _shown(site),
        word.address,
    )


def _shown(site: Site) -> str:
    return f"{site.template}:{site.line}" if site.line else ""


def _copied(word: Word) -> str:
    place = next((p for p in (place_of(piece.value) for piece in word.pieces) if p is not None), None)
    return "" if place is None else f"{place.file}:{place.line}"


def _leaves(value: Number) -> list[Leaf]:
    """The scalars behind a number; a value derived by an expression comes with its own formula first."""
    found = [
        Leaf(node.source.name, float(node.value), f"{node.source.file}:{node.source.line}", formula(node.value))
        for node in _derived(value)
    ]
    for origin, number in leaves(value).items():
        if isinstance(origin, Source):
            found.append(Leaf(origin.name, number, f"{origin.file}:{origin.line}"))
        else:
            assert isinstance(origin, Rule)
            found.append(Leaf(origin.name, number, origin.reason))
    return found


def _derived(value: Number) -> list[Named]:
    """Named values on the way to the leaves, outermost first, each once."""
    found: dict[Source, Named] = {}
    stack: list[float] = [value]
    seen: set[int] = set()
    while stack:
        node = stack.pop(0)
        if not isinstance(node, Number) or id(node) in seen:
            continue
        seen.add(id(node))
        origin = node.origin
        if isinstance(origin, Named):
            found.setdefault(origin.source, origin)
            stack.append(origin.value)
        elif not isinstance(origin, Source | Rule):
            stack.extend(origin.args)
    return list(found.values())
