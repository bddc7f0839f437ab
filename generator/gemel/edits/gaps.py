"""What became of the blocks of a gap: which were changed, removed, added, and which were only wrapped.

A table of costs over both sides (Needleman and Wunsch 1970): an equal block costs nothing, a changed one the less the
more words it shares, a removed or added one 1. Gaps are small; one that is not is first cut by the kinds of its blocks.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from gemel.edits.runs import MOST_CELLS, Gap, gaps

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from gemel.edits.spelling import Spoken

__all__ = ["Match", "Place", "likeness", "resolve"]

_NEVER = 1e9
_LESS = 1e-6


class Place(NamedTuple):
    """A block of the copy by its meaning, and the blocks that it stands on (several where it is wrapped)."""

    spoken: Spoken
    first: int
    last: int


class Match(NamedTuple):
    """What became of a block: indices into the two sides of a gap, None for a block that only one side has."""

    ours: int | None
    theirs: int | None


def likeness(a: Spoken, b: Spoken) -> float:
    """How much two blocks have in common, 0 to 1: the share of equal words, words of one slot counted half."""
    if a.key == b.key:
        return 1.0
    common = _common([word.text for word in a.words], [word.text for word in b.words])
    slots = _common([word.slot for word in a.words], [word.slot for word in b.words])
    return (2 * common + max(0, slots - common)) / max(1, len(a.words) + len(b.words))


def _common(one: Sequence[str], other: list[str]) -> int:
    """How many of the texts both have; `other` is used up."""
    count = 0
    for text in one:
        if text in other:
            other.remove(text)
            count += 1
    return count


def _cost(a: Spoken, b: Spoken) -> float:
    """What it costs to say that `b` is `a` changed."""
    if a.key == b.key:
        return 0.0
    alike = likeness(a, b)
    lone = len(a.words) == len(b.words) == 1
    if alike > 0.5 + _LESS or (lone and alike >= 0.5):
        return 0.3 + 1.4 * (1.0 - alike)
    return _NEVER


def resolve(ours: Sequence[Spoken], theirs: Sequence[Spoken]) -> list[Match]:
    """What became of each block, in the order of both sides."""
    if len(ours) * len(theirs) <= MOST_CELLS:
        return _table(ours, theirs)
    found: list[Match] = []
    a = b = 0
    kinds = tuple([s.form.encode() for s in side] for side in (ours, theirs))
    for gap in (
        *gaps(kinds[0], kinds[1], Gap(0, len(ours), 0, len(theirs))),
        Gap(len(ours), len(ours), len(theirs), len(theirs)),
    ):
        # Between two gaps the blocks are of the same kinds, one by one.
        found += [Match(a + k, b + k) for k in range(gap.a - a)]
        found += _shifted(ours, theirs, gap)
        a, b = gap.a_end, gap.b_end
    return [part for match in found for part in _apart(match, ours, theirs)]


def _shifted(ours: Sequence[Spoken], theirs: Sequence[Spoken], gap: Gap) -> Iterator[Match]:
    left, right = ours[gap.a : gap.a_end], theirs[gap.b : gap.b_end]
    if len(left) * len(right) <= MOST_CELLS:
        matches = _table(left, right)
    else:
        matches = [*(Match(i, None) for i in range(len(left))), *(Match(None, j) for j in range(len(right)))]
    for match in matches:
        yield Match(
            None if match.ours is None else match.ours + gap.a, None if match.theirs is None else match.theirs + gap.b
        )


def _apart(match: Match, ours: Sequence[Spoken], theirs: Sequence[Spoken]) -> tuple[Match, ...]:
    """The match, or its two sides where they have too little in common."""
    if match.ours is None or match.theirs is None or _cost(ours[match.ours], theirs[match.theirs]) < _NEVER:
        return (match,)
    return Match(match.ours, None), Match(None, match.theirs)


def _table(ours: Sequence[Spoken], theirs: Sequence[Spoken]) -> list[Match]:
    n, m = len(ours), len(theirs)
    if not n or not m:
        return [*(Match(i, None) for i in range(n)), *(Match(None, j) for j in range(m))]
    costs = _costs(ours, theirs)
    # least[i][j]: what the blocks from i and j on cost.
    least = [[float(m - j) for j in range(m + 1)] for _ in range(n + 1)]
    for i in range(n - 1, -1, -1):
        row, below = least[i], least[i + 1]
        row[m] = float(n - i)
        prices = costs[i]
        for j in range(m - 1, -1, -1):
            apart = (min(below[j], row[j + 1])) + 1.0
            together = below[j + 1] + prices[j]
            row[j] = min(apart, together)
    found: list[Match] = []
    i = j = 0
    while i < n and j < m:
        here = least[i][j] + _LESS
        if costs[i][j] < _NEVER and least[i + 1][j + 1] + costs[i][j] <= here:
            found.append(Match(i, j))
            i, j = i + 1, j + 1
        elif least[i + 1][j] + 1.0 <= here:
            found.append(Match(i, None))
            i += 1
        else:
            found.append(Match(None, j))
            j += 1
    found += [Match(k, None) for k in range(i, n)]
    found += [Match(None, k) for k in range(j, m)]
    return found


def _costs(ours: Sequence[Spoken], theirs: Sequence[Spoken]) -> list[list[float]]:
    """What each pair costs; blocks repeat, and each pair of meanings is priced once."""
    known: dict[tuple[str, str], float] = {}
    table: list[list[float]] = []
    for a in ours:
        row = []
        for b in theirs:
            price = known.get((a.key, b.key))
            if price is None:
                price = known[a.key, b.key] = _cost(a, b)
            row.append(price)
        table.append(row)
    return table
