"""Macro statements of a block: assignments, jumps, conditions, loops; and words whose number is computed."""

from __future__ import annotations

from typing import NamedTuple

from gemel.reading.expressions import Cursor, Expression, MacroSyntaxError, parse_value

__all__ = ["Statement", "parse_statement"]


class Statement(NamedTuple):
    """One macro statement.

    Attributes:
        kind: `set` `goto` `if-goto` `if-then` `while` `do` `end`.
        start: column of its first character.
        end: column behind its last one.
        condition: of `if-goto`, `if-then` and `while`.
        target: number of the variable to set, of the block to go to, or of the loop.
        value: the value to set.
        then: the assignments behind THEN.
    """

    kind: str
    start: int
    end: int
    condition: Expression | None = None
    target: Expression | None = None
    value: Expression | None = None
    then: tuple[Statement, ...] = ()


def parse_statement(cursor: Cursor) -> Statement | None:
    """The statement that comes now, None if none does; columns are those of the compact text."""
    begin = cursor.at
    if cursor.text.startswith("#", begin):
        return _assignment(cursor)
    if cursor.takes("GOTO"):
        return Statement("goto", begin, cursor.at, target=parse_value(cursor))._replace(end=cursor.at)
    if cursor.text.startswith("IF[", begin):
        cursor.at += 2
        return _if(cursor, begin)
    if cursor.text.startswith("WHILE[", begin):
        cursor.at += 5
        condition = parse_value(cursor)
        cursor.needs("DO")
        return Statement("while", begin, cursor.at, condition, parse_value(cursor))._replace(end=cursor.at)
    for word, kind in (("DO", "do"), ("END", "end")):
        if cursor.text[begin + len(word) : begin + len(word) + 1] in set("123456789") and cursor.takes(word):
            return Statement(kind, begin, cursor.at, target=parse_value(cursor))._replace(end=cursor.at)
    return None


def _assignment(cursor: Cursor) -> Statement:
    begin = cursor.at
    cursor.needs("#")
    target = parse_value(cursor)
    cursor.needs("=")
    value = parse_value(cursor, whole=True)
    return Statement("set", begin, cursor.at, target=target, value=value)


def _if(cursor: Cursor, begin: int) -> Statement:
    condition = parse_value(cursor)
    if cursor.takes("GOTO"):
        target = parse_value(cursor)
        return Statement("if-goto", begin, cursor.at, condition, target)
    if not cursor.takes("THEN"):
        raise MacroSyntaxError("`GOTO` or `THEN` expected", cursor.at)
    then = [_assignment(cursor)]
    while cursor.text.startswith("#", cursor.at):
        then.append(_assignment(cursor))
    return Statement("if-then", begin, cursor.at, condition, then=tuple(then))
