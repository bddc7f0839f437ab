"""Where two lists of blocks part and meet again: equal runs are found with comparisons of whole slices.

Most blocks of a control copy are those of its baseline. What costs time is therefore only the places where they
differ, and equal stretches of any length cost next to nothing.
"""

from __future__ import annotations

from bisect import bisect_left
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

__all__ = ["Gap", "gaps"]

_WINDOW = 40
_FAR = 200
_ENOUGH = 4


class Gap(NamedTuple):
    """A stretch that differs: `a` to `a_end` in one list stands for `b` to `b_end` in the other."""

    a: int
    a_end: int
    b: int
    b_end: int


def gaps(ours: Sequence[bytes], theirs: Sequence[bytes], within: Gap) -> Iterator[Gap]:
    """The stretches inside `within` that differ, in order; everything between them is equal, block by block."""
    tail = _run_back(ours, theirs, within)
    a, a_end, b, b_end = within.a, within.a_end - tail, within.b, within.b_end - tail
    while True:
        run = _run(ours, theirs, Gap(a, a_end, b, b_end))
        a, b = a + run, b + run
        if a == a_end or b == b_end:
            break
        rest = Gap(a, a_end, b, b_end)
        met = _meeting(ours, theirs, rest)
        if met is None:
            yield from _between_singles(ours, theirs, rest)
            return
        yield Gap(a, a + met[0], b, b + met[1])
        a, b = a + met[0], b + met[1]
    if a < a_end or b < b_end:
        yield Gap(a, a_end, b, b_end)


def _run(ours: Sequence[bytes], theirs: Sequence[bytes], rest: Gap, most: int = 1 << 60) -> int:
    """How many blocks are equal from the beginning of `rest` on, at most `most`."""
    a, b = rest.a, rest.b
    most = min(rest.a_end - a, rest.b_end - b, most)
    done, step = 0, 16
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


def _meeting(ours: Sequence[bytes], theirs: Sequence[bytes], rest: Gap) -> tuple[int, int] | None:
    """How far on in both lists they meet again nearby: where the longest equal run begins, near before far."""
    a, a_end, b, b_end = rest
    best, found = 0, (0, 0)
    # Where blocks repeat, several places would do. The lengths of what is left tell which one is meant.
    bias = (a_end - a) - (b_end - b)
    for apart in range(1, _WINDOW + 1):
        for da in range(max(0, apart - (b_end - b)), min(apart, a_end - a) + 1):
            db = apart - da
            if not _begins(ours, theirs, (a + da, b + db), rest):
                continue
            run = _run(ours, theirs, Gap(a + da, a_end, b + db, b_end), _FAR)
            if run == min(a_end - a - da, b_end - b - db):
                run = _FAR
            if run > best or (run == best and abs(bias - da + db) < abs(bias - found[0] + found[1])):
                best, found = run, (da, db)
        # A changed block is as near as an added one, so that one and two apart are judged together.
        if apart > 1 and best >= _ENOUGH + apart // 4:
            return found
    return None


def _begins(ours: Sequence[bytes], theirs: Sequence[bytes], at: tuple[int, int], rest: Gap) -> bool:
    a, b = at
    if a >= rest.a_end or b >= rest.b_end:
        return a == rest.a_end and b == rest.b_end
    return ours[a] == theirs[b]


def _between_singles(ours: Sequence[bytes], theirs: Sequence[bytes], rest: Gap) -> Iterator[Gap]:
    """The stretches that differ, between the blocks that both have once; all of it where there is none."""
    a, a_end, b, b_end = rest
    single = _singles(ours[a:a_end])
    other = _singles(theirs[b:b_end])
    shared = [(a + da, b + other[block]) for block, da in single.items() if block in other]
    if not shared:
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
