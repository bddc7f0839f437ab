"""Comments that a person wrote or changed. One that a control cut or lost is no edit."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from gemel.edits.runs import Gap, gaps
from gemel.edits.sections import same_note

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from gemel.edits.normal import Note

__all__ = ["NoteChange", "note_changes"]


class NoteChange(NamedTuple):
    """A comment: `old` None for one that was put in."""

    old: Note | None
    new: Note


def note_changes(ours: Sequence[Note], theirs: Sequence[Note]) -> tuple[list[NoteChange], int]:
    """The comments that a person wrote or changed, and how many were only cut or lost."""
    longest = max((len(note.text) for note in theirs), default=0)
    left = [note.text[:longest].rstrip().encode() for note in ours]
    right = [note.text.encode() for note in theirs]
    found: list[NoteChange] = []
    gone: list[Note] = []
    cut = sum(len(note.text) > longest for note in ours)
    for gap in gaps(left, right, Gap(0, len(left), 0, len(right))):
        changes, without = _in_gap(ours[gap.a : gap.a_end], theirs[gap.b : gap.b_end])
        found += changes
        gone += without
    return _not_moved(found, gone), cut + len(gone)


def _in_gap(ours: Sequence[Note], theirs: Sequence[Note]) -> tuple[list[NoteChange], list[Note]]:
    """The comments that were written or changed, and those of the baseline without a partner."""
    found: list[NoteChange] = []
    left = list(ours)
    for note in theirs:
        same = next((other for other in left if same_note(other.text, note.text)), None)
        if same is not None:
            left.remove(same)
        elif note.text:
            old = next(_standing_there(left, note), None)
            if old is not None:
                left.remove(old)
            found.append(NoteChange(old, note))
    return found, left


def _not_moved(found: Sequence[NoteChange], gone: Sequence[Note]) -> list[NoteChange]:
    """Without the comments that only stand elsewhere: they went with their block."""
    left = list(gone)
    kept = []
    for change in found:
        twin = next((note for note in left if same_note(note.text, change.new.text)), None)
        if change.old is None and twin is not None:
            left.remove(twin)
        else:
            kept.append(change)
    return kept


def _standing_there(ours: Sequence[Note], note: Note) -> Iterator[Note]:
    """Comments of the baseline that the note may stand for: of the same kind, and with a word in common."""
    words = set(note.text.split())
    return (other for other in ours if other.alone == note.alone and (words & set(other.text.split())))
