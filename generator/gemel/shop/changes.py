"""What changed between two texts of one program: what it means, how many blocks are concerned, or every line."""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from typing import TYPE_CHECKING

from gemel.edits.meaning import Meaning, meaning

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.edits.meaning import Text
    from gemel.reading.dialect import Dialect

__all__ = ["Look", "TextChange", "compare", "difference"]


@dataclass(frozen=True, slots=True)
class Look:
    """How the programs of a pair are read.

    Attributes:
        encoding: of all.
        dialects: by file name.
    """

    encoding: str
    dialects: Mapping[str, Dialect]


@dataclass(frozen=True, slots=True)
class TextChange:
    """What changed in one program.

    Attributes:
        file: its name.
        found: what differs from the text before; None for a new program.
    """

    file: str
    found: Meaning | None

    def shown(self) -> str:
        """`new`, `the same`, `12 blocks changed`, `nothing but the header`."""
        if self.found is None:
            return "new"
        if not self.found.changes:
            return self.found.said
        blocks = self.found.changed_blocks
        return f"{blocks} block{'' if blocks == 1 else 's'} changed"


def compare(file: str, old: Text | None, new: Text, look: Look) -> TextChange:
    """What changed from `old` to `new`; no `old` makes it new."""
    return TextChange(file, None if old is None else meaning(old, new, look.dialects[file]))


def difference(path: str, old: bytes | None, new: bytes, look: Look) -> str:
    """A unified difference of the two texts, for reading."""
    before = _rows(old, look) if old is not None else []
    name = path if old is not None else "/dev/null"
    rows = difflib.unified_diff(before, _rows(new, look), name, path, lineterm="", n=2)
    return "\n".join(rows)


def _rows(data: bytes, look: Look) -> list[str]:
    return data.decode(look.encoding, "replace").splitlines()
