"""The mark that sending puts behind the program number, where the control's own list of programs shows it.

`O1202 (PORT-BLOCK 35 UPPER) (NOT RELEASED)`: no line is added, so that line numbers stay. A copy that comes back bears
it still; it is gemel's, never an edit.
"""

from __future__ import annotations

import re

__all__ = ["NOT_RELEASED", "RELEASED", "marked", "without_mark"]

RELEASED, NOT_RELEASED = "RELEASED", "NOT RELEASED"
_NUMBER = rb"(?:\A|(?<=[\r\n%]))[ \t\0]*(?:[Nn][0-9 ]*)?[Oo:][ \t]*[0-9]{1,8}(?![0-9.])[^\r\n]*"
_PROGRAM = re.compile(_NUMBER)
_MARK = re.compile(rb"[ \t]*[(;][ \t]*(?:NOT[ \t]*)?RELEASED[ \t]*\)?(?=[ \t\0]*\Z)", re.IGNORECASE)


def marked(data: bytes, word: str, comment: tuple[str, str]) -> bytes:
    """The program with the mark `word` behind its program number, instead of the one that may stand there.

    Args:
        data: the program; without a program number it stays as it is.
        word: `RELEASED` or `NOT_RELEASED`.
        comment: start and end of a comment on the machine.
    """
    plain = without_mark(data)
    line = _PROGRAM.search(plain)
    if line is None:
        return plain
    mark = f" {comment[0]}{word}{comment[1]}".encode("ascii")
    return plain[: line.end()] + mark + plain[line.end() :]


def without_mark(data: bytes) -> bytes:
    """The program without the mark, every other byte as it was."""
    line = _PROGRAM.search(data)
    mark = _MARK.search(line[0]) if line else None
    if line is None or mark is None:
        return data
    return data[: line.start() + mark.start()] + data[line.start() + mark.end() :]
