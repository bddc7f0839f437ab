"""Whose program is this: what a copy says about itself, whatever the control did to its text.

A control renumbers blocks, drops blanks, puts all in capitals, cuts comments to 32 characters or drops them, adds
leaders and odd line ends, writes several programs into one file. What survives is looked at in this order: the stamp
of a known baseline anywhere in the text, the program number, the name behind it; at last the words of the program.
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from gemel.reading.blocks import read

if TYPE_CHECKING:
    from collections.abc import Container, Iterable, Mapping

    from gemel.machines.schema import Machine

__all__ = ["Piece", "is_called", "likeness", "pieces_of", "stamps_in", "title_names", "words_of"]

_PROGRAM = re.compile(rb"[ \t\0\x7f%]*(?:[Nn][ \t]*[0-9][0-9 \t]*)?[Oo:][ \t]*[0-9]")
_DIGITS = re.compile(r"(?=([0-9A-F]{10}))")
_STAMP = re.compile(r"GEMEL[^()\r\n]{0,40}?STAMP[^0-9A-F()\r\n]*([0-9A-F]{4,10})")
_WORD = re.compile(r"([A-Z])([+-]?)0*([0-9]*)(?:\.([0-9]*?)0*)?(?![0-9.])")
_COMMENTS = re.compile(r"\([^()\r\n]*\)?|;[^\r\n]*")
_HEAD_LINES = 40


@dataclass(frozen=True, slots=True)
class Piece:
    """One program in a file.

    Attributes:
        offset: where it begins in the file, in bytes.
        data: its bytes; those of all pieces together are the file.
        number: its program number; None without one.
        comments: those of its first lines, capitals without blanks and signs.
    """

    offset: int
    data: bytes
    number: int | None
    comments: tuple[str, ...]

    @property
    def text(self) -> str:
        """Its characters in capitals, for looking into."""
        return self.data.decode("latin-1").upper()


def pieces_of(data: bytes) -> list[Piece]:
    """The programs in a file, in order; a file without any program number is one piece."""
    program = read(data)
    starts = [0]
    for index in range(len(program)):
        starts.append(starts[-1] + len(program.raw(index)))
    heads = []
    for index in program.lines_like(_PROGRAM):
        word = program[index].parts.program
        if word is not None and word.value is not None and word.value == int(word.value):
            heads.append((index, int(word.value)))
    cuts = [0, *(index for index, _ in heads[1:]), len(program)]
    numbers: list[int | None] = [number for _, number in heads]
    pieces = []
    for first, after, number in zip(cuts[:-1], cuts[1:], numbers or [None], strict=True):
        rows = (program[i] for i in range(first, min(after, first + _HEAD_LINES)))
        comments = tuple(_squeezed(c.text) for row in rows for c in row.parts.comments)
        pieces.append(Piece(starts[first], data[starts[first] : starts[after]], number, comments))
    return pieces


def _squeezed(text: str) -> str:
    return "".join(c for c in text.upper() if c.isalnum())


def is_called(piece: Piece, before: Piece, machine: Machine) -> bool:
    """Whether a program that follows directly on another one in a file is a subprogram that the other calls."""
    if piece.number is None or piece.offset != before.offset + len(before.data):
        return False
    call = re.compile(f"P0*{piece.number}(?![0-9.])")
    rows = (row.replace(" ", "") for row in before.text.splitlines())
    return any(str(machine.codes.program.call) in row and call.search(row) for row in rows)


def stamps_in(piece: Piece, known: Container[str]) -> set[str]:
    """Stamps of known baselines that stand anywhere in the text; else what a cut comment left of one."""
    text = piece.text
    whole = {m[1] for m in _DIGITS.finditer(text) if m[1] in known}
    return whole or {m[1] for m in _STAMP.finditer(text)}


def title_names(piece: Piece, name: str, channels: Iterable[str]) -> str | None:
    """The channel that the header gives to a pair of this name; empty for the pair alone, None for another pair.

    Args:
        piece: the program.
        name: family and member.
        channels: of the machine.
    """
    wanted = _squeezed(name)
    found = None
    for comment in piece.comments:
        if not comment.startswith(wanted):
            continue
        rest = comment.removeprefix(wanted)
        for channel in channels:
            if rest.startswith(_squeezed(channel)) or (len(rest) >= 3 and _squeezed(channel).startswith(rest)):
                return channel
        found = "" if not rest or not rest[0].isdigit() else found
    return found


def words_of(data: bytes) -> Counter[str]:
    """How often each word stands in a program, however it is spelled; comments and block numbers left out."""
    text = _COMMENTS.sub(" ", data.decode("latin-1").upper())
    text = "".join(c for c in text if c not in " \t\0\x7f")
    words = (f"{m[1]}{m[2] if m[2] == '-' else ''}{m[3]}.{m[4] or ''}" for m in _WORD.finditer(text))
    return Counter(word for word in words if word[0] not in "NO")


def likeness(one: Mapping[str, int], other: Mapping[str, int]) -> float:
    """How much of the longer program's words stands in the other too, 0 to 1."""
    larger = max(sum(one.values()), sum(other.values()))
    common = sum(min(count, other.get(word, 0)) for word, count in one.items())
    return common / larger if larger else 1.0
