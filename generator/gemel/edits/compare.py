"""What a copy of a program differs in from its baseline: every edit named, placed, and nothing that has no meaning."""

from __future__ import annotations

import re
from bisect import bisect_right
from dataclasses import replace
from itertools import groupby
from typing import TYPE_CHECKING, NamedTuple

from gemel.edits.align import align
from gemel.edits.anchors import Anchors
from gemel.edits.drafts import Added, Changed, Moved, Removed, drafts
from gemel.edits.jumps import jump_changes
from gemel.edits.model import Comparison, Edit, Kind, Where
from gemel.edits.modes import Modes
from gemel.edits.naming import Namer, block_kind, place_of_section
from gemel.edits.normal import normalise
from gemel.edits.notes import note_changes
from gemel.edits.sections import mapped_outline, outline_of
from gemel.edits.side import Side
from gemel.edits.spelling import Speller
from gemel.edits.wrapped import unwrapped

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from gemel.edits.align import Aligned
    from gemel.edits.drafts import Draft
    from gemel.edits.model import Anchor
    from gemel.edits.notes import NoteChange
    from gemel.edits.spelling import Spoken
    from gemel.reading.dialect import Dialect
    from gemel.writing import TextMap

__all__ = ["Baseline", "baseline_of", "compare"]

_NUMBER = re.compile(rb"[ \t\0/]*[Nn] *(\d+)")
_LOOKED_AT = 50


class Baseline(Side):
    """The text that copies are compared with."""


def baseline_of(
    data: bytes, dialect: Dialect, text_map: TextMap | None = None, titles: Mapping[str, str] | None = None
) -> Baseline:
    """A baseline, read once for any number of copies.

    Args:
        data: the program.
        dialect: of its channel.
        text_map: its map of origins where it has just been written.
        titles: without a map, ids of the family's operations by their titles.
    """
    normal, speller = normalise(data), Speller(dialect)
    if text_map is not None:
        return Baseline(normal, mapped_outline(normal, speller, text_map), speller)
    return Baseline(normal, outline_of(normal, speller, titles), speller)


def compare(baseline: Baseline, copy: bytes) -> Comparison:
    """What `copy` differs in from the baseline. Never fails: what is not understood is compared as it stands."""
    speller = baseline.speller
    normal = unwrapped(normalise(copy), baseline)
    theirs = Side(normal, outline_of(normal, speller, baseline.outline.titles()), speller)
    aligned = align(baseline, theirs)
    work = _Work(baseline, theirs, aligned)
    changes, lost = note_changes(baseline.normal.notes, normal.notes)
    edits = _unlike(work.edits([*drafts(aligned, baseline, theirs), *jump_changes(aligned, baseline, theirs)], changes))
    wrapped = len(normal.joined) + sum(
        item.new is not None and item.new.last > item.new.first for item in aligned.items
    )
    same = [item for item in aligned.items if item.is_same]
    return Comparison(
        speller.dialect.channel,
        tuple(edits),
        blocks=(len(baseline.normal.blocks), len(normal.blocks)),
        same=sum(run[2] for run in aligned.runs) + len(same),
        respelled=aligned.respelled + len(same),
        renumbered=_renumbered(baseline, theirs, aligned),
        comments_lost=lost,
        wrapped=wrapped,
    )


def _renumbered(ours: Side, theirs: Side, aligned: Aligned) -> bool:
    """Whether sequence numbers differ, by the first blocks of each equal stretch."""
    if ours.normal.numbered != theirs.normal.numbered:
        return True
    pairs = ((a + k, b + k) for a, b, n in aligned.runs for k in range(min(n, _LOOKED_AT)))
    return any(_sequence(ours, a) != _sequence(theirs, b) for a, b in pairs)


def _sequence(side: Side, block: int) -> bytes:
    match = _NUMBER.match(side.normal.rows[side.normal.index[block]])
    return match.group(1).lstrip(b"0") if match else b""


def _unlike(edits: Sequence[Edit]) -> list[Edit]:
    """The edits with ids of their own: of two that are alike the later one is the next of its kind."""
    taken: dict[str, int] = {}
    found = []
    for edit in edits:
        name, further = edit.id, taken.get(edit.id, 0)
        while name in taken:
            anchor = edit.anchor._replace(nth=edit.anchor.nth + further)
            name = Edit.identify(anchor, edit.kind, edit.old, edit.new, edit.target)
            further += 1
        # So that of thousands that are alike each is the next at once.
        taken[edit.id] = max(1, further)
        taken.setdefault(name, 1)
        found.append(edit if name == edit.id else replace(edit, id=name))
    return found


