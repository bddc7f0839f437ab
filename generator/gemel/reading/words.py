"""The words of one line, in whatever way it is typed.

Blanks and letter case have no meaning outside comments, blanks not even inside a number (NISTIR 6556, 3.3). A comment
runs from `(` to the `)` that closes it, brackets inside counted, or from `;` to the end of the line.
"""

from __future__ import annotations

import re

from gemel.reading.expressions import LARGEST_NUMBER, Cursor, MacroSyntaxError, parse_value
from gemel.reading.parts import Comment, Parts, Word
from gemel.reading.statements import Statement, parse_statement

__all__ = ["BLANKS", "parts_of"]

BLANKS = " \t\0\x7f\f\v"
"""Blank, tab, the empty and the erased row of a tape, and page marks: none has a meaning."""

_SIMPLE = re.compile(
    r"(?:N[0-9]{1,15}+ ?+)?+(?:[A-MP-Z][+-]?+(?:[0-9]{1,15}+(?:\.[0-9]{0,15}+)?+|\.[0-9]{1,15}+) ?+)*+",
)
"""Most lines of most programs: words in capitals, at most one blank between two, nothing else."""

_WORD = re.compile("([A-Z])([-+.0-9]+)")
# Every repetition below is possessive: nothing in a line, however long, makes the search go back.
_B = "[ \t\0\x7f\f\v]*+"
_DIGITS = f"[0-9](?:{_B}[0-9])*+"
_NUMBER = f"[+-]?{_B}(?:{_DIGITS}(?:{_B}\\.(?:{_B}{_DIGITS})?)?|\\.{_B}{_DIGITS})"
_TOKEN = re.compile(
    f"([A-Za-z:]){_B}({_NUMBER})|([A-Za-z]{{2,}}+(?:{_B}{_NUMBER})?|[0-9.+-]+|[^ \t\0\x7f\f\v])",
)
_HEAD = re.compile(f"{_B}(?:[Nn]{_B}({_DIGITS}){_B})?(?:(/){_B}([1-9](?![0-9]))?{_B})?")
_MACRO = re.compile(f"[#\\[\\]=]|GOTO|(?:DO|END){_B}[1-9]", re.IGNORECASE)
_OPENING = re.compile("[(;]")
_BRACKET = re.compile("[()]")
_SQUEEZE = {ord(c): None for c in BLANKS}


def parts_of(text: str) -> Parts:
    """What the line is made of. Never fails: what follows no rule is among `unknown`."""
    if _SIMPLE.fullmatch(text):
        return _simple_parts(text)
    code, comments = (text, ()) if "(" not in text and ";" not in text else _without_comments(text)
    head = _HEAD.match(code)
    assert head is not None  # every piece of it may be empty
    skip, begin = (int(head[3] or 1), head.end()) if head[2] else (0, 0)
    number = _number_of_head(head) if begin else None
    parts = _macro_parts(code, begin) if _MACRO.search(code, begin) else _plain_parts(code, begin)
    if number and parts.number is None:
        parts = parts._replace(number=number)
    return parts._replace(skip=skip, comments=comments) if skip or comments else parts


def _simple_parts(text: str) -> Parts:
    """The parts of a line in which every capital begins a word.

    Named tuples are made without the call of Python that their own constructor takes: a program has a million words.
    """
    new, word = tuple.__new__, Word
    words = []
    end = 0
    for letter, number in _WORD.findall(text):
        start = text.index(letter, end)
        end = start + 1 + len(number)
        words.append(new(word, (letter, number, float(number), start, end, None)))
    number = words.pop(0) if words and words[0].letter == "N" else None
    return new(Parts, (tuple(words), (), (), 0, number, None, (), False))


def _number_of_head(head: re.Match[str]) -> Word | None:
    """The block number at the beginning of the line."""
    if head[1] is None:
        return None
    text = head[1].translate(_SQUEEZE)
    start = head.start(1) - 1
    return Word("N", text, float(text), start, head.end(1))


def _without_comments(text: str) -> tuple[str, tuple[Comment, ...]]:
    """The line with its comments blanked out, and the comments."""
    pieces: list[str] = []
    comments: list[Comment] = []
    at = 0
    while at < len(text):
        opening = _OPENING.search(text, at)
        if opening is None:
            pieces.append(text[at:])
            break
        pieces.append(text[at : opening.start()])
        comment = _comment(text, opening.start())
        comments.append(comment)
        pieces.append(" " * (comment.end - comment.start))
        at = comment.end
    return "".join(pieces), tuple(comments)


