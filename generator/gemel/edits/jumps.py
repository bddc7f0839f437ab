"""Where a program refers to its own sequence numbers: a jump is changed when it leads to another block.

Controls renumber. So the number itself means nothing, and a jump is compared by the block that it leads to.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.edits.drafts import Changed
from gemel.edits.gaps import Place
from gemel.edits.words import WordChange

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.edits.align import Aligned
    from gemel.edits.normal import Normal
    from gemel.edits.side import Side
    from gemel.edits.spelling import Said

__all__ = ["jump_changes"]


def jump_changes(aligned: Aligned, ours: Side, theirs: Side) -> Iterator[Changed]:
    """References of blocks that both texts have, which lead to another block in the copy."""
    if not ours.normal.labels:
        return
    for block, typed in enumerate(ours.normal.blocks):
        partner = aligned.partner(block) if b"@" in typed else None
        if partner is None:
            continue
        old, new = ours.spoken(block), theirs.spoken(partner)
        pairs = zip((w for w in old.words if "@" in w.text), (w for w in new.words if "@" in w.text), strict=False)
        for before, after in pairs:
            target, other = _target(ours.normal, before), _target(theirs.normal, after)
            if target is not None and other is not None and aligned.partner(target) != other:
                yield Changed(block, old, Place(new, partner, partner), WordChange(before.slot, before, after))


def _target(normal: Normal, word: Said) -> int | None:
    """The block that a reference leads to."""
    digits = word.typed[len(word.text.partition("@")[0]) :]
    return normal.labels.get(int(digits)) if digits.isdigit() else None