class _Told(NamedTuple):
    """What is said of an edit: a sentence, its size, its place, how many blocks it concerns."""

    said: str
    size: str
    place: str
    blocks: int


class _Work:
    """Makes edits of drafts."""

    def __init__(self, ours: Side, theirs: Side, aligned: Aligned) -> None:
        self._ours = ours
        self._theirs = theirs
        self._aligned = aligned
        self._channel = ours.speller.dialect.channel
        self._namer = Namer(ours.speller, Modes(ours.normal, ours.speller.dialect))
        self._anchors = Anchors(ours, self._channel, ())

    def edits(self, found: Sequence[Draft], changes: Sequence[NoteChange]) -> list[Edit]:
        """The edits of all drafts, in order, then those of comments."""
        last = len(self._ours.normal.blocks) - 1
        notes = [(change, min(self._block_of(change), last)) for change in changes if last >= 0]
        wanted = {block for draft in found for block in _blocks(draft)} | {block for _, block in notes}
        self._anchors = Anchors(self._ours, self._channel, wanted)
        return [
            *(edit for draft in found for edit in self._of(draft)),
            *(self._comment(change, block) for change, block in notes),
        ]

    def _block_of(self, change: NoteChange) -> int:
        """The baseline's block that a comment stands in or before."""
        return change.old.block if change.old else self._back(change.new.block)

    def _of(self, draft: Draft) -> Iterator[Edit]:
        if isinstance(draft, Changed):
            yield self._changed(draft)
        elif isinstance(draft, Removed):
            yield from self._removed(draft)
        elif isinstance(draft, Added):
            yield from self._added(draft)
        else:
            yield self._moved(draft)

    def _changed(self, draft: Changed) -> Edit:
        ours, speller = self._ours, self._ours.speller
        word = draft.word
        named = self._namer.word(word, draft.old, draft.ours, ours.outline.at(draft.ours))
        old = word.old.typed if word.old else ""
        new = ""
        if word.new:
            new = speller.restyled(word.new, old) if old else word.new.written
        where = Where(ours.normal.line(draft.ours), *self._lines(draft.new.first, draft.new.last)[:1])
        told = _Told(named.said, named.size, self._place(draft.ours), 1)
        return _edit(named.kind, self._anchors.of(draft.ours, word.name), (old, new), where, told)

    def _removed(self, draft: Removed) -> Iterator[Edit]:
        at = draft.ours
        for kind, group in groupby(draft.spoken, lambda spoken: self._kind(spoken, Kind.BLOCK_REMOVED)):
            spoken = list(group)
            pieces = [spoken] if kind is Kind.BLOCK_REMOVED else [[one] for one in spoken]
            for piece in pieces:
                yield self._gone(kind, at, piece)
                at += len(piece)

    def _gone(self, kind: Kind, at: int, spoken: Sequence[Spoken]) -> Edit:
        normal = self._ours.normal
        last = at + len(spoken) - 1
        old = "\n".join(one.typed for one in spoken)
        where = Where(normal.line(at), None, baseline_to=normal.line(last))
        said = f"{_what(kind, spoken)} taken away: {_shown(spoken)}"
        told = _Told(said, "", self._place(at), len(spoken))
        return _edit(kind, self._anchors.of(at), (old, ""), where, told)

    def _added(self, draft: Added) -> Iterator[Edit]:
        opens = self._opens(draft)
        rank = 0
        for kind, group in groupby(draft.places, lambda place: self._kind(place.spoken, Kind.BLOCK_ADDED)):
            places = list(group)
            for piece in [places] if kind is Kind.BLOCK_ADDED else [[one] for one in places]:
                anchor = self._anchors.before(draft.ours, opens=opens)
                spoken = [place.spoken for place in piece]
                first, last = self._lines(piece[0].first, piece[-1].last)
                new = "\n".join(one.written for one in spoken)
                behind = f" behind `{anchor.block}`" if anchor.block else ""
                said = f"{_what(kind, spoken)} put in{behind}: {_shown(spoken)}"
                place = self._place(draft.ours if opens else max(0, draft.ours - 1))
                told = _Told(said, "", place, len(piece))
                yield _edit(kind, anchor, ("", new), Where(None, first, copy_to=last), told)
                rank += 1

    def _opens(self, draft: Added) -> bool:
        """Whether something added before the first block of an operation stands behind its title in the copy."""
        ours, theirs = self._ours, self._theirs
        if draft.ours >= len(ours.normal.blocks):
            return False
        section = ours.outline.at(draft.ours)
        if section.start != draft.ours or not section.note:
            return False
        return theirs.outline.at(draft.places[0].first).operation == section.operation

    def _moved(self, draft: Moved) -> Edit:
        normal = self._ours.normal
        spoken = [place.spoken for place in draft.places]
        text = "\n".join(one.written for one in spoken)
        kind = Kind.WAIT_MOVED if any(one.wait for one in spoken) else Kind.BLOCK_MOVED
        target = self._anchors.before(draft.to)
        last = draft.ours + len(spoken) - 1
        first, end = self._lines(draft.places[0].first, draft.places[-1].last)
        where = Where(normal.line(draft.ours), first, normal.line(last), end)
        behind = f"behind `{target.block}`" if target.block else "to the beginning"
        said = f"{_what(kind, spoken)} moved {behind} ({self._place(max(0, draft.to - 1))}): {_shown(spoken)}"
        told = _Told(said, "", self._place(draft.ours), len(spoken))
        return _edit(kind, self._anchors.of(draft.ours), (text, text), where, told, target)

    def _comment(self, change: NoteChange, block: int) -> Edit:
        old = change.old.text if change.old else ""
        where = Where(change.old.line + 1 if change.old else None, change.new.line + 1)
        anchor = self._anchors.of(block, "(before" if change.new.alone else "(")
        said = f"comment changed: {old} to {change.new.text}" if old else f"comment put in: {change.new.text}"
        return _edit(Kind.COMMENT, anchor, (old, change.new.text), where, _Told(said, "", self._place(block), 0))

    def _back(self, block: int) -> int:
        """The baseline's block that a block of the copy is, or that stands behind it."""
        runs = self._aligned.runs
        at = bisect_right([run[1] for run in runs], block) - 1
        if at >= 0 and block < runs[at][1] + runs[at][2]:
            return runs[at][0] + block - runs[at][1]
        for item in self._aligned.items:
            if item.new is not None and item.new.first <= block <= item.new.last:
                return item.ours
        return runs[at + 1][0] if at + 1 < len(runs) else len(self._ours.normal.blocks)

    def _kind(self, spoken: Spoken, plain: Kind) -> Kind:
        if spoken.wait:
            return Kind.WAIT_ADDED if plain is Kind.BLOCK_ADDED else Kind.WAIT_REMOVED
        return block_kind(spoken, self._ours.speller) or plain

    def _lines(self, first: int, last: int) -> tuple[int, int]:
        return self._theirs.normal.line(first), self._theirs.normal.last_line(last)

    def _place(self, block: int) -> str:
        return place_of_section(self._ours.outline.at(block))


