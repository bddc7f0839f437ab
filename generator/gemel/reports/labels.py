"""Where labels go so that none lies on another and no leader crosses another's text."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["FOOT_MM", "Placed", "Room", "levels", "spread"]

_LEADER_MM = 2.4
"""Room that a leader needs where it passes between labels."""

_GAP_MM = 3.0
FOOT_MM = 1.75
"""From a label's left end to its leader."""

_MOST_ROWS = 6
_ROW_COST_MM = 32.0


class Room(NamedTuple):
    """From where to where labels may go, mm on the paper."""

    left_mm: float
    right_mm: float


class Placed(NamedTuple):
    """A label's place: where its leader meets it, near its left end, and its row, 0 nearest to what it names."""

    leader_mm: float
    row: int


def spread(targets_mm: Sequence[float], widths_mm: Sequence[float], room: Room) -> list[Placed]:
    """Places for labels, as near as can be above what they name, in few rows.

    The labels stand in the order of their targets, like flags: each begins at its leader and flies to the right.
    From left to right the rows come nearer, so that a flag flies over the leaders of those behind it, then the next
    group begins in the farthest row again.
    """
    order = sorted(range(len(targets_mm)), key=lambda i: targets_mm[i])
    best: list[Placed] = []
    least = math.inf
    for rows in range(1, max(_MOST_ROWS, len(order)) + 1):
        row_of = {item: rows - 1 - position % rows for position, item in enumerate(order)}
        middles = _in_rows(order, row_of, targets_mm, widths_mm, room)
        if middles is None:
            continue
        cost = rows * _ROW_COST_MM + sum(abs(middles[i] - targets_mm[i]) for i in order)
        if cost < least:
            least, best = cost, [Placed(middles[i], row_of[i]) for i in range(len(targets_mm))]
    # Only a label that is wider than the room leaves nothing: then each has a row of its own.
    return best or [Placed(target, len(order) - 1 - order.index(i)) for i, target in enumerate(targets_mm)]


def _in_rows(
    order: list[int], row_of: dict[int, int], targets: Sequence[float], widths: Sequence[float], room: Room
) -> dict[int, float] | None:
    """The middles of the labels in these rows, None where there is no room for them.

    The mean of the two places that lie as far left and as far right as the targets want: both keep every distance,
    so their mean does.
    """
    apart = {
        (one, other): _apart(row_of, widths, one, other) for i, one in enumerate(order) for other in order[i + 1 :]
    }
    least = [room.left_mm + FOOT_MM for _ in widths]
    most = [room.right_mm - width + FOOT_MM for width in widths]
    rightward = _pushed(order, apart, targets, least, most)
    turned = {(b, a): distance for (a, b), distance in apart.items()}
    leftward = _pushed(order[::-1], turned, [-t for t in targets], [-m for m in most], [-m for m in least])
    if rightward is None or leftward is None:
        return None
    return {item: (rightward[item] - leftward[item]) / 2 for item in order}


def _pushed(
    order: list[int],
    apart: dict[tuple[int, int], float],
    targets: Sequence[float],
    least: Sequence[float],
    most: Sequence[float],
) -> dict[int, float] | None:
    """Each label at its target or as far to the right of it as those before it push it; None where they do not fit."""
    latest: dict[int, float] = {}
    for position in range(len(order) - 1, -1, -1):
        item = order[position]
        behind = (latest[other] - apart[item, other] for other in order[position + 1 :])
        latest[item] = min([most[item], *behind])
    middles: dict[int, float] = {}
    for position, item in enumerate(order):
        before = (middles[other] + apart[other, item] for other in order[:position])
        earliest = max([least[item], *before])
        if earliest > latest[item] + 1e-9:
            return None
        middles[item] = min(max(targets[item], earliest), latest[item])
    return middles


def _apart(row_of: dict[int, int], widths: Sequence[float], one: int, other: int) -> float:
    """Least distance of the leaders of two labels, the first one to the left."""
    if row_of[one] > row_of[other]:
        return FOOT_MM + _LEADER_MM / 2
    return widths[one] + (_GAP_MM if row_of[one] == row_of[other] else _LEADER_MM / 2 - FOOT_MM)


def levels(spans_mm: Sequence[tuple[float, float]]) -> list[int]:
    """A level for each stretch, 0 first: stretches on one level keep clear of each other, short ones come first."""
    taken: list[list[tuple[float, float]]] = []
    found = [0] * len(spans_mm)
    for index in sorted(range(len(spans_mm)), key=lambda i: (spans_mm[i][1] - spans_mm[i][0], i)):
        low, high = spans_mm[index]
        level = next((n for n, row in enumerate(taken) if all(high + 1 < a or b + 1 < low for a, b in row)), len(taken))
        if level == len(taken):
            taken.append([])
        taken[level].append((low, high))
        found[index] = level
    return found
