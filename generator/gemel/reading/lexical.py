"""Remarks on the spelling of a block: what can be said without knowing what came before it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.reading.dialect import code_key

if TYPE_CHECKING:
    from gemel.reading.dialect import Dialect
    from gemel.reading.line import Line
    from gemel.reading.parts import Word

__all__ = ["check_spelling"]


def check_spelling(line: Line, dialect: Dialect) -> None:
    """Adds the remarks on characters, length, comments, numbers, and words that exclude each other.

    Remarks: `character` `block-length` `comment` `decimal-point` `number-format` `word-twice` `modal-group`
    `absolute-and-incremental` `not-understood`.
    """
    _check_text(line, dialect)
    _check_numbers(line, dialect)
    _check_repeats(line)
    _check_groups(line, dialect)
    _check_distances(line, dialect)


def _check_text(line: Line, dialect: Dialect) -> None:
    block = line.block
    text = block.text
    parts = block.parts
    if len(text) > dialect.longest_block:
        line.remark("block-length", f"the block has {len(text)} characters, the control reads {dialect.longest_block}")
    allowed = dialect.characters
    if not allowed.issuperset(text.upper()):
        _check_characters(line, allowed)
    for comment in parts.comments:
        if not comment.closed:
            line.remark("comment", "the comment is not closed in its block")
        elif text[comment.start] == "(" and "(" in comment.text:
            line.remark("not-understood", "a comment inside a comment: some controls end it at the first `)`")


def _check_characters(line: Line, allowed: frozenset[str]) -> None:
    """One remark that lists the characters outside comments that the control does not take."""
    hidden = {i for c in line.block.parts.comments for i in range(c.start, c.end)}
    strange = sorted(
        {
            c
            for i, c in enumerate(line.block.text)
            if i not in hidden and c not in "\t\0\x7f" and c not in allowed and c.upper() not in allowed
        }
    )
    if strange:
        named = ", ".join(repr(c) for c in strange)
        line.remark("character", f"the control does not take {named}")


def _check_numbers(line: Line, dialect: Dialect) -> None:
    rules = dialect.numbers
    without = [
        w for w in line.words if w.letter in rules.dimensions and w.expression is None and w.value and "." not in w.text
    ]
    if without:
        named = ", ".join(w.letter + w.text for w in without)
        line.remark("decimal-point", f"{named}: a dimension without a decimal point", without[0])
    number = line.block.parts.number
    if number is not None and not _is_sequence(number, rules.sequence_digits):
        line.remark("number-format", f"a block number has at most {rules.sequence_digits} digits and no sign", number)
    for word in line.words:
        fault = "" if word.expression is not None else _fault(word, dialect)
        if fault:
            line.remark("number-format", f"{word.letter}{word.text}: {fault}", word)
            return


def _is_sequence(number: Word, digits: int) -> bool:
    return number.text.isdigit() and len(number.text) <= digits


def _fault(word: Word, dialect: Dialect) -> str:
    """What is wrong with the spelling of a number, empty if nothing."""
    rules = dialect.numbers
    whole, _, part = word.text.lstrip("+-").partition(".")
    if word.letter in rules.whole and "." in word.text:
        return "the control takes no decimal point there"
    if len(part) > rules.decimals:
        return f"the control reads {rules.decimals} decimals"
    if len(whole.lstrip("0")) > rules.digits:
        return f"the control reads {rules.digits} digits before the point"
    return ""


def _check_repeats(line: Line) -> None:
    seen: set[str] = set()
    for word in line.words:
        name = word.letter
        if name in "GM":
            name = code_key(name, word.value or 0.0)
        if name in seen and name not in {"N", "O"}:
            line.remark("word-twice", f"{name} stands twice in the block", word)
            return
        seen.add(name)


def _check_groups(line: Line, dialect: Dialect) -> None:
    keys = [code_key(w.letter, w.value or 0.0) for w in line.words if w.letter in "GM"]
    if len(keys) < 2:
        return
    distinct = set(keys)
    for group in dialect.groups:
        both = group & distinct
        if len(both) > 1:
            named = " and ".join(sorted(both))
            line.remark("modal-group", f"{named} exclude each other in one block")
            return
    if len({wait.number for _, wait in line.waits}) > 1:
        line.remark("modal-group", "a block ends with one wait mark at most")


def _check_distances(line: Line, dialect: Dialect) -> None:
    seen: dict[str, Word] = {}
    for word in line.words:
        axis = dialect.axes.get(word.letter)
        if axis is None:
            continue
        other = seen.get(axis.name)
        if other is not None and other.letter != word.letter:
            line.remark("absolute-and-incremental", f"{other.letter} and {word.letter} move the same axis", word)
            return
        seen[axis.name] = word
