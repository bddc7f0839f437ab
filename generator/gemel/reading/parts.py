"""What a block is made of: words, comments, statements, and the pieces that are not understood.

Columns are 0-based and half-open.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from gemel.reading.expressions import Expression
    from gemel.reading.statements import Statement

__all__ = ["Comment", "Parts", "Word"]


class Word(NamedTuple):
    """A letter with its number, or a piece that is not understood (letter empty).

    Attributes:
        letter: upper case; `O` also for `:`; empty for a piece that is not understood.
        text: the number as it stands, without the blanks inside; the piece itself if it is not understood.
        value: the number; None where it must be computed or is not understood.
        start: column of the letter.
        end: column behind the number.
        expression: what to compute, None for a plain number.
    """

    letter: str
    text: str
    value: float | None
    start: int
    end: int
    expression: Expression | None = None

    @property
    def has_point(self) -> bool:
        """Whether the number is written with a decimal point, or is computed."""
        return self.expression is not None or "." in self.text


class Comment(NamedTuple):
    """A comment: its text without the marks around it, and whether it is closed."""

    text: str
    start: int
    end: int
    closed: bool


class Parts(NamedTuple):
    """What a block is made of.

    Attributes:
        words: the words in the order of the text, block number, program number and skip mark left out.
        unknown: the pieces that are not understood.
        comments: the comments.
        skip: level of the block-skip mark (1 for a bare `/`), 0 without.
        number: the block number's word (N), or None.
        program: the program number's word (O or `:`), or None.
        statements: macro statements (assignments, `IF`, `GOTO`, `WHILE`, `END`), in order.
        percent: whether it is the wrapper line `%`.
    """

    words: tuple[Word, ...] = ()
    unknown: tuple[Word, ...] = ()
    comments: tuple[Comment, ...] = ()
    skip: int = 0
    number: Word | None = None
    program: Word | None = None
    statements: tuple[Statement, ...] = ()
    percent: bool = False
