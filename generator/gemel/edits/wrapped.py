"""Blocks that a control or a transfer broke into several lines.

A line that was broken because it was full is told from one that a person split: the first word of the next line would
not have fitted any more, or a number goes on in the next line.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.edits.gaps import Place, likeness
from gemel.reading.words import parts_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from gemel.edits.align import Side
    from gemel.edits.normal import Normal
    from gemel.edits.runs import Gap
    from gemel.edits.spelling import Spoken

__all__ = ["places"]

_MOST_LINES = 6
_GOES_ON = frozenset("0123456789.")


def places(side: Side, gap: Gap, ours: Sequence[Spoken]) -> list[Place]:
    """The copy's blocks of a gap, wrapped ones put together where a block of the baseline speaks for it."""
    found: list[Place] = []
    block = gap.b
    while block < gap.b_end:
        place = Place(side.spoken(block), block, block)
        # Without fewer blocks on the other side nothing can have been wrapped.
        if gap.b_end - gap.b > gap.a_end - gap.a and ours:
            place = _joined(side, place, gap, ours)
        found.append(place)
        block = place.last + 1
    return found


def _joined(side: Side, alone: Place, gap: Gap, ours: Sequence[Spoken]) -> Place:
    """The place with as many lines behind it as make it most like a block of the baseline."""
    best, most = alone, max(likeness(spoken, alone.spoken) for spoken in ours)
    text = side.normal.text(alone.first)
    for last in range(alone.first + 1, min(gap.b_end, alone.first + _MOST_LINES)):
        following = side.normal.text(last)
        if not _is_full(side.normal, last - 1, following):
            break
        text = f"{text}{'' if following.lstrip()[:1] in _GOES_ON else ' '}{following}"
        spoken = side.speller.block(text, parts_of(text), side.normal.labels)
        alike = max(likeness(one, spoken) for one in ours)
        if alike > most:
            best, most = Place(spoken, alone.first, last), alike
    return best


def _is_full(normal: Normal, block: int, following: str) -> bool:
    """Whether the line of a block was broken because it was full."""
    if normal.index[block + 1] != normal.index[block] + 1:
        return False
    following = following.strip()
    if following[:1] in _GOES_ON:
        return True
    parts = parts_of(following)
    if parts.number is not None or parts.program is not None or parts.skip or not parts.words:
        return False
    first = following[: parts.words[0].end]
    return len(normal.text(block).rstrip()) + len(first) >= normal.width
