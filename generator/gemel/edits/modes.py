"""Which mode is in force at a block: the last code of a kind at or before it, found by searching back."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from gemel.edits.normal import Normal
    from gemel.reading.dialect import Dialect, Function

__all__ = ["Modes"]


class Modes:
    """The modes of one text. What was found once is not searched again."""

    def __init__(self, normal: Normal, dialect: Dialect) -> None:
        self._blocks = normal.blocks
        self._dialect = dialect
        self._patterns: dict[str, tuple[re.Pattern[bytes], dict[bytes, Function]]] = {}
        self._found: dict[str, list[tuple[int, Function | None]]] = {}

    def at(self, block: int, kind: str) -> Function | None:
        """The function of this kind in force in a block, its own codes included; that of the start without any."""
        pattern, functions = self._pattern(kind)
        known = self._found.setdefault(kind, [])
        function: Function | None
        for at in range(min(block, len(self._blocks) - 1), -1, -1):
            codes = pattern.findall(self._blocks[at])
            if codes:
                function = functions[codes[-1]]
                break
            # Edits come in the order of the text: the search ends where the one before began.
            if known and known[-1][0] == at:
                function = known[-1][1]
                break
        else:
            function = next((f for f in self._dialect.start if f.kind == kind), None)
        known.append((block, function))
        return function

    def _pattern(self, kind: str) -> tuple[re.Pattern[bytes], dict[bytes, Function]]:
        if kind not in self._patterns:
            functions = {
                key[1:].encode(): f for key, f in self._dialect.codes.items() if f.kind == kind and key[0] == "G"
            }
            numbers = b"|".join(re.escape(n) for n in sorted(functions, key=len, reverse=True)) or b"(?!)"
            self._patterns[kind] = re.compile(rb"G0*(%s)(?![\d.])" % numbers), functions
        return self._patterns[kind]
