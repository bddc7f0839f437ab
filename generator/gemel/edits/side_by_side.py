"""A copy and its baseline as one list of lines, word by word: what stands, what came, what went."""

from __future__ import annotations

from collections import Counter
from difflib import SequenceMatcher
from typing import TYPE_CHECKING, NamedTuple

from gemel.edits.align import align
from gemel.edits.normal import normalise
from gemel.edits.sections import outline_of
from gemel.edits.side import Side
from gemel.edits.wrapped import unwrapped

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.edits.align import Aligned
    from gemel.edits.compare import Baseline
    from gemel.edits.normal import Normal
    from gemel.edits.spelling import Spoken

__all__ = ["CAME", "CHANGED", "GONE", "Line", "Piece", "side_by_side"]

CAME, GONE, CHANGED = "came", "gone", "changed"


class Piece(NamedTuple):
    """Some characters of a line: `came` with the copy, `gone` with it, or in both (empty)."""

    text: str
    how: str = ""


class Line(NamedTuple):
    """A line of the copy, of the baseline, or of both.

    Attributes:
        old: 1-based line in the baseline; None where the baseline has none.
        new: the same in the copy; the first one of a wrapped block.
        pieces: its characters.
        mark: `came`, `gone`, `changed`, or empty where both mean the same.
        wait: the wait mark's word; empty without.
    """

    old: int | None
    new: int | None
    pieces: tuple[Piece, ...]
    mark: str = ""
    wait: str = ""


def side_by_side(baseline: Baseline, copy: bytes) -> list[Line]:
    """Every line of both texts, in the order of both; comments and wrapper included."""
    speller = baseline.speller
    normal = unwrapped(normalise(copy), baseline)
    theirs = Side(normal, outline_of(normal, speller, baseline.outline.titles()), speller)
    return list(_Walk(baseline, theirs).lines(align(baseline, theirs)))


class _Pair(NamedTuple):
    """Blocks that are one: index in the baseline, first and last index in the copy; None where there is none."""

    ours: int | None
    first: int | None
    last: int | None
    same: bool


def _pairs(aligned: Aligned) -> Iterator[_Pair]:
    """All blocks of both texts in order; what came stands before the baseline's block that follows it."""
    found = [(a, 1, [_Pair(a + k, b + k, b + k, same=True) for k in range(n)]) for a, b, n in aligned.runs]
    for item in aligned.items:
        first, last = (item.new.first, item.new.last) if item.new else (None, None)
        ours = None if item.old is None else item.ours
        found.append((item.ours, int(item.old is not None), [_Pair(ours, first, last, same=item.is_same)]))
    for _, _, pairs in sorted(found, key=lambda entry: entry[:2]):
        yield from pairs


class _Walk:
    """Goes through both texts at once."""

    def __init__(self, ours: Side, theirs: Side) -> None:
        self._ours, self._theirs = ours, theirs
        self._at = [0, 0]

    def lines(self, aligned: Aligned) -> Iterator[Line]:
        """The lines of blocks, with what stands between blocks before them."""
        for pair in _pairs(aligned):
            old = None if pair.ours is None else self._ours.normal.index[pair.ours]
            new = None if pair.first is None else self._theirs.normal.index[pair.first]
            yield from self._between(old, new)
            yield self._line(pair, old, new)
            if pair.ours is not None:
                self._at[0] = self._ours.normal.last_line(pair.ours)
            if pair.last is not None:
                self._at[1] = self._theirs.normal.last_line(pair.last)
        yield from self._between(len(self._ours.normal.rows), len(self._theirs.normal.rows))

    def _between(self, old: int | None, new: int | None) -> Iterator[Line]:
        """Comments and wrapper up to these 0-based lines; where one text has no block here, it waits for the next."""
        ours = range(self._at[0], self._at[0] if old is None else old)
        theirs = range(self._at[1], self._at[1] if new is None else new)
        left, right = _plain(self._ours.normal, ours), _plain(self._theirs.normal, theirs)
        matcher = SequenceMatcher(
            None, [text.upper() for _, text in left], [text.upper() for _, text in right], autojunk=False
        )
        for how, a, a_end, b, b_end in matcher.get_opcodes():
            if how == "equal":
                pairs = zip(left[a:a_end], right[b:b_end], strict=True)
                yield from (Line(x[0], y[0], (Piece(y[1]),)) for x, y in pairs)
                continue
            yield from (Line(line, None, (Piece(text, GONE),)) for line, text in left[a:a_end])
            yield from (Line(None, line, (Piece(text, CAME),)) for line, text in right[b:b_end])
        self._at = [max(self._at[0], ours.stop), max(self._at[1], theirs.stop)]

    def _line(self, pair: _Pair, old: int | None, new: int | None) -> Line:
        wait = self._wait(pair)
        lines = (None if old is None else old + 1), (None if new is None else new + 1)
        if pair.first is None:
            assert pair.ours is not None
            return Line(*lines, (Piece(_text(self._ours.normal, pair.ours), GONE),), GONE, wait)
        after = _text(self._theirs.normal, pair.first, pair.last)
        if pair.ours is None:
            return Line(*lines, (Piece(after, CAME),), CAME, wait)
        if pair.same or pair.first != pair.last:
            return Line(*lines, (Piece(after),), "" if pair.same else CHANGED, wait)
        before = self._ours.spoken(pair.ours)
        raw = self._theirs.normal.text(pair.first)
        pieces = (
            piece for piece in _words(before, self._theirs.spoken(pair.first), raw) if piece.text.strip("\0\r\x7f")
        )
        return Line(*lines, tuple(pieces), CHANGED, wait)

    def _wait(self, pair: _Pair) -> str:
        form = self._ours.speller.dialect.wait
        if form is None:
            return ""
        for side, block in ((self._ours, pair.ours), (self._theirs, pair.first)):
            if block is not None and form.letter.encode() in side.normal.blocks[block]:
                word = side.spoken(block).wait
                if word:
                    return word
        return ""


def _plain(normal: Normal, lines: range) -> list[tuple[int, str]]:
    """1-based number and text of lines that hold no block; empty ones are left out."""
    found = ((line + 1, normal.rows[line].decode("latin-1").strip(" \t\0\r\x7f")) for line in lines)
    return [(line, text) for line, text in found if text]


def _text(normal: Normal, block: int, last: int | None = None) -> str:
    texts = (normal.text(at) for at in range(block, (block if last is None else last) + 1))
    return " ".join(text.strip(" \t\0\r\x7f") for text in texts)


def _words(before: Spoken, after: Spoken, text: str) -> Iterator[Piece]:
    """The copy's block with its words marked; words that went stand before those in their place, else at the end."""
    lost = Counter(word.text for word in before.words)
    lost.subtract(word.text for word in after.words)
    gone = []
    for word in before.words:
        if lost[word.text] > 0:
            lost[word.text] -= 1
            gone.append(word)
    kept = Counter(word.text for word in before.words)
    at = 0
    for word in after.words:
        kept[word.text] -= 1
        if kept[word.text] >= 0:
            continue
        yield Piece(text[at : word.start])
        instead = next((one for one in gone if one.slot == word.slot), None)
        if instead is not None:
            gone.remove(instead)
            yield Piece(instead.typed, GONE)
            yield Piece(" ")
        yield Piece(text[word.start : word.end] or word.typed, CAME)
        at = max(at, word.end)
    end = max((word.end for word in after.words), default=len(text))
    yield Piece(text[at : max(at, end)])
    for word in gone:
        yield Piece(" ")
        yield Piece(word.typed, GONE)
    yield Piece(text[max(at, end) :])
