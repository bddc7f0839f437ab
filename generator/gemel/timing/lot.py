"""What a lot takes: bars, bar changes and time, from parts per bar and cycle time."""

from __future__ import annotations

from math import ceil
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["Lot", "bar_changes_per_hour", "lot_of", "lot_of_pieces"]


class Lot(NamedTuple):
    """A lot of parts of one kind.

    Attributes:
        parts: how many.
        bars: how many bars are put into the machine, the last one perhaps in part.
        last_parts: how many parts the last bar gives.
        seconds: running time, the changes from bar to bar included; None where the cycle time is not known.
    """

    parts: int
    bars: int
    last_parts: int
    seconds: float | None


def lot_of(parts: int, per_bar: int, cycle_s: float | None, change_s: float) -> Lot:
    """A lot of so many parts; the first bar stands in the machine when it begins.

    Raises:
        ValueError: a bar gives no part at all.
    """
    if per_bar < 1:
        raise ValueError("a bar gives no part")
    bars = ceil(parts / per_bar)
    last = parts - (bars - 1) * per_bar if bars else 0
    return lot_of_pieces([per_bar] * (bars - 1) + [last] * (bars > 0), cycle_s, change_s)


def lot_of_pieces(pieces: Sequence[int], cycle_s: float | None, change_s: float) -> Lot:
    """A lot from bars that each give so many parts, in the order in which they are put in."""
    parts = sum(pieces)
    seconds = None if cycle_s is None else parts * cycle_s + max(len(pieces) - 1, 0) * change_s
    return Lot(parts, len(pieces), pieces[-1] if pieces else 0, seconds)


def bar_changes_per_hour(per_bar: int, cycle_s: float, change_s: float) -> float:
    """How often in an hour of running a new bar comes.

    Raises:
        ZeroDivisionError: neither parts nor change take any time.
    """
    return 3600.0 / (per_bar * cycle_s + change_s)
