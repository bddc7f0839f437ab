"""What controls and transfers do to a text without changing what it means."""

from __future__ import annotations

import re
from random import Random
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

__all__ = ["MANNERS", "in_manner", "seeded"]

_COMMENT = re.compile(r"\([^()]*\)|;.*$")
_SEQUENCE = re.compile(r"^(/?)N\d+ ?")
_NUMBER = re.compile(r"(?<=[A-Z])(-?)(\d*)\.(\d*)")
_PIECE = re.compile(r"[ \t]*/?[A-Za-z]?[^A-Za-z \t]+|[ \t]*[A-Za-z]")
_WORD = re.compile(r"[A-Z][-+.\d]+")


def seeded(seed: int) -> Random:
    """Chance that is the same every time."""
    return Random(seed)  # noqa: S311 # chance for tests, not for secrets


def _outside(row: str, change: Callable[[str], str]) -> str:
    """A row with `change` made to everything but its comments."""
    pieces = []
    at = 0
    for match in _COMMENT.finditer(row):
        pieces += [change(row[at : match.start()]), match.group()]
        at = match.end()
    return "".join([*pieces, change(row[at:])])


def _renumbered(rows: list[str], random: Random) -> list[str]:
    step = random.choice([1, 5, 10])
    bare = [_SEQUENCE.sub(r"\1", row) for row in rows]
    return [f"N{(i + 1) * step} {row}" if _is_block(row) else row for i, row in enumerate(bare)]


def _is_block(row: str) -> bool:
    return bool(row) and row[0] not in "%(/O;"


def _unnumbered(rows: list[str], random: Random) -> list[str]:  # noqa: ARG001 # one shape for all
    return [_SEQUENCE.sub(r"\1", row) for row in rows]


def _squeezed(rows: list[str], random: Random) -> list[str]:  # noqa: ARG001 # one shape for all
    return [_outside(row, lambda piece: piece.replace(" ", "")) for row in rows]


def _spread(rows: list[str], random: Random) -> list[str]:
    return [_outside(row, lambda piece: piece.replace(" ", "  " if random.random() < 0.5 else "\t")) for row in rows]


def _small(rows: list[str], random: Random) -> list[str]:  # noqa: ARG001 # one shape for all
    return [row.lower() for row in rows]


def _cut(rows: list[str], random: Random) -> list[str]:  # noqa: ARG001 # one shape for all
    """A control that keeps 32 characters of a comment, its brackets among them."""

    def cut(match: re.Match[str]) -> str:
        text = match.group()
        return text if len(text) <= 32 else text[:31] + text[-1] if text[0] == "(" else text[:32]

    return [_COMMENT.sub(cut, row) for row in rows]


def _bare(rows: list[str], random: Random) -> list[str]:  # noqa: ARG001 # one shape for all
    """Comments of more than the header's kind are lost, but for those that a person has just typed."""
    kept = ("TRIED", "OK", "CHECK", "NEW")
    return [_COMMENT.sub(lambda m: m.group() if m.group()[1:].startswith(kept) else "", row).rstrip() for row in rows]


def _zeros(rows: list[str], random: Random) -> list[str]:  # noqa: ARG001 # one shape for all
    def longer(match: re.Match[str]) -> str:
        return f"{match[1]}{match[2] or '0'}.{match[3].ljust(3, '0')}"

    return [_outside(row, lambda piece: _NUMBER.sub(longer, piece)) for row in rows]


def _short(rows: list[str], random: Random) -> list[str]:  # noqa: ARG001 # one shape for all
    def shorter(match: re.Match[str]) -> str:
        whole = "" if match[2] == "0" and match[3] else match[2]
        return f"{match[1]}{whole}.{match[3]}"

    return [_outside(row, lambda piece: re.sub(r"(?<=[GM])0(?=\d)", "", _NUMBER.sub(shorter, piece))) for row in rows]


def _signed(rows: list[str], random: Random) -> list[str]:
    def plus(match: re.Match[str]) -> str:
        return f"{match[0]}+" if random.random() < 0.3 else match[0]

    return [_outside(row, lambda piece: re.sub(r"[XZY](?=[\d.])", plus, piece)) for row in rows]


def _shuffled(rows: list[str], random: Random) -> list[str]:
    """Words of some blocks in another order; the sequence number and a block skip stay in front."""
    found = []
    for row in rows:
        words = row.split(" ")
        plain = all(_WORD.fullmatch(word) and word[0] not in "NO" for word in words)
        if plain and random.random() < 0.2:
            random.shuffle(words)
        found.append(" ".join(words))
    return found


def _wrapped(rows: list[str], random: Random) -> list[str]:
    """Blocks longer than the display are broken before the word that does not fit."""
    width = random.choice([18, 20, 24])
    found: list[str] = []
    for row in rows:
        if "(" in row or ";" in row or not row or row[0] in "%O:":
            found.append(row)
            continue
        line = ""
        for word in _PIECE.findall(row):
            if line and len(line) + len(word) > width:
                found.append(line)
                line = word.lstrip()
            else:
                line += word
        found.append(line)
    return found


MANNERS: dict[str, Callable[[list[str], Random], list[str]]] = {
    "2 shuffled": _shuffled,
    "3 signed": _signed,
    "4 zeros": _zeros,
    "4 short": _short,
    "5 renumbered": _renumbered,
    "5 unnumbered": _unnumbered,
    "6 cut": _cut,
    "6 bare": _bare,
    "7 squeezed": _squeezed,
    "7 spread": _spread,
    "8 small": _small,
    "9 wrapped": _wrapped,
}
"""What may be done to the rows of a text, in the order of their names."""


def in_manner(text: bytes, manners: Sequence[str], random: Random) -> bytes:
    """The text as a control with these manners gives it out."""
    rows = text.decode("latin-1").replace("\r\n", "\n").split("\n")
    for manner in sorted(manners):
        rows = MANNERS[manner](rows, random)
    end = random.choice(["\n", "\r\n", "\r\r\n"])
    leader = "\0" * random.choice([0, 0, 20])
    return f"{leader}{end.join(rows)}{leader}".encode("latin-1")
