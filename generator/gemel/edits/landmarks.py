"""Which stages and operations of two texts are the same: the fixed points between which blocks are aligned."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from gemel.edits.sections import same_note

if TYPE_CHECKING:
    from collections.abc import Sequence

    from gemel.edits.sections import Outline, Section

__all__ = ["landmarks"]

_ENOUGH = 1.0
_LOOKED_AT = 16
_MOST_COMPARED = 90_000


def landmarks(
    outlines: tuple[Outline, Outline], blocks: tuple[Sequence[bytes], Sequence[bytes]]
) -> list[tuple[int, int]]:
    """Indices of blocks that open the same section in both texts, rising in both.

    A wait mark is known by its number, an operation by its title, its tool, and the blocks that it holds.
    """
    ours, theirs = outlines[0].sections, outlines[1].sections
    head = 0
    while head < min(len(ours), len(theirs)) and _alike(ours[head], theirs[head]):
        head += 1
    tail = 0
    while tail < min(len(ours), len(theirs)) - head and _alike(ours[-1 - tail], theirs[-1 - tail]):
        tail += 1
    pairs = list(zip(ours[:head], theirs[:head], strict=True))
    middle = _Middle(ours[head : len(ours) - tail], theirs[head : len(theirs) - tail], outlines, blocks)
    pairs += middle.best()
    if tail:
        pairs += zip(ours[-tail:], theirs[-tail:], strict=True)
    return [point for point in _rising(pairs) if _fits(point, blocks)]


def _alike(a: Section, b: Section) -> bool:
    """Whether nothing speaks against the two being one; for the equal beginnings and ends of two outlines."""
    if not a.code or a.code != b.code:
        return not a.code and not b.code and a.note == b.note
    return not (a.note and b.note) or same_note(a.note, b.note)


def _fits(point: tuple[int, int], blocks: tuple[Sequence[bytes], Sequence[bytes]]) -> bool:
    """Whether the blocks beside the point are the same too; a call that was moved is no fixed point."""
    (ours, theirs), (a, b) = blocks, point
    if a == 0 or b == 0 or a + 1 >= len(ours) or b + 1 >= len(theirs):
        return True
    return ours[a - 1] == theirs[b - 1] and ours[a + 1] == theirs[b + 1]


def _rising(pairs: Sequence[tuple[Section, Section]]) -> list[tuple[int, int]]:
    found: list[tuple[int, int]] = []
    last = (-1, -1)
    for a, b in pairs:
        points = [(a.at, b.at)]
        # The title's block is a second fixed point where both texts have the title.
        if a.note and b.note and (a.start, b.start) != points[0]:
            points.insert(0, (a.start, b.start))
        for point in points:
            if point[0] > last[0] and point[1] > last[1]:
                found.append(point)
                last = point
    return found


class _Middle:
    """The sections between the equal beginnings and ends of two outlines."""

    def __init__(
        self,
        ours: Sequence[Section],
        theirs: Sequence[Section],
        outlines: tuple[Outline, Outline],
        blocks: tuple[Sequence[bytes], Sequence[bytes]],
    ) -> None:
        self.ours = ours
        self.theirs = theirs
        self._outlines = outlines
        self._blocks = blocks
        self._held: tuple[dict[int, Counter[bytes]], dict[int, Counter[bytes]]] = ({}, {})

    def best(self) -> list[tuple[Section, Section]]:
        """The pairs, in order in both texts, that have most in common."""
        n, m = len(self.ours), len(self.theirs)
        if not n or not m or n * m > _MOST_COMPARED:
            return []
        weight = [[self._weight(a, b) for b in self.theirs] for a in self.ours]
        total = [[0.0] * (m + 1) for _ in range(n + 1)]
        for i in range(n - 1, -1, -1):
            for j in range(m - 1, -1, -1):
                total[i][j] = max(total[i + 1][j], total[i][j + 1], total[i + 1][j + 1] + weight[i][j])
        pairs = []
        i = j = 0
        while i < n and j < m:
            if weight[i][j] and total[i][j] == total[i + 1][j + 1] + weight[i][j]:
                pairs.append((self.ours[i], self.theirs[j]))
                i, j = i + 1, j + 1
            elif total[i][j] == total[i + 1][j]:
                i += 1
            else:
                j += 1
        return pairs

    def _weight(self, a: Section, b: Section) -> float:
        """How much speaks for two sections being one; 0 where it is not enough."""
        if bool(a.operation) != bool(b.operation):
            return 0.0
        if not a.operation:
            return 3.0 if a.code and a.code == b.code else 0.0
        same_code = bool(a.code) and a.code == b.code
        if a.note and b.note:
            if same_note(a.note, b.note):
                return 3.0 + same_code
            if not same_code:
                return 0.0
        weight = 2.0 * self._shared(a, b) + (0.5 if same_code else 0.0)
        return weight if weight >= _ENOUGH else 0.0

    def _shared(self, a: Section, b: Section) -> float:
        """The share of their blocks that both have."""
        one, other = self._blocks_of(0, a), self._blocks_of(1, b)
        both = sum((one & other).values())
        return 2 * both / max(1, one.total() + other.total())

    def _blocks_of(self, which: int, section: Section) -> Counter[bytes]:
        known = self._held[which].get(section.start)
        if known is None:
            blocks = self._blocks[which]
            place = self._outlines[which].range_of(section.start, len(blocks))
            end = min(place.stop, place.start + _LOOKED_AT)
            known = self._held[which][section.start] = Counter(blocks[place.start : end])
        return known
