"""A file of blocks from elsewhere, stripped of its wrapper and spelled as this machine's control reads it.

Taken away: `%`, program number, block numbers, the end code, the call of the operation's own tool, blanks and letter
case. Kept: every other word with its number as it stands, block-skip marks, comments.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from gemel.findings import Label
from gemel.operations import posted_codes as codes
from gemel.reading.blocks import read
from gemel.reading.dialect import code_key

if TYPE_CHECKING:
    from collections.abc import Sequence

    from gemel.families.part import Body
    from gemel.findings import Finding
    from gemel.reading.blocks import Block
    from gemel.reading.dialect import Dialect, Function
    from gemel.reading.parts import Word

__all__ = ["PostedLine", "function_of", "label", "strip"]


class PostedLine(NamedTuple):
    """One block of the file.

    Attributes:
        block: as it stands in the file.
        words: those that are kept.
        comments: their texts.
    """

    block: Block
    words: tuple[Word, ...]
    comments: tuple[str, ...]

    @property
    def text(self) -> str:
        """The kept words as the control is to read them; empty where only comments are left."""
        if not self.words:
            return ""
        skip = self.block.parts.skip
        mark = "" if not skip else "/ " if skip == 1 else f"/{skip} "
        return mark + " ".join(word.letter + word.text.lstrip("+") for word in self.words)


def label(block: Block, word: Word | None = None) -> Label:
    """A label on a word of the file, or on a whole block."""
    span = block.span(word.start, word.end) if word else block.span()
    return Label(span, block.text[span.start : span.end].strip())


def function_of(word: Word, dialect: Dialect) -> Function | None:
    """What a G or M word means on this machine."""
    if word.letter not in "GM" or word.value is None:
        return None
    return dialect.codes.get(code_key(word.letter, word.value))


def strip(body: Body, dialect: Dialect, call: str) -> tuple[list[PostedLine], list[Finding]]:
    """The blocks between head and end, and what is wrong with them as they stand.

    Findings: `body:macro`, `body:word`, `body:behind-end`, `body:tool`.
    """
    lines: list[PostedLine] = []
    findings: list[Finding] = []
    ended = begun = False
    for block in read(body.data, body.name):
        parts = block.parts
        words = list(parts.words)
        if ended and (words or parts.program or parts.statements or parts.unknown):
            findings.append(codes.BEHIND_END.found("a block stands behind the end of the program", label(block)))
            continue
        if parts.program is not None and begun:
            findings.append(codes.BEHIND_END.found("a second program begins in the file", label(block)))
        findings += _not_plain(block, words)
        end = next((w for w in words if (f := function_of(w, dialect)) and f.kind in {"end", "repeat"}), None)
        ended = ended or end is not None or (parts.percent and begun)
        begun = begun or bool(words) or parts.program is not None
        findings += _other_tool(block, words, call)
        kept = tuple(word for word in words if word is not end and word.letter != "T")
        comments = tuple(comment.text.strip() for comment in parts.comments if comment.text.strip())
        if kept or comments:
            lines.append(PostedLine(block, kept, comments))
    return lines, findings


def _not_plain(block: Block, words: Sequence[Word]) -> list[Finding]:
    """Statements and numbers that must be computed, and pieces that are no words."""
    if block.parts.statements or any(word.expression is not None for word in words):
        return [codes.MACRO.found("the block holds variables or a jump", label(block))]
    unknown = [codes.WORD.found(f"`{piece.text}` is no word", label(block, piece)) for piece in block.parts.unknown]
    unclosed = [c for c in block.parts.comments if not c.closed]
    return unknown + [codes.WORD.found("the comment is not closed in its block", label(block)) for _ in unclosed]


def _other_tool(block: Block, words: Sequence[Word], call: str) -> list[Finding]:
    """T words that are not the operation's call."""
    own = float(call[1:])
    return [
        codes.TOOL.found(f"the file calls T{word.text}, the operation's tool is called by {call}", label(block, word))
        for word in words
        if word.letter == "T" and word.value != own
    ]
