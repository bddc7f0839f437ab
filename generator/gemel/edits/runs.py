"""Where two lists of blocks part and meet again: equal runs are found with comparisons of whole slices.

Most blocks of a control copy are those of its baseline. What costs time is therefore only the places where they
differ, and equal stretches of any length cost next to nothing. Where several changes stand close together the
shortest way through them is searched (Myers 1986, An O(ND) difference algorithm), so that among blocks that repeat
the one is found that was changed, and not its twin.
"""

from __future__ import annotations

from bisect import bisect_left
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

__all__ = ["MOST_CELLS", "Gap", "gaps"]

MOST_CELLS = 60_000
"""Pairs of blocks that a table of costs is made for."""

_PLAIN = 16
_FAR = 64
_WINDOW = 600
_MOST_CHANGES = 160
_CLOSE = 3


class Gap(NamedTuple):
    """A stretch that differs: `a` to `a_end` in one list stands for `b` to `b_end` in the other."""

    a: int
    a_end: int
    b: int
    b_end: int

    @property
    def cells(self) -> int:
        """How many pairs of blocks it holds."""
        return (self.a_end - self.a) * (self.b_end - self.b)


def gaps(ours: Sequence[bytes], theirs: Sequence[bytes], within: Gap) -> Iterator[Gap]:
    """The stretches inside `within` that differ, in order; everything between them is equal, block by block."""
    tail = _run_back(ours, theirs, within)
    rest = within._replace(a_end=within.a_end - tail, b_end=within.b_end - tail)
    while True:
        run = _run(ours, theirs, rest)
        rest = rest._replace(a=rest.a + run, b=rest.b + run)
        if rest.a == rest.a_end or rest.b == rest.b_end:
            break
        met = _single(ours, theirs, rest)
        found = [met] if met else _joined(_shortest(ours, theirs, rest))
        if not found:
            yield from _between_singles(ours, theirs, rest)
            return
        yield from found
        rest = rest._replace(a=found[-1].a_end, b=found[-1].b_end)
    if rest.a < rest.a_end or rest.b < rest.b_end:
        yield rest


def _run(ours: Sequence[bytes], theirs: Sequence[bytes], rest: Gap) -> int:
    """How many blocks are equal from the beginning of `rest` on."""
    a, b = rest.a, rest.b
    most = min(rest.a_end - a, rest.b_end - b)
    if most < 1 or ours[a] != theirs[b]:
        return 0
    done, step = 1, 16
    while done < most:
        step = min(step, most - done)
        if ours[a + done : a + done + step] == theirs[b + done : b + done + step]:
            done += step
            step *= 2
        elif step == 1:
            break
        else:
            most = min(most, done + step)
            step = step // 2
    return done


def _run_back(ours: Sequence[bytes], theirs: Sequence[bytes], rest: Gap) -> int:
    """How many blocks are equal back from the end of `rest`."""
    most = min(rest.a_end - rest.a, rest.b_end - rest.b)
    done, step = 0, 16
    while done < most:
        step = min(step, most - done)
        a, b = rest.a_end - done, rest.b_end - done
        if ours[a - step : a] == theirs[b - step : b]:
            done += step
            step *= 2
        elif step == 1:
            break
        else:
            most = min(most, done + step)
            step = step // 2
    return done


def _single(ours: Sequence[bytes], theirs: Sequence[bytes], rest: Gap) -> Gap | None:
    """One block changed, added or removed with a long equal run behind it: the usual case."""
    a, a_end, b, b_end = rest
    # Where blocks repeat, all three would do. The lengths of what is left tell which one is meant.
    bias = (a_end - a) - (b_end - b)
    best, found = 0, None
    for da, db in sorted(((1, 1), (1, 0), (0, 1)), key=lambda step: abs(bias - step[0] + step[1])):
        left = Gap(a + da, a_end, b + db, b_end)
        run = min(_FAR, _run(ours, theirs, left))
        if run == left.a_end - left.a == left.b_end - left.b:
            run = _FAR
        if run > best:
            best, found = run, Gap(a, a + da, b, b + db)
    return found if best >= _PLAIN else None


