"""The name that a person most likely meant."""

from __future__ import annotations

from difflib import get_close_matches
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = ["did_you_mean", "nearest"]


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known name closest to `word`, or None when none is close."""
    folded = {name.casefold(): name for name in known}
    close = get_close_matches(word.casefold(), folded, n=1, cutoff=0.6)
    return folded[close[0]] if close else None


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """A remedy: the nearest name, else the list of valid ones."""
    names = sorted(known)
    close = nearest(word, names)
    if close is not None:
        return f"did you mean `{close}`?"
    if not names:
        return "there is no valid name here"
    shown = ", ".join(f"`{name}`" for name in names[:12])
    return f"valid here: {shown}" + (" ..." if len(names) > 12 else "")