def _comment(text: str, start: int) -> Comment:
    """The comment that begins at `start`."""
    if text[start] == ";":
        return Comment(text[start + 1 :], start, len(text), closed=True)
    depth = 0
    for match in _BRACKET.finditer(text, start):
        depth += 1 if match[0] == "(" else -1
        if depth == 0:
            return Comment(text[start + 1 : match.start()], start, match.end(), closed=True)
    return Comment(text[start + 1 :], start, len(text), closed=False)


def _plain_parts(code: str, begin: int) -> Parts:
    """The parts of a line without macro statements."""
    words: list[Word] = []
    unknown: list[Word] = []
    for match in _TOKEN.finditer(code, begin):
        letter = match[1]
        if letter is None:
            unknown.append(Word("", match[3].rstrip(BLANKS), None, match.start(), match.start() + len(match[3])))
            continue
        number = match[2]
        try:
            value = float(number)
        except ValueError:
            number = number.translate(_SQUEEZE)
            value = float(number)
        if abs(value) >= LARGEST_NUMBER:
            unknown.append(Word("", match[0], None, match.start(), match.end()))
            continue
        words.append(Word("O" if letter == ":" else letter.upper(), number, value, match.start(), match.end()))
    return _sorted_out(words, unknown)


def _sorted_out(words: list[Word], unknown: list[Word], statements: tuple[Statement, ...] = ()) -> Parts:
    """Parts with the block number, the program number and the wrapper mark in their own places."""
    number = program = None
    percent = bool(unknown) and unknown[0].text == "%" and not (words and words[0].start < unknown[0].start)
    if percent:
        unknown = unknown[1:]
    for index, word in enumerate(words):
        if word.letter == "N":
            number = words.pop(index)
            break
    if words and words[0].letter == "O":
        program = words.pop(0)
    return Parts(tuple(words), tuple(unknown), (), 0, number, program, statements, percent)


def _macro_parts(code: str, begin: int) -> Parts:
    """The parts of a line with macro statements; one with a fault is not understood, its block number apart."""
    columns = [i for i in range(begin, len(code)) if code[i] not in BLANKS]
    cursor = Cursor("".join(code[i] for i in columns).upper() if code.isascii() else _upper(code, columns))
    words: list[Word] = []
    statements: list[Statement] = []
    try:
        while cursor.at < len(cursor.text):
            statement = parse_statement(cursor)
            if statement is None:
                words.append(_computed(cursor, columns))
            else:
                statements.append(_placed(statement, columns))
    except MacroSyntaxError:
        head = _HEAD.match(code, begin)
        number = _number_of_head(head) if head else None
        start = next(i for i in columns if number is None or i >= number.end)
        return Parts(unknown=(Word("", code[start : columns[-1] + 1], None, start, columns[-1] + 1),), number=number)
    return _sorted_out(words, [], tuple(statements))


def _upper(code: str, columns: list[int]) -> str:
    """The characters at the columns in upper case, each still one character."""
    return "".join(code[i].upper() if code[i].isascii() else code[i] for i in columns)


def _placed(statement: Statement, columns: list[int]) -> Statement:
    """The statement with the columns of the line."""
    then = tuple(_placed(s, columns) for s in statement.then)
    return statement._replace(start=columns[statement.start], end=columns[statement.end - 1] + 1, then=then)


def _computed(cursor: Cursor, columns: list[int]) -> Word:
    """The word that comes now; its number may be an expression."""
    begin = cursor.at
    letter = cursor.text[begin]
    if not (letter.isascii() and (letter.isalpha() or letter == ":")):
        raise MacroSyntaxError("a letter expected", begin)
    cursor.at += 1
    value = parse_value(cursor)
    start, end = columns[begin], columns[cursor.at - 1] + 1
    letter = "O" if letter == ":" else letter
    plain = [item for item in value.code if item != "neg"]
    if len(plain) == 1 and isinstance(plain[0], float) and "[" not in value.text:
        return Word(letter, value.text, -plain[0] if "neg" in value.code else plain[0], start, end)
    return Word(letter, value.text, None, start, end, value)
