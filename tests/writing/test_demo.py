"""The demo shop's own programs: every word of every pair explained."""

from __future__ import annotations

from pathlib import Path

import pytest

from gemel.numbers import Number, Source, leaves
from gemel.shop.layout import Shop
from gemel.shop.pipeline import render, tasks
from gemel.shop.targets import Target
from gemel.writing import explain_line

ROOT = Path(__file__).parents[2]
FAMILIES = sorted(path.stem for path in (ROOT / "families").glob("*.yaml") if not path.stem.endswith(".edits"))


@pytest.mark.parametrize("family", FAMILIES)
def test_every_word_of_the_demo_programs_is_explained(family: str) -> None:
    """Each word has leaves, a scalar that it was copied from, or a template line, and stands where the map says."""
    [first, *_] = tasks(Shop(ROOT), Target(family, None), None, prove=False)
    made = render(first)
    assert not made.findings
    for program in made.channels.values():
        assert program.map is not None
        for number, line in enumerate(program.text.splitlines(), 1):
            reasons = explain_line(program.map, number)
            assert line.replace(" ", "") == "".join(w.text for w in program.map.line(number)).replace(" ", "")
            assert all(line[reason.start : reason.end] == reason.word for reason in reasons)
            assert all(reason.leaves or reason.copied or reason.template for reason in reasons)


@pytest.mark.parametrize("family", FAMILIES)
def test_leaves_stand_in_the_shop_s_files_as_written(family: str) -> None:
    """Every leaf that names a line of a file is the text that stands there."""
    [first, *_] = tasks(Shop(ROOT), Target(family, None), None, prove=False)
    files: dict[str, list[str]] = {}
    checked: set[Source] = set()
    for program in render(first).channels.values():
        assert program.map is not None
        for number in range(1, program.text.count("\n") + 1):
            values = [piece.value for word in program.map.line(number) for piece in word.pieces]
            found = [leaf for value in values if isinstance(value, Number) for leaf in leaves(value)]
            checked.update(leaf for leaf in found if isinstance(leaf, Source))
    assert checked
    for leaf in checked:
        if leaf.file not in files:
            files[leaf.file] = (ROOT / leaf.file).read_text(encoding="utf-8").split("\n")
        assert files[leaf.file][leaf.line - 1][leaf.column :].lstrip("\"'").startswith(leaf.text)
