"""A body from elsewhere inside a pair of the demo shop: explained, recorded, and refused where it does not belong."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING

import pytest

from gemel.findings import Findings
from gemel.history import digest
from gemel.shop import pipeline
from gemel.shop.layout import Shop
from gemel.shop.targets import Target
from gemel.writing import explain_line
from support.demo import ROOT

if TYPE_CHECKING:
    from pathlib import Path

BODY = "families/posted/valve-stem-60-rough.nc"


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    """A copy of the demo shop's families and templates."""
    for folder in ("families", "templates"):
        shutil.copytree(ROOT / folder, tmp_path / folder)
    return Shop(tmp_path)


def _task(shop: Shop, member: str, machine: str | None = None, *, prove: bool = False) -> pipeline.Task:
    [task] = pipeline.tasks(shop, Target("valve-stem", (member,)), machine, prove=prove)
    return task


def test_every_word_of_the_body_is_explained_by_file_and_line(shop: Shop) -> None:
    """`why` names the posted file and the line in it, for each block that came from there."""
    made = pipeline.render(_task(shop, "60"))
    program = made.channels["valve-stem-60.lower.nc"]
    assert program.map is not None
    posted = (shop.root / BODY).read_text(encoding="ascii").splitlines()
    lines = program.text.splitlines()
    found = 0
    for number, line in enumerate(lines, 1):
        for word in explain_line(program.map, number):
            if not word.copied.startswith(BODY):
                continue
            found += 1
            there = posted[int(word.copied.rpartition(":")[2]) - 1].upper().replace(" ", "").replace("+", "")
            assert word.word.replace(" ", "").strip("()") in there, line
    assert found > 40


def test_other_members_are_made_by_the_process(shop: Shop) -> None:
    """The body stands for one member; the others have no word of it."""
    made = pipeline.render(_task(shop, "75"))
    program = made.channels["valve-stem-75.lower.nc"]
    assert program.map is not None
    reasons = [w for n in range(1, program.text.count("\n") + 1) for w in explain_line(program.map, n)]
    assert not [word for word in reasons if word.copied.startswith(BODY)]


def test_the_pair_passes_the_proof_and_its_record_holds_the_body(shop: Shop) -> None:
    """The record names the posted file with the digest of its bytes."""
    made = pipeline.make(_task(shop, "60", prove=True))
    assert not [finding for finding in made.findings if finding.is_error]
    assert made.record is not None
    assert made.record.inputs[BODY] == digest((shop.root / BODY).read_bytes())


def test_a_changed_body_changes_the_program(shop: Shop) -> None:
    """A word changed in the posted file is the same word changed in the program, and nothing else but the stamp."""
    before = pipeline.render(_task(shop, "60")).channels["valve-stem-60.lower.nc"].text.splitlines()
    path = shop.root / BODY
    path.write_text(path.read_text().replace("f.18", "f.15"))
    after = pipeline.render(_task(shop, "60")).channels["valve-stem-60.lower.nc"].text.splitlines()
    changed = [(old, new) for old, new in zip(before, after, strict=True) if old != new and "STAMP" not in old]
    assert changed == [("G1 Z-41.80 F.18", "G1 Z-41.80 F.15")]


def test_a_spoiled_body_stops_the_pair_with_its_own_line(shop: Shop) -> None:
    """The finding is in the posted file, not in the family."""
    path = shop.root / BODY
    path.write_text(path.read_text().replace("g1 z-25.8", "m69"))
    with pytest.raises(Findings) as caught:
        pipeline.render(_task(shop, "60"))
    assert [(f.name, f.labels[0].span.source, f.labels[0].span.line) for f in caught.value.findings] == [
        ("body:forbidden", BODY, 19)
    ]


def test_on_the_other_machine_the_body_is_refused(shop: Shop) -> None:
    """It was posted for one machine; on another its words mean other things."""
    with pytest.raises(Findings) as caught:
        pipeline.render(_task(shop, "60", "inch-duplex"))
    assert {finding.rule for finding in caught.value.findings} == {"body"}
