"""What a control does to the file of a program that it was given, without anybody having changed the program."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["HABITS", "all_at_once"]

_COMMENT = re.compile(rb"\(([^()\r\n]*)\)")


def _renumbered(data: bytes) -> bytes:
    """Every block that is no header gets a new number, ten apart."""
    rows, number = [], 0
    for row in data.split(b"\n"):
        plain = re.sub(rb"^N\d+ ?", b"", row)
        if plain and plain[:1] not in b"%O(:;":
            number += 10
            plain = b"N%d %s" % (number, plain)
        rows.append(plain)
    return b"\n".join(rows)


def _unnumbered(data: bytes) -> bytes:
    return re.sub(rb"(?m)^N\d+ ?", b"", data)


def _squeezed(data: bytes) -> bytes:
    return data.replace(b" ", b"")


def _lower_case(data: bytes) -> bytes:
    return data.lower()


def _comments_cut(data: bytes) -> bytes:
    return _COMMENT.sub(lambda m: b"(" + m[1][:32] + b")", data)


def _comments_lost(data: bytes) -> bytes:
    return b"\n".join(row for row in _COMMENT.sub(b"", data).split(b"\n") if row.strip())


def _no_wrapper(data: bytes) -> bytes:
    return data.replace(b"%\n", b"").replace(b"%", b"")


def _leader(data: bytes) -> bytes:
    return b"\0" * 60 + data + b"\0" * 60


def _cr_cr_lf(data: bytes) -> bytes:
    return data.replace(b"\n", b"\r\r\n")


def _trailing_zeros(data: bytes) -> bytes:
    return re.sub(rb"(?<=[XZYF])(-?\d+\.\d*)(?=[ \r\n])", lambda m: m[1] + b"0" * (4 - len(m[1].split(b".")[1])), data)


def _wrapped(data: bytes) -> bytes:
    """Blocks longer than twenty characters go on in the next line."""
    rows = []
    for row in data.split(b"\n"):
        words = row.split(b" ")
        if len(row) > 20 and row[:1] not in b"(O%;:" and b"(" not in row:
            rows += [b" ".join(words[:2]), b" ".join(words[2:])]
        else:
            rows.append(row)
    return b"\n".join(row for row in rows if row)


HABITS: dict[str, Callable[[bytes], bytes]] = {
    "renumbered": _renumbered,
    "numbers dropped": _unnumbered,
    "blanks removed": _squeezed,
    "lower case": _lower_case,
    "comments cut": _comments_cut,
    "comments lost": _comments_lost,
    "wrapper lost": _no_wrapper,
    "leader": _leader,
    "CR CR LF": _cr_cr_lf,
    "zeros added": _trailing_zeros,
    "blocks wrapped": _wrapped,
}


def all_at_once(data: bytes) -> bytes:
    """All of it that can happen to one file together."""
    for name in ("renumbered", "comments cut", "zeros added", "blanks removed", "CR CR LF", "leader"):
        data = HABITS[name](data)
    return data
