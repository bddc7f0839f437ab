"""Words by their meaning: one spelling for numbers that a control reads as the same, and the slot that a word fills.

Two words of one slot replace each other (`F0.2` and `F0.15`, `M08` and `M88`); words of two slots do not. Words of a
block are compared as a set: their order has no meaning.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NamedTuple

from gemel.reading.dialect import code_key
from gemel.reading.words import BLANKS

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.reading.dialect import Dialect, Function
    from gemel.reading.parts import Parts, Word

__all__ = ["Said", "Speller", "Spoken"]

_ONE_OF_A_KIND = frozenset(
    (
        *("motion", "plane", "unit", "compensation", "offset", "speed-mode", "feed-mode", "distance", "return"),
        *("coolant", "synchronisation", "catcher", "air", "stop"),
    )
)
_ONE_OF_EACH = frozenset(("spindle", "clamp", "c-axis", "brake"))
_SQUEEZE = re.compile(f"[{BLANKS}]+")
_REFERRING = frozenset(("G70", "G71", "G72", "G73", "M99"))
"""Codes whose P and Q name sequence numbers, on every control that reads them (common practice, no source)."""
_MOST_BLOCKS = 20_000
_TARGET = re.compile(r"GOTO(\d+)")
_DECIMAL = re.compile(r"\d+\.?\d*|\.\d+")


class Said(NamedTuple):
    """One word.

    Attributes:
        slot: what it fills: a letter, `G:motion`, `wait`, `/`, or the word itself where nothing replaces it.
        text: in canonical spelling; equal for words that mean the same.
        typed: as it stands in its line, in upper case and without blanks.
        written: neat, for programs: like `text`, with the point that it was typed with, codes with two digits.
        start, end: columns in its line; both 0 for a word that is none (block skip without a column).
    """

    slot: str
    text: str
    typed: str
    written: str
    start: int = 0
    end: int = 0


class Spoken(NamedTuple):
    """One block by its meaning.

    Attributes:
        key: canonical words, sorted, one blank between; equal for blocks that mean the same.
        words: in the order of the text.
        typed: its words as typed, one blank between.
        written: its words written neatly, one blank between.
    """

    key: str
    words: tuple[Said, ...]
    typed: str
    written: str

    @property
    def form(self) -> str:
        """Which slots it fills, whatever stands in them."""
        return " ".join(sorted({word.slot for word in self.words}))

    @property
    def wait(self) -> str:
        """The wait mark's word, empty without."""
        return next((word.text for word in self.words if word.slot == "wait"), "")