def _shortest(ours: Sequence[bytes], theirs: Sequence[bytes], rest: Gap) -> list[Gap]:
    """The stretches that differ on the shortest way through `rest`, or through the next blocks of a long one.

    Nothing where the way has more changes than are searched for. Of a long rest only what lies before a long equal
    run is given: what lies behind it is not known yet.
    """
    n, m = min(rest.a_end - rest.a, _WINDOW), min(rest.b_end - rest.b, _WINDOW)
    whole = n == rest.a_end - rest.a and m == rest.b_end - rest.b
    window = Gap(rest.a, rest.a + n, rest.b, rest.b + m)
    furthest: dict[int, int] = {1: 0}
    history: list[dict[int, int]] = []
    for changes in range(min(n + m, _MOST_CHANGES) + 1):
        history.append(dict(furthest))
        for k in range(-changes, changes + 1, 2):
            below = furthest.get(k + 1, -1)
            right = furthest.get(k - 1, -2) + 1
            x = below if k == -changes or (k != changes and right <= below) else right
            y = x - k
            if not (0 <= x <= n and 0 <= y <= m):
                continue
            x += _run(ours, theirs, window._replace(a=rest.a + x, b=rest.b + y))
            furthest[k] = x
            if (x >= n and x - k >= m) or (not whole and (x >= n or x - k >= m)):
                found = _way(history, window, (x, x - k))
                return found if whole else _before_long_run(found, window)
    return []


def _way(history: Sequence[dict[int, int]], window: Gap, end: tuple[int, int]) -> list[Gap]:
    """The stretches that differ on the way that leads to `end`, by what was reached with each number of changes."""
    x, y = end
    found: list[Gap] = []
    for changes in range(len(history) - 1, 0, -1):
        reached = history[changes]
        k = x - y
        down = k == -changes or (k != changes and reached.get(k - 1, -2) + 1 <= reached.get(k + 1, -1))
        before = k + 1 if down else k - 1
        from_x = reached[before]
        from_y = from_x - before
        step = Gap(from_x, from_x + (0 if down else 1), from_y, from_y + (1 if down else 0))
        found.append(Gap(window.a + step.a, window.a + step.a_end, window.b + step.b, window.b + step.b_end))
        x, y = from_x, from_y
    return found[::-1]


def _before_long_run(found: Sequence[Gap], window: Gap) -> list[Gap]:
    """The stretches up to the last one that a long equal run follows; nothing where none does."""
    ends = [*(gap.a for gap in found[1:]), window.a_end]
    for index in range(len(found) - 1, -1, -1):
        if ends[index] - found[index].a_end >= _PLAIN:
            return list(found[: index + 1])
    return []


def _joined(found: Sequence[Gap]) -> list[Gap]:
    """Stretches with hardly a block between them are one: a changed block is a removed and an added one."""
    joined: list[Gap] = []
    for gap in found:
        if joined and gap.a - joined[-1].a_end < _CLOSE:
            joined[-1] = joined[-1]._replace(a_end=gap.a_end, b_end=gap.b_end)
        else:
            joined.append(gap)
    return joined


def _between_singles(ours: Sequence[bytes], theirs: Sequence[bytes], rest: Gap) -> Iterator[Gap]:
    """The stretches that differ, between the blocks that both have once; all of it where there is none."""
    a, a_end, b, b_end = rest
    single = _singles(ours[a:a_end])
    other = _singles(theirs[b:b_end])
    shared = [(a + da, b + other[block]) for block, da in single.items() if block in other]
    if not shared or rest.cells <= MOST_CELLS:
        yield rest
        return
    for at, bt in (*_longest_rising(shared), (a_end, b_end)):
        yield from gaps(ours, theirs, Gap(a, at, b, bt))
        a, b = at, bt


def _singles(blocks: Sequence[bytes]) -> dict[bytes, int]:
    """Places of the blocks that stand once, in order."""
    found: dict[bytes, int] = {}
    twice: set[bytes] = set()
    for place, block in enumerate(blocks):
        if block in found:
            twice.add(block)
        found[block] = place
    return {block: place for block, place in found.items() if block not in twice}


def _longest_rising(pairs: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    """The longest part of the pairs (first numbers rise) whose second numbers rise as well."""
    tops: list[int] = []
    chain: list[int] = []
    before: list[int] = []
    for index, (_, second) in enumerate(pairs):
        pile = bisect_left(tops, second)
        before.append(chain[pile - 1] if pile else -1)
        if pile == len(tops):
            tops.append(second)
            chain.append(index)
        else:
            tops[pile] = second
            chain[pile] = index
    found: list[tuple[int, int]] = []
    at = chain[-1] if chain else -1
    while at >= 0:
        found.append(pairs[at])
        at = before[at]
    return found[::-1]
