"""The programs as they lie in `output/`, against a parser from the registry (`test_parser` has both machines)."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from pygcode.words import text2words

from gemel.reading import read, write
from support.demo import ROOT

if TYPE_CHECKING:
    from pathlib import Path

FILES = sorted((ROOT / "output").rglob("*.nc"))


def _code(line: str) -> str:
    """A line without its comment, its wrapper mark and its program number."""
    code = line.partition("(")[0] + line.rpartition(")")[2] if "(" in line else line
    return "" if code.lstrip("% ")[:1] in {"O", ":"} else code.strip("% \r")


@pytest.mark.parametrize("file", FILES, ids=[str(file.relative_to(ROOT)) for file in FILES])
def test_words_and_values(file: Path) -> None:
    """Block by block the same letters and the same numbers, nothing not understood, and the file's own bytes again."""
    data = file.read_bytes()
    program = read(data, file.name)
    assert write(program) == data
    rows = data.decode("ascii").splitlines()
    assert len(rows) == len(program)
    compared = 0
    for row, block in zip(rows, program, strict=True):
        parts = block.parts
        if parts.program is not None:
            continue
        words = [*([parts.number] if parts.number else []), *parts.words]
        code = _code(row)
        theirs = [(word.letter, float(word.value)) for word in text2words(code)] if code else []
        assert [(word.letter, word.value) for word in words] == theirs, row
        assert parts.unknown == (), row
        compared += len(words)
    assert compared > 20