class Speller:
    """Canonical words of one dialect; what has been spelled once is remembered."""

    def __init__(self, dialect: Dialect) -> None:
        self.dialect = dialect
        self._words: dict[tuple[str, str], tuple[str, str, str, str]] = {}
        self._blocks: dict[str, Spoken] = {}

    def block(self, text: str, parts: Parts, labels: Mapping[int, int] | None = None) -> Spoken:
        """The block that stands in the line `text`, by its meaning."""
        if labels:
            return self._block(text, parts, labels)
        known = self._blocks.get(text)
        if known is None:
            if len(self._blocks) > _MOST_BLOCKS:
                self._blocks.clear()
            known = self._blocks[text] = self._block(text, parts, {})
        return known

    def _block(self, text: str, parts: Parts, labels: Mapping[int, int]) -> Spoken:
        words = [self._said(word) for word in parts.words]
        if parts.skip:
            mark = "/" if parts.skip == 1 else f"/{parts.skip}"
            words.append(Said("/", mark, mark, mark))
        if parts.program is not None:
            word = parts.program
            number = f"O{_canonical(word.text)}"
            words.append(Said("O", number, f"O{word.text}", number, word.start, word.end))
        for statement in parts.statements:
            piece = _squeezed(text[statement.start : statement.end])
            words.append(Said(f"#{statement.kind}", piece, piece, piece, statement.start, statement.end))
        for word in parts.unknown:
            piece = _SQUEEZE.sub("", word.text).upper()
            words.append(Said(f"?{piece}", piece, piece, piece, word.start, word.end))
        if labels:
            by_letter = not _REFERRING.isdisjoint(word.text for word in words)
            words = [_relabelled(word, labels, by_letter=by_letter) for word in words]
        words.sort(key=lambda word: word.start)
        texts = [word.text for word in words]
        typed, written = " ".join(w.typed for w in words), " ".join(w.written for w in words)
        return Spoken(" ".join(sorted(texts)), tuple(words), typed, written)

    def function(self, text: str) -> Function | None:
        """The meaning of a G or M word in canonical spelling, None for another or an unknown one."""
        if text[:1] not in ("G", "M"):
            return None
        try:
            return self.dialect.codes.get(code_key(text[0], float(text[1:])))
        except ValueError:
            return None

    def is_dimension(self, letter: str) -> bool:
        """Whether a number behind this letter is a dimension, which means another thing without a point."""
        return letter in self.dialect.numbers.dimensions

    def restyled(self, word: Said, model: str) -> str:
        """A word as a program writes it whose own word is `model`: digits of a code, point of a feed."""
        letter, number = word.written[:1], word.written[1:]
        if letter != model[:1] or word.slot.startswith(("#", "?")):
            return word.written
        if letter in ("G", "M", "T", "O") and number.isdigit():
            return f"{letter}{number.zfill(len(model) - 1)}" if model[1:2] == "0" else word.written
        if not self.is_dimension(letter) and letter not in "PQ" and _DECIMAL.fullmatch(number):
            number = _canonical(number)
            return f"{letter}{number}." if "." in model and "." not in number else f"{letter}{number}"
        return word.written

    def _said(self, word: Word) -> Said:
        if word.expression is not None:
            text = f"{word.letter}{_squeezed(word.text)}"
            return Said(word.letter, text, text, text, word.start, word.end)
        key = word.letter, word.text
        known = self._words.get(key)
        if known is None:
            known = self._words[key] = self._spelled(word)
        return Said(*known, word.start, word.end)

    def _spelled(self, word: Word) -> tuple[str, str, str, str]:
        """Slot, canonical text, typed text and neat text of a word with a plain number."""
        letter, number = word.letter, _canonical(word.text)
        typed = f"{letter}{word.text}"
        point = "." in word.text and "." not in number
        if letter in ("G", "M"):
            return self._slot(letter, number, word.value or 0.0), f"{letter}{number}", typed, f"{letter}{number:0>2}"
        written = f"{letter}{number}{'.' if point and letter != 'T' else ''}"
        if self.is_dimension(letter):
            # A dimension keeps its point: without one a control may read thousandths. Zero is zero either way.
            return letter, f"{letter}{number}{'.' if point and number != '0' else ''}", typed, written
        if letter == "Q" and "." not in word.text:
            # A peck without a point counts least increments; with one it is a length.
            number = _canonical(f"{float(number) * self.dialect.least_increment:.9f}")
        return letter, f"{letter}{number}", typed, written

    def _slot(self, letter: str, number: str, value: float) -> str:
        wait = self.dialect.wait
        if wait is not None and letter == wait.letter and wait.first <= value <= wait.last and "." not in number:
            return "wait"
        function = self.dialect.codes.get(code_key(letter, value))
        if function is not None and function.kind in _ONE_OF_A_KIND:
            return f"{letter}:{function.kind}"
        if function is not None and function.kind in _ONE_OF_EACH:
            return f"{letter}:{function.kind}:{function.which}"
        return f"{letter}{number}"


def _squeezed(text: str) -> str:
    """A macro statement in upper case, without blanks, its numbers in one spelling."""
    return _DECIMAL.sub(lambda match: _canonical(match.group()), _SQUEEZE.sub("", text).upper())


def _canonical(text: str) -> str:
    """A number without what has no meaning: plus, zeros around, `-0`; a whole number has no point."""
    sign = "-" if text.startswith("-") else ""
    whole, _, part = text.lstrip("+-").partition(".")
    whole = whole.lstrip("0") or "0"
    part = part.rstrip("0")
    if whole == "0" and not part:
        return "0"
    return f"{sign}{whole}.{part}" if part else f"{sign}{whole}"


def _relabelled(word: Said, labels: Mapping[int, int], *, by_letter: bool) -> Said:
    """A word that names a sequence number, without that number: `jumps` looks at where it leads."""
    if by_letter and word.slot in ("P", "Q") and word.text[1:].isdigit() and int(word.text[1:]) in labels:
        return word._replace(text=f"{word.slot}@")
    if word.slot in ("#goto", "#if-goto"):
        return word._replace(text=_TARGET.sub(lambda m: "GOTO@" if int(m[1]) in labels else m[0], word.text))
    return word
