"""From aligned blocks to what was changed, removed, added and moved, before anything is named."""

from __future__ import annotations

from collections import Counter, deque
from dataclasses import dataclass
from itertools import islice
from typing import TYPE_CHECKING, NamedTuple

from gemel.edits.words import word_changes

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from gemel.edits.align import Aligned, Item
    from gemel.edits.gaps import Place
    from gemel.edits.side import Side
    from gemel.edits.spelling import Spoken
    from gemel.edits.words import WordChange

__all__ = ["Added", "Changed", "Moved", "Removed", "drafts"]


_MOST_PLACES = 40
"""How many places a block that is gone is looked for in."""


class Changed(NamedTuple):
    """A word of a block that was changed, put in or taken away."""

    ours: int
    old: Spoken
    new: Place
    word: WordChange


class Removed(NamedTuple):
    """Blocks of the baseline, one behind the other, that the copy does not have."""

    ours: int
    spoken: tuple[Spoken, ...]


class Added(NamedTuple):
    """Blocks of the copy, one behind the other, that stand before the block `ours` of the baseline."""

    ours: int
    places: tuple[Place, ...]


class Moved(NamedTuple):
    """Blocks from `ours` on that stand before the block `to` of the baseline now."""

    ours: int
    to: int
    places: tuple[Place, ...]


Draft = Changed | Removed | Added | Moved


@dataclass(slots=True)
class _Loose:
    """Blocks that only one text has."""

    removed: list[tuple[int, Spoken]]
    added: list[tuple[int, Place]]
    single: tuple[frozenset[bytes], frozenset[bytes]] | None = None

    def is_single(self, blocks: tuple[bytes, bytes], ours: Side, theirs: Side) -> bool:
        """Whether each of the two blocks stands once in its text."""
        if self.single is None:
            counts = Counter(ours.normal.blocks), Counter(theirs.normal.blocks)
            self.single = (
                frozenset(block for block, count in counts[0].items() if count == 1),
                frozenset(block for block, count in counts[1].items() if count == 1),
            )
        return blocks[0] in self.single[0] and blocks[1] in self.single[1]


def drafts(aligned: Aligned, ours: Side, theirs: Side) -> list[Draft]:
    """Everything that differs, in the order of the baseline."""
    loose = _Loose([], [])
    found: list[Draft] = []
    for item in aligned.items:
        found += _of_item(item, loose)
    found += _moves(loose, ours, theirs)
    found += _removed(loose.removed)
    found += _added(loose.added)
    return sorted(found, key=lambda draft: (draft.ours, isinstance(draft, Added)))


def _of_item(item: Item, loose: _Loose) -> Iterator[Changed]:
    if item.old is None:
        assert item.new is not None
        loose.added.append((item.ours, item.new))
    elif item.new is None:
        loose.removed.append((item.ours, item.old))
    elif not item.is_same:
        for word in word_changes(item.old, item.new.spoken):
            yield Changed(item.ours, item.old, item.new, word)


def _removed(blocks: Sequence[tuple[int, Spoken]]) -> Iterator[Removed]:
    run: list[tuple[int, Spoken]] = []
    for block in blocks:
        if run and block[0] != run[-1][0] + 1:
            yield Removed(run[0][0], tuple(spoken for _, spoken in run))
            run = []
        run.append(block)
    if run:
        yield Removed(run[0][0], tuple(spoken for _, spoken in run))


def _added(blocks: Sequence[tuple[int, Place]]) -> Iterator[Added]:
    run: list[tuple[int, Place]] = []
    for block in blocks:
        if run and (block[0] != run[-1][0] or block[1].first != run[-1][1].last + 1):
            yield Added(run[0][0], tuple(place for _, place in run))
            run = []
        run.append(block)
    if run:
        yield Added(run[0][0], tuple(place for _, place in run))


def _moves(loose: _Loose, ours: Side, theirs: Side) -> Iterator[Moved]:
    """Blocks that were taken away in one place and put in at another; both sides of them are loose no more."""
    where: dict[str, deque[int]] = {}
    for index, (_, place) in enumerate(loose.added):
        where.setdefault(place.spoken.key, deque()).append(index)
    gone, come = set[int](), set[int]()
    index = 0
    while index < len(loose.removed):
        there = where.get(loose.removed[index][1].key, deque())
        while there and there[0] in come:
            there.popleft()
        ways = [(to, _length(loose, index, to, come)) for to in islice(there, _MOST_PLACES)]
        sure = [(to, n) for to, n in ways if n > 1 or (n and _is_telling(loose, (index, to), ours, theirs))]
        if not sure:
            index += 1
            continue
        to, length = max(sure, key=lambda way: way[1])
        gone.update(range(index, index + length))
        come.update(range(to, to + length))
        places = tuple(place for _, place in loose.added[to : to + length])
        yield Moved(loose.removed[index][0], loose.added[to][0], places)
        index += length
    loose.removed = [block for i, block in enumerate(loose.removed) if i not in gone]
    loose.added = [block for i, block in enumerate(loose.added) if i not in come]


def _length(loose: _Loose, index: int, to: int, taken: set[int]) -> int:
    """How many blocks from `index` on stand elsewhere, from `to` on, one behind the other."""
    length = 0
    while (
        index + length < len(loose.removed)
        and to + length < len(loose.added)
        and to + length not in taken
        and _goes_on(loose, index, to, length)
        and loose.removed[index + length][1].key == loose.added[to + length][1].spoken.key
    ):
        length += 1
    return length


def _goes_on(loose: _Loose, index: int, to: int, length: int) -> bool:
    """Whether the blocks so far and the next one stand one behind the other on both sides."""
    if not length:
        return True
    removed, added = loose.removed, loose.added
    return (
        removed[index + length][0] == removed[index][0] + length
        and added[to + length][0] == added[to][0]
        and added[to + length][1].first == added[to + length - 1][1].last + 1
    )


def _is_telling(loose: _Loose, pair: tuple[int, int], ours: Side, theirs: Side) -> bool:
    """Whether one block alone, here gone and there come, is the same: in one operation, a wait, or without a twin."""
    (block, spoken), (to, place) = loose.removed[pair[0]], loose.added[pair[1]]
    if spoken.wait:
        return True
    here = ours.outline.at(block)
    if here in (ours.outline.at(to), ours.outline.at(max(0, to - 1))):
        return True
    return loose.is_single((ours.normal.blocks[block], theirs.normal.blocks[place.first]), ours, theirs)
