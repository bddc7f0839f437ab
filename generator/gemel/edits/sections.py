"""Where stages and operations begin in a text: the ids that everything else hangs on.

With the baseline's map of origins the ids are the family's. Without one they are read off the text: a wait mark opens
a stage, a tool call or a titled, numbered block an operation, and its title says what it is called.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from gemel.edits.normal import Normal
    from gemel.edits.spelling import Speller
    from gemel.writing import TextMap

__all__ = ["CUT_COMMENT", "Outline", "Section", "mapped_outline", "outline_of", "same_note"]

CUT_COMMENT = 12
"""Fewest characters of a comment that a control may cut it to and that still tell it (common practice: 16 to 40)."""

_NUMBERED = re.compile(rb"[ \t\0/]*[Nn] *\d")
_WORD = re.compile(r"[^a-z0-9.]+")
_MOST_NUMBERED = 0.5
_SOON = 5
"""How many blocks behind its title the tool call of an operation is looked for."""


class Section(NamedTuple):
    """A stretch of blocks of one stage and operation.

    Attributes:
        start: index of its first block.
        stage: how many wait marks the text has up to here.
        operation: id, empty outside of one.
        note: the comment before it, as it stands.
        code: the wait mark or the tool word that opens it, in canonical spelling; empty without.
        at: index of the block with that word; of the first block without.
    """

    start: int
    stage: int
    operation: str
    note: str
    code: str
    at: int


@dataclass(frozen=True, slots=True)
class Outline:
    """The sections of a text, in order; the first begins with the first block."""

    sections: tuple[Section, ...]
    starts: tuple[int, ...]

    @classmethod
    def of(cls, sections: Iterable[Section]) -> Outline:
        """The outline of these sections."""
        kept = tuple(sections)
        return cls(kept, tuple(section.start for section in kept))

    def at(self, block: int) -> Section:
        """The section that a block belongs to."""
        return self.sections[max(0, bisect_right(self.starts, block) - 1)]

    def range_of(self, block: int, blocks: int) -> range:
        """Indices of the blocks of that section; `blocks` is how many the text has."""
        at = max(0, bisect_right(self.starts, block) - 1)
        return range(self.starts[at], self.starts[at + 1] if at + 1 < len(self.starts) else blocks)

    def titles(self) -> dict[str, str]:
        """Operation by title."""
        return {section.note: section.operation for section in self.sections if section.note and section.operation}


def same_note(whole: str, other: str) -> bool:
    """Whether `other` is that comment, or what a control leaves of it: cut short, its blanks taken out."""
    if whole == other or (len(other) >= CUT_COMMENT and whole.startswith(other)):
        return True
    return " " not in other and " " in whole and same_note(whole.replace(" ", ""), other)


def mapped_outline(normal: Normal, speller: Speller, text_map: TextMap) -> Outline:
    """The outline by the map of origins: the ids of the family."""
    found: list[tuple[int, int, str]] = []
    for block in range(len(normal.blocks)):
        words = text_map.line(normal.line(block))
        address = words[-1].address if words else None
        if address is not None and address.kind == "stage":
            found.append((block, address.stage, ""))
        elif address is not None and address.operation:
            if not found or (address.stage, address.operation) != found[-1][1:]:
                found.append((block, address.stage, address.operation))
        elif not found or found[-1][2]:
            found.append((block, found[-1][1] if found else 0, ""))
    signs = _Signs(_waits(normal, speller), _calls(normal, speller), _titles(normal, {}))
    return Outline.of(_dressed(found or [(0, 0, "")], signs, len(normal.blocks)))


class _Signs(NamedTuple):
    """By block: wait marks, tool words, and the title among the comment lines before it."""

    waits: dict[int, str]
    calls: dict[int, str]
    notes: dict[int, str]


def _dressed(found: Sequence[tuple[int, int, str]], signs: _Signs, blocks: int) -> Iterator[Section]:
    """Sections with their titles, and the words that open them."""
    waits, calls, notes = signs
    for rank, (start, stage, operation) in enumerate(found):
        end = found[rank + 1][0] if rank + 1 < len(found) else blocks
        at = next((b for b in range(start, min(end, start + _SOON)) if b in calls), start) if operation else start
        code = calls.get(at, "") if operation else waits.get(start, "")
        yield Section(start, stage, operation, notes.get(start, "") if operation else "", code, at)


def outline_of(normal: Normal, speller: Speller, titles: Mapping[str, str] | None = None) -> Outline:
    """The outline as the text itself tells it.

    Args:
        normal: the text.
        speller: of its channel.
        titles: operation ids by the titles that the baseline has; others are called after their own title.
    """
    known = titles or {}
    waits, calls, notes = _waits(normal, speller), _calls(normal, speller), _titles(normal, known)
    few = normal.numbered <= _MOST_NUMBERED * len(normal.blocks)
    titled = {
        block
        for block, note in notes.items()
        if _title(note, known)
        or (few and _is_numbered(normal, block))
        or not calls.keys().isdisjoint(range(block, block + _SOON))
    }
    # A tool call soon behind a title belongs to it: the tool goes home first.
    behind = {call for call in calls if call not in titled and not titled.isdisjoint(range(call - _SOON + 1, call))}
    found: list[tuple[int, int, str]] = []
    taken: dict[str, int] = {}
    stage = 0
    for block in sorted({0, *waits, *(calls.keys() - behind), *titled}):
        stage += block in waits
        if block in waits or (block not in calls and not stage and not _title(notes.get(block, ""), known)):
            found.append((block, stage, ""))
            continue
        name = _name(notes.get(block, ""), calls.get(block, ""), known)
        taken[name] = taken.get(name, 0) + 1
        found.append((block, stage, name if taken[name] == 1 else f"{name}-{taken[name]}"))
    return Outline.of(_dressed(found, _Signs(waits, calls, notes), len(normal.blocks)))


def _title(note: str, known: Mapping[str, str]) -> str:
    """The title of the baseline that a comment is, or is what is left of; empty for none."""
    if note in known:
        return note
    return next((title for title in known if note and same_note(title, note)), "")


def _name(note: str, code: str, known: Mapping[str, str]) -> str:
    title = _title(note, known)
    if title:
        return known[title]
    words = _WORD.sub("-", note.partition(",")[0].lower()).strip("-.")
    return words or code.lower() or "operation"


def _is_numbered(normal: Normal, block: int) -> bool:
    return bool(_NUMBERED.match(normal.rows[normal.index[block]]))


def _titles(normal: Normal, known: Mapping[str, str]) -> dict[int, str]:
    """Of the comment lines before each block that has any directly before it a known title, else the first."""
    found: dict[int, str] = {}
    for note in normal.notes:
        if note.alone and note.block < len(normal.blocks):
            first = found.setdefault(note.block, note.text)
            if known and first is not note.text and not _title(first, known) and _title(note.text, known):
                found[note.block] = note.text
    return found


def _waits(normal: Normal, speller: Speller) -> dict[int, str]:
    """Wait marks by block, found without reading every block."""
    form = speller.dialect.wait
    if form is None:
        return {}
    first, last = str(form.first), str(form.last)
    shared = ""
    if len(first) == len(last):
        shared = next((first[:n] for n in range(len(first), 0, -1) if first[:n] == last[:n]), "")
    found: dict[int, str] = {}
    for block in _holding(normal.blocks, f"{form.letter}{shared}".encode()):
        spoken = speller.block(normal.text(block), normal.parts(block))
        if spoken.wait:
            found[block] = spoken.wait
    return found


def _calls(normal: Normal, speller: Speller) -> dict[int, str]:
    """Tool words by block."""
    found: dict[int, str] = {}
    for block in _holding(normal.blocks, b"T"):
        spoken = speller.block(normal.text(block), normal.parts(block))
        word = next((word.text for word in spoken.words if word.slot == "T"), "")
        if word:
            found[block] = word
    return found


def _holding(blocks: Sequence[bytes], piece: bytes) -> Iterator[int]:
    """Indices of the blocks that hold `piece`, by one search over all of them."""
    text = b"\n".join(blocks)
    at = block = 0
    while (hit := text.find(piece, at)) >= 0:
        block += text.count(b"\n", at, hit)
        yield block
        at = text.find(b"\n", hit)
        if at < 0:
            return
