"""From an edit that was found to the record by which it is kept."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from gemel.edits.anchors import find
from gemel.edits.model import KeptEdit

if TYPE_CHECKING:
    from gemel.edits.model import Anchor, Edit
    from gemel.edits.side import Side

__all__ = ["Circumstances", "kept_edit"]


class Circumstances(NamedTuple):
    """Which pair an edit belongs to, and who decided about it.

    Attributes:
        member, machine: which pair.
        baseline: stamp of the baseline that the edit was found against.
        by: who decided. when: day, ISO 8601. why: the reason given.
    """

    member: str
    machine: str
    baseline: str
    by: str
    when: str
    why: str


def kept_edit(edit: Edit, base: Side, here: Circumstances) -> KeptEdit:
    """The record of an edit that was found against the baseline `base`."""
    return KeptEdit(
        id=edit.id,
        member=here.member,
        machine=here.machine,
        kind=edit.kind,
        anchor=edit.anchor,
        old=edit.old,
        new=edit.new,
        target=edit.target,
        baseline=here.baseline,
        block=_block(base, edit.anchor),
        target_block=_block(base, edit.target) if edit.target else None,
        by=here.by,
        when=here.when,
        why=here.why,
    )


def _block(base: Side, anchor: Anchor) -> int | None:
    block = find(base, anchor) if anchor.block else None
    return None if block is None else block + 1
