"""The lower envelope of straight pieces: what is left of a radius when every cut has taken its part.

Places are mm along the part from its front face, radii mm.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

__all__ = ["Piece", "envelope", "height_at", "pieces_of"]

_SAME_MM = 1e-6


class Piece(NamedTuple):
    """A straight limit of the radius between two places."""

    start_mm: float
    start_radius_mm: float
    end_mm: float
    end_radius_mm: float

    def at(self, place_mm: float) -> float:
        """The limit at a place between start and end."""
        length = self.end_mm - self.start_mm
        share = (place_mm - self.start_mm) / length
        return self.start_radius_mm + share * (self.end_radius_mm - self.start_radius_mm)


def pieces_of(points: Iterable[tuple[float, float]]) -> list[Piece]:
    """The pieces of a line through (place, radius) points; steps across the axis limit nothing."""
    return [Piece(*a, *b) for a, b in pairwise(points) if b[0] - a[0] > _SAME_MM]


def envelope(pieces: Sequence[Piece], length_mm: float) -> list[tuple[float, float]]:
    """The line (place, radius) of the least limit from 0 to `length_mm`, with a step wherever it jumps."""
    places = sorted({0.0, length_mm, *_breaks(pieces, length_mm)})
    line: list[tuple[float, float]] = []
    for start, end in pairwise(places):
        if end - start < _SAME_MM:
            continue
        middle = (start + end) / 2
        over = [p for p in pieces if p.start_mm <= middle <= p.end_mm]
        if not over:
            continue
        lowest = min(over, key=lambda piece: piece.at(middle))
        _append(line, (start, lowest.at(start)))
        _append(line, (end, lowest.at(end)))
    return _straightened(line)


def _breaks(pieces: Sequence[Piece], length_mm: float) -> list[float]:
    """Where pieces begin, end, and cross."""
    found = [place for p in pieces for place in (p.start_mm, p.end_mm)]
    for index, one in enumerate(pieces):
        found += [place for other in pieces[index + 1 :] if (place := _crossing(one, other)) is not None]
    return [place for place in found if 0 < place < length_mm]


def _crossing(one: Piece, other: Piece) -> float | None:
    start, end = max(one.start_mm, other.start_mm), min(one.end_mm, other.end_mm)
    if end - start < _SAME_MM:
        return None
    before, after = one.at(start) - other.at(start), one.at(end) - other.at(end)
    if before * after >= 0:
        return None
    return start + (end - start) * before / (before - after)


def _append(line: list[tuple[float, float]], point: tuple[float, float]) -> None:
    if not line or max(abs(point[0] - line[-1][0]), abs(point[1] - line[-1][1])) > _SAME_MM:
        line.append(point)


def _straightened(line: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """The same line without points that lie on a straight between their neighbours."""
    kept: list[tuple[float, float]] = []
    for point in line:
        while len(kept) > 1 and _bend(kept[-2], kept[-1], point) < _SAME_MM:
            kept.pop()
        kept.append(point)
    return kept


def _bend(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    return abs((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))


def height_at(line: Sequence[tuple[float, float]], place_mm: float) -> float:
    """The larger radius of a line at a place (at a step, the upper one); 0 beside it."""
    heights = [
        max(a[1], b[1]) if b[0] - a[0] < _SAME_MM else Piece(*a, *b).at(place_mm)
        for a, b in pairwise(line)
        if a[0] - _SAME_MM <= place_mm <= b[0] + _SAME_MM
    ]
    return max(heights, default=0.0)
