"""Anchors of a baseline's blocks, and back: the block that an anchor names."""

from __future__ import annotations

from bisect import bisect_right
from typing import TYPE_CHECKING

from gemel.edits.model import Anchor

if TYPE_CHECKING:
    from collections.abc import Iterable

    from gemel.edits.side import Side

__all__ = ["Anchors", "find"]


class Anchors:
    """Anchors of some blocks of one text; which of equal blocks each is, is counted in one pass over all of them."""

    def __init__(self, side: Side, channel: str, wanted: Iterable[int]) -> None:
        self._side = side
        self._channel = channel
        blocks = side.normal.blocks
        self._places: dict[bytes, list[int]] = {blocks[block]: [] for block in wanted if 0 <= block < len(blocks)}
        for index, block in enumerate(blocks) if self._places else ():
            if block in self._places:
                self._places[block].append(index)

    def of(self, block: int, word: str = "") -> Anchor:
        """The anchor of a block, or of a word of it."""
        side = self._side
        section = side.outline.at(block)
        places = self._places[side.normal.blocks[block]]
        first = bisect_right(places, side.outline.range_of(block, len(side.normal.blocks)).start - 1)
        nth = bisect_right(places, block) - first
        return Anchor(self._channel, section.stage, section.operation, side.spoken(block).typed, nth, word)

    def before(self, block: int, *, opens: bool = False) -> Anchor:
        """The anchor of what stands before a block: behind the block before it, or at the beginning of its operation.

        Args:
            block: index; the number of blocks for the end of the text.
            opens: whether it belongs to the operation that begins with that block.
        """
        side = self._side
        section = side.outline.at(block)
        if block == 0 or (opens and section.start == block):
            return Anchor(self._channel, section.stage, section.operation, "", 0)
        return self.of(block - 1)


def find(side: Side, anchor: Anchor) -> int | None:
    """The block that an anchor names; None where there is none, or where more than one would do."""
    wanted = _key(side, anchor.block)
    for section in side.outline.sections:
        if section.operation != anchor.operation or (not anchor.operation and section.stage != anchor.stage):
            continue
        if not anchor.block:
            return section.start
        blocks = side.outline.range_of(section.start, len(side.normal.blocks))
        equal = [block for block in blocks if side.spoken(block).key == wanted]
        if 0 < anchor.nth <= len(equal):
            return equal[anchor.nth - 1]
    return None


def _key(side: Side, block: str) -> str:
    from gemel.reading.words import parts_of  # noqa: PLC0415 # nothing else here reads words

    return side.speller.block(block, parts_of(block)).key
