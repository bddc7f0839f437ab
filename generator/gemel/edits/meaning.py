"""What two texts of one program differ in, for a report: changes of meaning, and what else is not the same."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from gemel.edits.compare import baseline_of, compare
from gemel.edits.model import Kind
from gemel.edits.normal import normalise

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from gemel.edits.model import Comparison, Edit
    from gemel.edits.normal import Normal, Note
    from gemel.reading.dialect import Dialect

__all__ = ["COMMENTS", "HEADER", "SEQUENCE", "SPELLING", "Meaning", "Text", "meaning"]

HEADER, COMMENTS, SEQUENCE, SPELLING = "the header", "comments", "sequence numbers", "spelling"

_PROGRAM = re.compile(rb"[O:]\d")
_STAMP = re.compile(r"\bSTAMP\b")
_FIGURES = re.compile(r"\d+(?:\.\d+)?|\.\d+")
_COMMENT = re.compile(rb"\([^()\r\n]*\)?|;[^\r\n]*")
_SEQUENCE = re.compile(rb"^([ \t]*/?[0-9]?[ \t]*)[Nn][ \t]*[0-9]+[ \t]*")
_LINE_END = re.compile(rb"\r*\n|\r")


@dataclass(frozen=True, slots=True)
class Text:
    """A program and what its record says of it.

    Attributes:
        data: its bytes.
        titles: the family's operations by their titles in this program; may be empty.
    """

    data: bytes
    titles: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Meaning:
    """What two texts of one program differ in.

    Attributes:
        changes: what the machine would do differently, in the order of the first text.
        comments: comments that were changed or put in, outside of the header.
        header: the same inside the header, the stamp left out: it changes with every byte.
        besides: what else is not the same and changes nothing at the machine: `HEADER`, `COMMENTS`, `SEQUENCE`,
            `SPELLING` (blanks, line ends, letter case, how numbers are typed, how blocks are wrapped; told only
            without changes).
        comments_lost: how many comments are cut or gone.
        blocks: how many blocks each text has.
    """

    changes: tuple[Edit, ...] = ()
    comments: tuple[Edit, ...] = ()
    header: tuple[Edit, ...] = ()
    besides: tuple[str, ...] = ()
    comments_lost: int = 0
    blocks: tuple[int, int] = (0, 0)

    @property
    def said(self) -> str:
        """`12 changes in 9 blocks`, `nothing but the header`, or `the same`."""
        if not self.changes:
            return f"nothing but {_listed(self.besides)}" if self.besides else "the same"
        count = len(self.changes)
        where = self.changed_blocks
        return f"{count} change{'' if count == 1 else 's'} in {where} block{'' if where == 1 else 's'}"

    @property
    def changed_blocks(self) -> int:
        """How many blocks are concerned, each counted once."""
        places: set[tuple[bool, int]] = set()
        for edit in self.changes:
            old, new = edit.where.baseline, edit.where.copy
            first = old if old is not None else new
            places |= {(old is None, (first or 0) + k) for k in range(max(1, edit.blocks))}
        return len(places)


def meaning(old: Text, new: Text, dialect: Dialect) -> Meaning:
    """What `new` differs in from `old`. Never fails."""
    if old.data == new.data:
        return Meaning()
    baseline = baseline_of(old.data, dialect, titles=_titles(old, new))
    found = compare(baseline, new.data)
    ours, theirs = baseline.normal, normalise(new.data)
    tops = _Top.of(ours), _Top.of(theirs)
    known = {_squeezed(note.text) for note in ours.notes}
    commented = [edit for edit in found.edits if edit.kind is Kind.COMMENT]
    # A comment whose blanks went is the same comment; it is counted as put in there, and as lost.
    notes = [edit for edit in commented if _squeezed(edit.new) not in known]
    respaced = sum(not edit.old for edit in commented) - sum(not edit.old for edit in notes)
    header = [edit for edit in notes if _in_header(edit, tops)]
    return Meaning(
        tuple(edit for edit in found.edits if edit.kind is not Kind.COMMENT),
        tuple(edit for edit in notes if edit not in header),
        tuple(edit for edit in header if not _STAMP.search(edit.new)),
        _besides(found, tops, old.data, new.data),
        max(0, found.comments_lost - respaced),
        found.blocks,
    )


def _squeezed(text: str) -> str:
    return "".join(text.split())


def _titles(old: Text, new: Text) -> dict[str, str]:
    """Operations by titles of the first text; a title that differs in its figures alone is that operation's too."""
    known = {**new.titles, **old.titles}
    if not known:
        return known
    ids: dict[str, set[str]] = {}
    for title, operation in known.items():
        ids.setdefault(_FIGURES.sub("#", title), set()).add(operation)
    for raw in _COMMENT.findall(old.data):
        title = raw.strip(b"();").decode("latin-1").upper().strip()
        fitting = ids.get(_FIGURES.sub("#", title), set())
        if len(fitting) == 1:
            known.setdefault(title, next(iter(fitting)))
    return known


@dataclass(frozen=True, slots=True)
class _Top:
    """What stands before the first block that is more than a program number, and what behind.

    Attributes:
        lines: how many lines it has.
        notes: its comments. others: all other comments.
    """

    lines: int
    notes: tuple[str, ...]
    others: tuple[str, ...]

    @classmethod
    def of(cls, normal: Normal) -> _Top:
        first = next((i for i, block in enumerate(normal.blocks) if not _PROGRAM.match(block)), len(normal.blocks))
        inside = [note.block < first or (note.block == first and note.alone) for note in normal.notes]
        notes = _texts(note for note, within in zip(normal.notes, inside, strict=True) if within)
        others = _texts(note for note, within in zip(normal.notes, inside, strict=True) if not within)
        lines = normal.index[first] if first < len(normal.index) else len(normal.rows)
        return cls(lines, notes, others)


def _texts(notes: Iterable[Note]) -> tuple[str, ...]:
    return tuple(_squeezed(note.text) for note in notes)


def _in_header(edit: Edit, tops: tuple[_Top, _Top]) -> bool:
    """Whether a comment stands in the header, where it was and where it is."""
    lines = edit.where.baseline, edit.where.copy
    return all(line is None or line <= top.lines for line, top in zip(lines, tops, strict=True))


def _besides(found: Comparison, tops: tuple[_Top, _Top], old: bytes, new: bytes) -> tuple[str, ...]:
    one, other = tops
    changed = any(edit.kind is not Kind.COMMENT for edit in found.edits)
    said = {
        HEADER: one.notes != other.notes,
        COMMENTS: one.others != other.others,
        SEQUENCE: found.renumbered,
        # Where every block means the same, whatever is left without comments and numbers is spelling.
        SPELLING: not changed and _bare(old) != _bare(new),
    }
    return tuple(word for word, holds in said.items() if holds)


def _bare(data: bytes) -> tuple[set[bytes], list[bytes]]:
    """Line ends, and the lines without comments and sequence numbers."""
    rows = (_SEQUENCE.sub(rb"\1", _COMMENT.sub(b"", row)).rstrip(b" \t") for row in _LINE_END.split(data))
    return set(_LINE_END.findall(data)), [row for row in rows if row]


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
