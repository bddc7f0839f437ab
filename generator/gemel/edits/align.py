"""Two texts of one program, block by block: stages and operations first, then the blocks inside them."""

from __future__ import annotations

import re
from bisect import bisect_right
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from gemel.edits.gaps import Place, resolve
from gemel.edits.landmarks import landmarks
from gemel.edits.runs import Gap, gaps
from gemel.edits.wrapped import places

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from gemel.edits.side import Side
    from gemel.edits.spelling import Speller, Spoken

__all__ = ["Aligned", "Item", "align"]

_MANY = 0.04
_FEW_BLOCKS = 4

_ENDING_ZEROS = re.compile(rb"(\.\d*?)0+(?!\d)")
_LEADING_ZEROS = re.compile(rb"(?<![\d.])0+(?=\d)")
_PLUS = re.compile(rb"(?<=[A-Z])\+")
_BARE_POINT = re.compile(rb"(?<!\d)\.")
_ZERO = re.compile(rb"(?<=[A-Z])-?0\.?(?![\d.])")


class Item(NamedTuple):
    """A block that is not simply the same in both texts.

    Attributes:
        ours: index of the baseline's block; for an added one that of the block it stands before.
        old: the baseline's block by its meaning, None for an added one.
        new: the copy's block, None for a removed one.
    """

    ours: int
    old: Spoken | None
    new: Place | None

    @property
    def is_same(self) -> bool:
        """Whether both sides mean the same, typed or wrapped in another way."""
        return self.old is not None and self.new is not None and self.old.key == self.new.spoken.key


@dataclass(frozen=True, slots=True)
class Aligned:
    """Which blocks are which.

    Attributes:
        items: blocks that differ, or are typed in another way, in order.
        runs: stretches of equal blocks: first index in the baseline, first in the copy, how many.
        respelled: how many blocks of the runs are typed in another way.
    """

    items: tuple[Item, ...]
    runs: tuple[tuple[int, int, int], ...]
    respelled: int

    def partner(self, ours: int) -> int | None:
        """The copy's block that a baseline's block is; the first one of a wrapped block; None for a removed one."""
        at = bisect_right(self.runs, (ours, 1 << 60, 0)) - 1
        if at >= 0 and ours < self.runs[at][0] + self.runs[at][2]:
            return self.runs[at][1] + ours - self.runs[at][0]
        place = next((item.new for item in self.items if item.ours == ours and item.old is not None), None)
        return place.first if place else None


def align(ours: Side, theirs: Side) -> Aligned:
    """Which blocks of the baseline `ours` stand where in the copy `theirs`."""
    keys = _keys(ours, theirs)
    typed = ours.normal.blocks, theirs.normal.blocks
    points = landmarks((ours.outline, theirs.outline), keys)
    items: list[Item] = []
    runs: list[tuple[int, int, int]] = []
    at = (0, 0)
    for gap in _all_gaps(keys, points):
        if gap.a > at[0]:
            runs.append((at[0], at[1], gap.a - at[0]))
        items += _items(ours, theirs, gap)
        at = gap.a_end, gap.b_end
    if len(typed[0]) > at[0]:
        runs.append((at[0], at[1], len(typed[0]) - at[0]))
    respelled = 0
    if keys[0] is not typed[0]:
        respelled = sum(typed[0][a + k] != typed[1][b + k] for a, b, n in runs for k in range(n))
    return Aligned(tuple(items), tuple(runs), respelled)


def _all_gaps(keys: tuple[Sequence[bytes], Sequence[bytes]], points: Sequence[tuple[int, int]]) -> Iterator[Gap]:
    """The stretches that differ, between the fixed points; two that touch are one, unless a fixed point parts them."""
    a = b = 0
    for point in (*points, (len(keys[0]), len(keys[1]))):
        yield from gaps(keys[0], keys[1], Gap(a, point[0], b, point[1]))
        a, b = point


def _items(ours: Side, theirs: Side, gap: Gap) -> Iterator[Item]:
    left = [ours.spoken(block) for block in range(gap.a, gap.a_end)]
    right = places(theirs, gap, left)
    at = gap.a
    for match in resolve(left, [place.spoken for place in right]):
        new = None if match.theirs is None else right[match.theirs]
        if match.ours is None:
            yield Item(at, None, new)
        else:
            yield Item(gap.a + match.ours, left[match.ours], new)
            at = gap.a + match.ours + 1


def _keys(ours: Side, theirs: Side) -> tuple[Sequence[bytes], Sequence[bytes]]:
    """What blocks are compared by: as typed; where much differs with numbers in one spelling, then by their words."""
    typed = ours.normal.blocks, theirs.normal.blocks
    if not _differ(ours.normal.distinct ^ theirs.normal.distinct, typed):
        return typed
    numbers = _one_spelling(typed[0], ours.speller), _one_spelling(typed[1], ours.speller)
    if not _differ(frozenset(numbers[0]) ^ frozenset(numbers[1]), numbers):
        return numbers
    known: dict[bytes, bytes] = {}
    return _meanings(ours, known), _meanings(theirs, known)


def _differ(strange: frozenset[bytes], sides: tuple[Sequence[bytes], Sequence[bytes]]) -> bool:
    """Whether a good part of the blocks are `strange`: they stand in one of both texts alone."""
    most = _MANY * min(map(len, sides)) + _FEW_BLOCKS
    return len(strange) > most or sum(sum(map(strange.__contains__, side)) for side in sides) > most


def _one_spelling(blocks: Sequence[bytes], speller: Speller) -> list[bytes]:
    """The blocks with their numbers in one spelling, by a few passes over all of them at once."""
    text = b"\n".join(blocks)
    if b"#" in text or b"[" in text:
        return list(blocks)
    whole = "".join(c for c in "EFGLMNOPST" if not speller.is_dimension(c)).encode()
    text = _PLUS.sub(b"", text)
    text = _LEADING_ZEROS.sub(b"", _ENDING_ZEROS.sub(rb"\1", text))
    text = _ZERO.sub(b"0", _BARE_POINT.sub(b"0.", text))
    text = re.sub(rb"(?<=[%s])(\d+)\.(?!\d)" % whole, rb"\1", text)
    return text.split(b"\n")


def _meanings(side: Side, known: dict[bytes, bytes]) -> list[bytes]:
    """The blocks by their words; what is typed alike is read once."""
    found = []
    for block, typed in enumerate(side.normal.blocks):
        key = known.get(typed)
        if key is None:
            key = known[typed] = side.spoken(block).key.encode("latin-1", "replace")
        found.append(key)
    return found
