"""What changed between two texts of one program: how many blocks, which first, or comments only."""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["Look", "TextChange", "compare", "difference"]

_SHOWN = 3


@dataclass(frozen=True, slots=True)
class Look:
    """What comments and headers look like on a machine.

    Attributes:
        comment: start and end of a comment; an empty end means to the end of the line.
        header_codes: how many lines of the header hold more than a comment: wrapper and program number.
        encoding: of the program.
    """

    comment: tuple[str, str]
    header_codes: int
    encoding: str


@dataclass(frozen=True, slots=True)
class TextChange:
    """What changed in one program.

    Attributes:
        file: its name.
        kind: `new`, `same`, `header only`, `comments only`, `blocks`.
        blocks: how many blocks are other than before, a block that came and a block that went included.
        first: the first changes, `-` before what stood and `+` before what stands.
    """

    file: str
    kind: str
    blocks: int = 0
    first: tuple[str, ...] = ()

    def shown(self) -> str:
        """`12 blocks changed`, or the kind."""
        if self.kind != "blocks":
            return self.kind
        return f"{self.blocks} block{'' if self.blocks == 1 else 's'} changed"


def compare(file: str, old: bytes | None, new: bytes, look: Look) -> TextChange:
    """What changed from `old` to `new`; no `old` makes it new."""
    if old is None:
        return TextChange(file, "new")
    if old == new:
        return TextChange(file, "same")
    before, after = (_rows(data, look) for data in (old, new))
    changes = list(_changes(before, after))
    blocks = [change for change in changes if any(_code(row, look) for _, row in change)]
    real = [change for change in blocks if not _in_header(change, before, after, look)]
    shown = tuple(row for change in (real or changes) for row in _shown(change))[: 2 * _SHOWN]
    if real:
        return TextChange(file, "blocks", sum(_size(change, look) for change in real), shown)
    header = all(_in_header(change, before, after, look) for change in changes)
    return TextChange(file, "header only" if header else "comments only", 0, shown)


_Change = list[tuple[int, str]]
"""One changed place: rows with their index, negative (from -1) for rows of the old text."""


def _rows(data: bytes, look: Look) -> list[str]:
    return data.decode(look.encoding, "replace").splitlines()


def _changes(before: list[str], after: list[str]) -> Iterator[_Change]:
    for tag, a, b, c, d in difflib.SequenceMatcher(None, before, after, autojunk=False).get_opcodes():
        if tag != "equal":
            yield [(-1 - i, before[i]) for i in range(a, b)] + [(i, after[i]) for i in range(c, d)]


def _code(row: str, look: Look) -> str:
    """The row without comments and blanks."""
    start, end = look.comment
    kept = ""
    while start in row:
        head, _, row = row.partition(start)
        kept += head
        row = row.partition(end)[2] if end else ""
    return "".join((kept + row).split())


def _in_header(change: _Change, before: list[str], after: list[str], look: Look) -> bool:
    ends = _header_end(before, look), _header_end(after, look)
    return all((-1 - i < ends[0]) if i < 0 else (i < ends[1]) for i, _ in change)


def _header_end(rows: list[str], look: Look) -> int:
    codes = 0
    for number, row in enumerate(rows):
        if _code(row, look):
            codes += 1
            if codes > look.header_codes:
                return number
    return len(rows)


def _size(change: _Change, look: Look) -> int:
    old = sum(1 for i, row in change if i < 0 and _code(row, look))
    new = sum(1 for i, row in change if i >= 0 and _code(row, look))
    return max(old, new)


def _shown(change: _Change) -> list[str]:
    return [f"{'-' if i < 0 else '+'} {row}" for i, row in change]


def difference(path: str, old: bytes | None, new: bytes, look: Look) -> str:
    """A unified difference of the two texts, for reading."""
    before = _rows(old, look) if old is not None else []
    name = path if old is not None else "/dev/null"
    rows = difflib.unified_diff(before, _rows(new, look), name, path, lineterm="", n=2)
    return "\n".join(rows)
