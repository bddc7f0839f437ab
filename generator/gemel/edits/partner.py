"""Which block of a newly written operation is the one that an edit was made in, or none that can be sure.

Blocks repeat: four flats have the same moves four times. So likeness alone never decides. A block is found when the
operation is built as it was (the same words in the same order of blocks), when it stands there as often as before,
or when an unbroken stretch of equal blocks ties it to something that both texts have exactly once; the ends of the
operation are such things. The last is the separator of the diff3 theorem (Khanna, Kunal, Pierce 2007, 4.1.1).
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from gemel.edits.spelling import Spoken

__all__ = ["partner"]


def partner(old: Sequence[Spoken], at: int, new: Sequence[Spoken]) -> int | None:
    """Index in `new` of the block `old[at]`; None where no block is surely the one.

    Args:
        old: the blocks of the operation in the baseline that the edit was found against.
        at: index of the block.
        new: the blocks of the same operation as it is written now.
    """
    forms = [block.form for block in old], [block.form for block in new]
    if forms[0] == forms[1]:
        return at
    keys = [block.key for block in old], [block.key for block in new]
    tied = _tied(keys[0], at, keys[1])
    if tied is not None:
        return tied
    for ours, theirs in (keys, forms):
        places = [index for index, value in enumerate(theirs) if value == ours[at]]
        if places and len(places) == ours.count(ours[at]):
            return places[ours[:at].count(ours[at])]
    return None


def _tied(old: Sequence[str], at: int, new: Sequence[str]) -> int | None:
    """The one place that an unbroken stretch of equal blocks ties to an end, or to what both have exactly once."""
    counts = Counter(old), Counter(new)
    unique = {key for key, count in counts[0].items() if count == 1 and counts[1][key] == 1}
    found = [j for j, key in enumerate(new) if key == old[at] and _holds(old, at, new, j, unique)]
    return found[0] if len(found) == 1 else None


def _holds(old: Sequence[str], at: int, new: Sequence[str], there: int, unique: set[str]) -> bool:
    low = high = 0
    while at - low >= 0 and there - low >= 0 and old[at - low] == new[there - low]:
        low += 1
    while at + high < len(old) and there + high < len(new) and old[at + high] == new[there + high]:
        high += 1
    at_start = at - low < 0 and there - low < 0
    at_end = at + high >= len(old) and there + high >= len(new)
    return at_start or at_end or any(key in unique for key in old[at - low + 1 : at + high])
