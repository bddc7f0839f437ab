"""Blocks that a control or a transfer broke into several lines.

A line that was broken because it was full is told from one that a person split: the first word of the next line would
not have fitted any more, or a number goes on in the next line.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.edits.gaps import Place, likeness
from gemel.edits.normal import Normal
from gemel.reading.words import BLANKS, parts_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from gemel.edits.runs import Gap
    from gemel.edits.side import Side
    from gemel.edits.spelling import Spoken

__all__ = ["places", "unwrapped"]

_BLANKS = BLANKS.encode("latin-1")
_CODES = (b"G", b"M", b"T")
_MOST_LINES = 6
_ABOUT = 30
"""How far around its own place in a gap a block of the baseline is looked for."""
_GOES_ON = frozenset("0123456789.")


def unwrapped(copy: Normal, ours: Side) -> Normal:
    """The copy with those broken blocks put together that the baseline has whole; the copy itself without any."""
    if len(copy.blocks) <= len(ours.normal.blocks):
        return copy
    typed = ours.normal.distinct
    strange = {block for block, row in enumerate(copy.blocks) if row not in typed}
    # The beginning of a broken block may look like another block of the baseline; what is left over does not.
    first = sorted(strange | {block - 1 for block in strange if block})
    starts = [block for block in first if block + 1 < len(copy.blocks) and _is_full(copy, block)]
    if not starts:
        return copy
    meant = {ours.spoken(block).key for block in range(len(ours.normal.blocks))}
    ends: dict[int, tuple[int, str]] = {}
    done = -1
    for start in starts:
        whole = _whole(copy, start, ours, meant) if start > done else None
        if whole is not None:
            ends[start] = whole
            done = whole[0]
    if not ends:
        return copy
    # Where blocks of the baseline are broken, those that a person typed are broken too.
    taken = {line for start, (last, _) in ends.items() for line in range(start, last + 1)}
    for start in starts:
        pair = (start, start + 1)
        # A line that begins with a code is a block of its own, unless the baseline says otherwise.
        if copy.blocks[start + 1][:1] in _CODES or not taken.isdisjoint(pair):
            continue
        if all(_meaning(copy, block, ours) not in meant for block in pair):
            ends[start] = start + 1, _together(copy.text(start), copy.text(start + 1))
            taken.update(pair)
    return _put_together(copy, ends)


def _whole(copy: Normal, start: int, ours: Side, meant: set[str]) -> tuple[int, str] | None:
    """The last line of the block that begins at `start` and means one of `meant`, and its text; None without."""
    text = copy.text(start)
    for last in range(start + 1, min(len(copy.blocks), start + _MOST_LINES)):
        if not _is_full(copy, last - 1):
            return None
        text = _together(text, copy.text(last))
        if ours.speller.block(text, parts_of(text), copy.labels).key in meant:
            return last, text
    return None


def _meaning(copy: Normal, block: int, ours: Side) -> str:
    return ours.speller.block(copy.text(block), copy.parts(block), copy.labels).key


def _put_together(copy: Normal, ends: dict[int, tuple[int, str]]) -> Normal:
    blocks: list[bytes] = []
    index: list[int] = []
    joined: dict[int, tuple[str, int]] = {}
    place: list[int] = []
    at = 0
    while at < len(copy.blocks):
        last, text = ends.get(at, (at, ""))
        if text:
            joined[len(blocks)] = text, copy.index[last]
        place += [len(blocks)] * (last - at + 1)
        blocks.append(b"".join(copy.blocks[at : last + 1]))
        index.append(copy.index[at])
        at = last + 1
    notes = [note._replace(block=place[note.block] if note.block < len(place) else len(blocks)) for note in copy.notes]
    return Normal(copy.rows, blocks, index, notes, copy.numbered, copy.labels, joined)


def places(side: Side, gap: Gap, ours: Sequence[Spoken]) -> list[Place]:
    """The copy's blocks of a gap, wrapped ones put together where a block of the baseline speaks for it."""
    found: list[Place] = []
    block = gap.b
    while block < gap.b_end:
        place = Place(side.spoken(block), block, block)
        if block + 1 < gap.b_end and _is_full(side.normal, block):
            about = len(found)
            place = _joined(side, place, gap, ours[max(0, about - _ABOUT) : about + _ABOUT])
        found.append(place)
        block = place.last + 1
    return found


def _joined(side: Side, alone: Place, gap: Gap, ours: Sequence[Spoken]) -> Place:
    """The place with as many lines behind it as make it most like a block of the baseline."""
    best, most = alone, max((likeness(spoken, alone.spoken) for spoken in ours), default=1.0)
    text = side.normal.text(alone.first)
    for last in range(alone.first + 1, min(gap.b_end, alone.first + _MOST_LINES)):
        if not _is_full(side.normal, last - 1):
            break
        text = _together(text, side.normal.text(last))
        spoken = side.speller.block(text, parts_of(text), side.normal.labels)
        alike = max(likeness(one, spoken) for one in ours)
        if alike > most:
            best, most = Place(spoken, alone.first, last), alike
    return best


def _together(text: str, following: str) -> str:
    return f"{text}{'' if following.lstrip(BLANKS)[:1] in _GOES_ON else ' '}{following}"


def _is_full(normal: Normal, block: int) -> bool:
    """Whether the line of a block was broken because it was full, and goes on in the next one."""
    line = normal.last_line(block)
    row = normal.rows[line - 1].strip(_BLANKS)
    if (
        b"(" in row
        or b";" in row
        or any(between.strip(b" ") for between in normal.rows[line : normal.index[block + 1]])
    ):
        return False
    following = normal.text(block + 1).strip(BLANKS)
    if following[:1] in _GOES_ON:
        return True
    parts = parts_of(following)
    if parts.number is not None or parts.program is not None or parts.skip or not parts.words:
        return False
    # The blanks at which the line was broken are gone: one that separates words, or two.
    return len(row) + parts.words[0].end >= normal.width - 1