def _edit(  # noqa: PLR0913, PLR0917 # the record itself has as many parts
    kind: Kind, anchor: Anchor, sides: tuple[str, str], where: Where, told: _Told, target: Anchor | None = None
) -> Edit:
    name = Edit.identify(anchor, kind, *sides, target)
    return Edit(name, kind, anchor, *sides, where, target, told.said, told.size, told.place, told.blocks)


def _blocks(draft: Draft) -> Iterator[int]:
    """Blocks of the baseline that a draft is anchored at."""
    yield draft.ours
    yield draft.ours - 1
    if isinstance(draft, Removed):
        yield from range(draft.ours, draft.ours + len(draft.spoken))
    elif isinstance(draft, Moved):
        yield draft.to
        yield draft.to - 1


def _what(kind: Kind, spoken: Sequence[Spoken]) -> str:
    if kind in (Kind.BLOCK_ADDED, Kind.BLOCK_REMOVED, Kind.BLOCK_MOVED):
        return "block" if len(spoken) == 1 else f"{len(spoken)} blocks"
    if kind in (Kind.WAIT_ADDED, Kind.WAIT_REMOVED, Kind.WAIT_MOVED):
        return "wait mark"
    return kind.value


def _shown(spoken: Sequence[Spoken]) -> str:
    shown = " / ".join(one.written for one in spoken[:3])
    return f"{shown} / ..." if len(spoken) > 3 else shown
