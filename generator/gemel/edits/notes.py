"""Comments that a person wrote or changed. One that a control cut or lost is no edit."""

from __future__ import annotations

from collections import Counter
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
    places = [
        _without_same(ours[gap.a : gap.a_end], theirs[gap.b : gap.b_end])
        for gap in gaps(left, right, Gap(0, len(left), 0, len(right)))
    ]
    # A comment that stands elsewhere went there with its block.
    gone, come = _without_same([note for old, _ in places for note in old], [note for _, new in places for note in new])
    found: list[NoteChange] = []
    for old, new in places:
        there = [note for note in old if note in gone]
        for note in (note for note in new if note in come and note.text):
            before = next(_standing_there(there, note), None)
            if before is not None:
                there.remove(before)
            found.append(NoteChange(before, note))
    changed = sum(change.old is not None for change in found)
    without = Counter(_bare(note) for note in ours) - Counter(_bare(note) for note in theirs)
    return found, without.total() - changed


def _bare(note: Note) -> str:
    """The comment without blanks: a control that takes them out has lost nothing."""
    return note.text.replace(" ", "")


def _without_same(ours: Sequence[Note], theirs: Sequence[Note]) -> tuple[list[Note], list[Note]]:
    """Both without the comments that the other has too, whole or cut."""
    left, right = list(ours), []
    for note in theirs:
        same = next((other for other in left if same_note(other.text, note.text)), None)
        if same is None:
            right.append(note)
        else:
            left.remove(same)
    return left, right


def _standing_there(ours: Sequence[Note], note: Note) -> Iterator[Note]:
    """Comments of the baseline that the note may stand for: of its kind, most of the shorter one in the same words."""
    words = set(note.text.split())
    for other in ours:
        before = set(other.text.split())
        if other.alone == note.alone and 2 * len(words & before) > min(len(words), len(before)):
            yield other
