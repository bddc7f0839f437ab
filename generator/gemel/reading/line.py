"""One block made ready for interpretation: numbers computed, codes looked up, words sorted by what they are for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.reading.dialect import code_key, is_whole
from gemel.reading.expressions import UndecidableError, evaluate
from gemel.reading.run import Remark, Wait

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.reading.blocks import Block
    from gemel.reading.dialect import Dialect, Function
    from gemel.reading.parts import Word

__all__ = ["Line", "Lookup"]


class Lookup:
    """The meaning of code words in a dialect, remembered as they were typed."""

    def __init__(self, dialect: Dialect) -> None:
        self.dialect = dialect
        self._known: dict[tuple[str, str], Function | None] = {}

    def function(self, word: Word) -> Function | None:
        """What a G or M word with this number means; None if nothing."""
        key = word.letter, word.text
        if word.expression is not None:
            return self.dialect.codes.get(code_key(word.letter, word.value or 0.0))
        if key not in self._known:
            self._known[key] = self.dialect.codes.get(code_key(word.letter, word.value or 0.0))
        return self._known[key]


class Line:
    """A block under interpretation.

    Attributes:
        block: the block.
        words: its words with every number that can be computed.
        values: number of every letter but G, M, N and O; the first one where a letter comes twice.
        blank: axis letters without a number, as in `G28 A`.
        undecided: letters whose number cannot be computed.
        vacant: letters whose number is a vacant variable: as if they were not there.
        functions: meanings of its code words in the order of the text, each with its word.
        kinds: the last function of each kind.
        waits: its wait marks.
        strange: code words without a meaning; a second block number, a program number behind other words.
        remarks: what is to be said about it.
    """

    __slots__ = (
        "blank",
        "block",
        "functions",
        "kinds",
        "remarks",
        "strange",
        "undecided",
        "used",
        "values",
        "waits",
        "words",
    )

    def __init__(self, block: Block, lookup: Lookup, variables: Mapping[int, float]) -> None:
        self.block = block
        self.words: list[Word] = []
        self.values: dict[str, float] = {}
        self.blank: list[str] = []
        self.undecided: list[str] = []
        self.functions: list[tuple[Word, Function]] = []
        self.kinds: dict[str, Function] = {}
        self.waits: list[tuple[Word, Wait]] = []
        self.strange: list[Word] = []
        self.remarks: list[Remark] = []
        self.used: set[str] = set()
        for word in block.words:
            known = self._computed(word, variables) if word.value is None else word
            if known is not None:
                self.words.append(known)
                self._sort(known, lookup)

    def remark(self, code: str, cause: str, word: Word | None = None) -> None:
        """Notes a remark on a word, or on the whole block."""
        block = self.block
        span = block.span(word.start, word.end) if word else block.span()
        self.remarks.append(Remark(code, span, block.text[span.start : span.end], cause))

    def word(self, letter: str) -> Word | None:
        """The first word with this letter."""
        return next((w for w in self.words if w.letter == letter), None)

    def take(self, letter: str) -> float | None:
        """The number of this letter, noted as understood; None without such a word."""
        value = self.values.get(letter)
        if value is not None:
            self.used.add(letter)
        return value

    def _computed(self, word: Word, variables: Mapping[int, float]) -> Word | None:
        """The word with its number, None if it has none."""
        assert word.expression is not None  # the reader gives every word a number or an expression
        try:
            value = evaluate(word.expression, variables)
        except UndecidableError as error:
            self.undecided.append(word.letter)
            self.remark("not-understood", f"the number of {word.letter} cannot be known: {error}", word)
            return None
        return None if value is None else word._replace(value=value)

    def _sort(self, word: Word, lookup: Lookup) -> None:
        """Puts the word where it belongs."""
        value = word.value or 0.0
        wait = lookup.dialect.wait
        if wait and word.letter == wait.letter and wait.first <= value <= wait.last and is_whole(value):
            self.waits.append((word, Wait(round(value), None)))
        elif word.letter in "GM":
            function = lookup.function(word)
            if function is None:
                self.strange.append(word)
            else:
                self.functions.append((word, function))
                self.kinds[function.kind] = function
        elif word.letter in "NO":
            self.strange.append(word)
        else:
            self.values.setdefault(word.letter, value)
