"""Numbers as people type and say them, exactly: read, taken apart, spelled like another one."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation

__all__ = ["Figure", "figure", "plain", "share", "spelled_like"]

Figure = Decimal
"""A number as it is typed, exactly."""


def figure(text: str) -> Decimal:
    """The number that a text spells, exactly; NaN for a text that spells none."""
    try:
        return Decimal(text)
    except InvalidOperation:
        return Decimal("NaN")


def plain(number: Decimal) -> str:
    """A number without an exponent and without zeros at its end."""
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def share(apart: Decimal, of: Decimal) -> str:
    """The size of `apart` in per cent of `of`, whole ones from 1 on."""
    per_cent = abs(apart / of * 100)
    return plain(per_cent.quantize(Decimal(1) if per_cent >= 1 else Decimal("0.1")))


def spelled_like(value: float, old: str) -> str:
    """A number spelled as `old` is: at least as many decimals, its sign and its bare leading or closing point.

    Args:
        value: the new number.
        old: how the number that it replaces is written, `0.20`, `.5`, `25.` or `+3`.
    """
    bare = old.lstrip("+-")
    decimals = len(bare.partition(".")[2])
    exact = Decimal(repr(value))
    have = max(-int(exact.normalize().as_tuple().exponent), 0)
    text = f"{exact:.{max(have, decimals)}f}"
    if bare.startswith(".") and abs(value) < 1:
        text = text.replace("0.", ".", 1)
    if bare.endswith(".") and "." not in text:
        text += "."
    return f"+{text}" if old.startswith("+") and value > 0 else text
