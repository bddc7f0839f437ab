"""Every written program read back by a parser that gemel has no part in: the same words, the same coordinates."""

from __future__ import annotations

import math
import re
from functools import cache

import pytest
from pygcode.words import text2words

from gemel.documents import compose, validate
from gemel.machines.dialect import dialect_of
from gemel.machines.schema import Machine
from gemel.reading.blocks import read
from gemel.reading.channel import ChannelText
from gemel.reading.interpret import interpret
from support.demo import IDS, ROOT, demo, names
from support.outside import Block, Reader

pytestmark = pytest.mark.parametrize("name", names(), ids=IDS)


@cache
def machine_of(name: str) -> Machine:
    file = f"templates/{name}/machine.yaml"
    return validate(Machine, compose((ROOT / file).read_text(encoding="utf-8"), file))


def test_every_block_has_the_same_words(name: tuple[str, str, str]) -> None:
    """Letter by letter and number by number, block numbers and program numbers included."""
    for channel, text in demo(*name).texts.items():
        reader = Reader(name[0], channel)
        for block in read(text.encode(), channel):
            code, _ = reader.split(block.text)
            if not code.strip().strip("%") or code.strip()[0] in ":O":
                continue
            parts = block.parts
            mine = ([parts.number] if parts.number else []) + list(parts.words)
            theirs = [(word.letter, float(word.value)) for word in text2words(code.strip())]
            assert [(word.letter, word.value) for word in mine] == theirs, block.text


def test_every_block_ends_where_the_outside_reader_says(name: tuple[str, str, str]) -> None:
    """The two readings agree on the place behind every block, cycles and homing included, to a millionth."""
    for channel, text in demo(*name).texts.items():
        mine = _ends(name[0], channel, text)
        theirs = {block.line: block for block in Reader(name[0], channel).read(text)}
        moved = 0
        for line, end in mine.items():
            if theirs[line].mode:
                moved += 1
                _agree(end, theirs[line])
        assert moved > 10


def _ends(name: str, channel: str, text: str) -> dict[int, tuple[float | None, ...]]:
    """Position behind each block of the first pass, mm."""
    machine = machine_of(name)
    run = interpret(ChannelText(dialect_of(machine, channel), (read(text.encode(), channel),)))
    mm = 25.4 if machine.unit == "inch" else 1.0
    ends: dict[int, tuple[float | None, ...]] = {}
    for step in run.steps:
        if step.motions:
            at = step.motions[-1].end
            ends[step.block.line] = (*(None if v is None else v * mm for v in (at.x_dia, at.y, at.z)), at.c)
    return ends


def _agree(mine: tuple[float | None, ...], block: Block) -> None:
    for own, other in zip(mine, block.end, strict=True):
        if other is not None and own is not None:
            assert math.isclose(own, other, abs_tol=1e-6), (block.text, mine, block.end)
    assert mine[0] is not None
    assert mine[2] is not None


def test_every_letter_with_a_number_is_understood_by_the_machine_file(name: tuple[str, str, str]) -> None:
    """No program holds a code that its machine file does not list."""
    for channel, text in demo(*name).texts.items():
        unknown = {mean for block in Reader(name[0], channel).read(text) for mean in block.means if mean[0] == "?"}
        assert unknown == set()
        assert not re.search(r"[^\r\n\x20-\x7e]", text)
