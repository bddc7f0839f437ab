"""Kept edits set into a new baseline, word by word, each at the place that its ids name.

An edit is *stranded* when its place is gone or cannot be told from a sibling, or when the new baseline changed the
same word. Stranded edits change nothing: both sides are given back for a person to decide.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from gemel.edits.compare import baseline_of, compare
from gemel.edits.model import Kind, Stranded
from gemel.edits.partner import partner
from gemel.edits.rows import Rows
from gemel.reading.words import parts_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from gemel.edits.model import Anchor, KeptEdit
    from gemel.edits.spelling import Said, Speller, Spoken
    from gemel.writing import TextMap

__all__ = ["Replayed", "replay"]

_NEAR = 2
_REMOVED = frozenset({Kind.BLOCK_REMOVED, Kind.WAIT_REMOVED})
_ADDED = frozenset({Kind.BLOCK_ADDED, Kind.WAIT_ADDED})
_MOVED = frozenset({Kind.BLOCK_MOVED, Kind.WAIT_MOVED})


@dataclass(frozen=True, slots=True)
class Replayed:
    """A program with kept edits in it.

    Attributes:
        data: the program.
        carried: ids of the edits that were set in.
        settled: ids of those that the new baseline already has.
        stranded: those that were not set in.
        lines: for each line of the program its line as it was written (None for one that was put in), and the ids of
            the edits in it.
    """

    data: bytes
    carried: tuple[str, ...]
    settled: tuple[str, ...]
    stranded: tuple[Stranded, ...]
    lines: tuple[tuple[int | None, tuple[str, ...]], ...] = ()


class _StrandedError(Exception):
    """Says why an edit cannot be set in; `block` is the one of the new baseline that stands against it."""

    def __init__(self, reason: str, block: int | None = None) -> None:
        super().__init__(reason)
        self.reason = reason
        self.block = block


def replay(
    data: bytes,
    places: TextMap | Mapping[str, str] | None,
    speller: Speller,
    kept: Iterable[KeptEdit],
    bases: Mapping[str, bytes],
) -> Replayed:
    """A newly written program with the kept edits of its channel set in, in the order in which they were decided.

    Args:
        data: the program as it is written from the family now.
        places: its map of origins; instead of that the ids of operations by their titles; None for neither.
        speller: of its channel.
        kept: edits of this pair; those of other channels are passed over.
        bases: by stamp the program of this channel that an edit was found against. Without it only a block that
            stands exactly once in its operation is found.
    """
    rows = Rows.of(data, speller, places)
    old = {stamp: Rows.of(base, speller) for stamp, base in bases.items()}
    both = {stamp: _made(base, data, rows.titles, speller) for stamp, base in bases.items()}
    carried: list[str] = []
    settled: list[str] = []
    stranded: list[Stranded] = []
    for edit in sorted(kept, key=_turn):
        if edit.anchor.channel != speller.dialect.channel:
            continue
        if edit.id in both.get(edit.baseline, ()):
            settled.append(edit.id)
            continue
        rows.edit = edit.id
        try:
            (carried if _Setting(rows, old.get(edit.baseline), edit).set() else settled).append(edit.id)
        except _StrandedError as error:
            stranded.append(_both_sides(rows, edit, error))
    lines = tuple((row.line, row.edits) for row in rows.rows)
    return Replayed(rows.data(), tuple(carried), tuple(settled), tuple(stranded), lines)


def _made(base: bytes, data: bytes, titles: Mapping[str, str], speller: Speller) -> frozenset[str]:
    """Ids of the edits that lead from the old baseline to the new one: the same edit by both sides is settled."""
    return frozenset(edit.id for edit in compare(baseline_of(base, speller.dialect, titles=titles), data).edits)


def _turn(edit: KeptEdit) -> int:
    """What is put in goes before what is taken out: it may stand behind a block that another edit takes."""
    if edit.kind in _ADDED or (edit.anchor.word == "" and not edit.old):
        return 0
    return 2 if edit.kind in _REMOVED or (edit.anchor.word == "" and not edit.new) else 1


def _both_sides(rows: Rows, edit: KeptEdit, error: _StrandedError) -> Stranded:
    block = error.block
    if block is None:
        here = rows.blocks_of(edit.anchor.stage, edit.anchor.operation)
        return Stranded(edit, error.reason, near=tuple(rows.normal.text(b).strip() for b in here[:_NEAR]))
    near = range(max(0, block - _NEAR), min(len(rows.normal.blocks), block + _NEAR + 1))
    lines = tuple(rows.normal.text(b).strip() for b in near)
    return Stranded(edit, error.reason, rows.normal.text(block).strip(), rows.normal.line(block), lines)


@dataclass(slots=True)
class _Setting:
    """One kept edit on its way into the rows."""

    rows: Rows
    old: Rows | None
    edit: KeptEdit

    def set(self) -> bool:
        """Set the edit in; False when the new baseline already has it.

        Raises:
            _StrandedError: its place is not there, or is taken.
        """
        if self.edit.kind in _ADDED:
            return self._add()
        if self.edit.kind in _REMOVED or (self.edit.anchor.word == "" and not self.edit.new):
            return self._remove()
        if self.edit.kind in _MOVED:
            return self._move()
        if self.edit.anchor.word == "" and not self.edit.old:
            return self._add()
        if self.edit.anchor.word.startswith("("):
            return self._comment()
        return self._word()

    def _block(self, anchor: Anchor, number: int | None) -> int:
        """The block of the new baseline that an anchor names; `number` is which block of the old one it is."""
        here = self.rows.blocks_of(anchor.stage, anchor.operation)
        if not here:
            what = f"the operation {anchor.operation}" if anchor.operation else f"stage {anchor.stage}"
            raise _StrandedError(f"{what} is gone")
        found = self._partner(anchor, here, number)
        if found is None:
            raise _StrandedError(f"the block `{anchor.block}` is gone, or cannot be told from others like it")
        return found

    def _partner(self, anchor: Anchor, here: list[int], number: int | None) -> int | None:
        new = [self.rows.spoken(block) for block in here]
        key = self.rows.speller.block(anchor.block, parts_of(anchor.block)).key
        old, at = self.old, -1 if number is None else number - 1
        if old is None or not 0 <= at < len(old.normal.blocks) or old.spoken(at).key != key:
            equal = [block for block, spoken in zip(here, new, strict=True) if spoken.key == key]
            return equal[0] if len(equal) == 1 else None
        row = old.rows[old.row_of(at)]
        there = old.blocks_of(row.stage, row.operation)
        found = partner([old.spoken(block) for block in there], there.index(at), new)
        return None if found is None else here[found]

    def _word(self) -> bool:
        edit, rows = self.edit, self.rows
        block = self._block(edit.anchor, edit.block)
        spoken = rows.spoken(block)
        old, new = (_said(rows.speller, text) for text in (edit.old, edit.new))
        if edit.anchor.word == "/":
            return self._skip(block, spoken)
        wanted = old or new
        if wanted is None:
            raise _StrandedError("the record of this edit names no word", block)
        if old is not None and (there := _find(spoken, lambda w: w.text == old.text)):
            rows.replace_word(block, there, edit.new)
            return True
        same = _find(spoken, lambda w: w.slot == wanted.slot)
        if (same.text if same else None) == (new.text if new else None):
            return False
        if same is None and old is None:
            rows.replace_word(block, None, edit.new)
            return True
        if old is not None and same is None:
            raise _StrandedError(f"the new baseline has no word `{edit.old}` there any more", block)
        assert same is not None
        raise _StrandedError(f"the new baseline has `{same.typed}` there, and so does not leave `{edit.old}`", block)

    def _skip(self, block: int, spoken: Spoken) -> bool:
        mark = next((word.text for word in spoken.words if word.slot == "/"), "")
        if mark == self.edit.new:
            return False
        if mark != self.edit.old:
            raise _StrandedError(f"the new baseline has the block skip `{mark}` there", block)
        self.rows.set_skip(block, self.edit.new)
        return True

    def _add(self) -> bool:
        edit, rows = self.edit, self.rows
        texts = edit.new.split("\n")
        if edit.anchor.block:
            block = self._block(edit.anchor, edit.block)
            like, behind = rows.row_of(block), block + 1
            line = like + 1
        else:
            here = rows.blocks_of(edit.anchor.stage, edit.anchor.operation)
            if not here:
                raise _StrandedError(f"the operation {edit.anchor.operation} is gone")
            behind = here[0]
            line = like = rows.row_of(behind)
        if self._stands(behind, texts):
            return False
        rows.insert(line, [text.encode("latin-1") for text in texts], rows.rows[like])
        return True

    def _stands(self, block: int, texts: list[str]) -> bool:
        """Whether these blocks already stand from `block` on."""
        rows = self.rows
        if block + len(texts) > len(rows.normal.blocks):
            return False
        keys = [rows.speller.block(text, parts_of(text)).key for text in texts]
        return keys == [rows.spoken(block + k).key for k in range(len(texts))]

    def _remove(self) -> bool:
        self.rows.remove(self._lines_of(self.edit.old))
        return True

    def _lines_of(self, text: str) -> list[int]:
        """Lines of the blocks that the edit takes, which must all stand there as they did."""
        texts = text.split("\n")
        block = self._block(self.edit.anchor, self.edit.block)
        for k, wanted in enumerate(texts):
            at = block + k
            key = self.rows.speller.block(wanted, parts_of(wanted)).key
            if at >= len(self.rows.normal.blocks) or self.rows.spoken(at).key != key:
                raise _StrandedError(f"the new baseline changed `{wanted}`", min(at, len(self.rows.normal.blocks) - 1))
        return [self.rows.row_of(block + k) for k in range(len(texts))]

    def _move(self) -> bool:
        edit, rows = self.edit, self.rows
        if edit.target is None:
            raise _StrandedError("the record of this move has no target")
        lines = self._lines_of(edit.old)
        target = edit.target
        if target.block:
            line = rows.row_of(self._block(target, edit.target_block))
            like, to = line, line + 1
        else:
            here = rows.blocks_of(target.stage, target.operation)
            if not here:
                raise _StrandedError(f"the operation {target.operation} is gone")
            like = to = rows.row_of(here[0])
        if like in lines:
            return False
        model = rows.rows[like]
        texts = rows.remove(lines)
        rows.insert(to - sum(line < to for line in lines), texts, model)
        return True

    def _comment(self) -> bool:
        edit, rows = self.edit, self.rows
        block = self._block(edit.anchor, edit.block)
        notes = [note for note in rows.normal.notes if note.block == block]
        if any(note.text == edit.new for note in notes):
            return False
        new = edit.new.encode("latin-1", "replace")
        if not edit.old:
            self._add_comment(rows.row_of(block), b"(" + new + b")")
            return True
        there = next((note for note in notes if note.text == edit.old), None)
        text = rows.rows[there.line].text if there else b""
        at = text.upper().find(edit.old.encode("latin-1", "replace"))
        if there is None or at < 0:
            raise _StrandedError(f"the new baseline has no comment `{edit.old}` there any more", block)
        rows.rewrite(there.line, text[:at] + new + text[at + len(edit.old) :])
        return True

    def _add_comment(self, line: int, comment: bytes) -> None:
        row = self.rows.rows[line]
        if self.edit.anchor.word == "(before":
            self.rows.insert(line, [comment], row)
        else:
            self.rows.rewrite(line, row.text.rstrip() + b" " + comment)


def _said(speller: Speller, text: str) -> Said | None:
    """The one word of a text; None for an empty one."""
    words = speller.block(text, parts_of(text)).words if text else ()
    return words[0] if words else None


def _find(spoken: Spoken, wanted: Callable[[Said], bool]) -> Said | None:
    return next((word for word in spoken.words if wanted(word)), None)
