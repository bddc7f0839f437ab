"""Parts that are cut alike bear one stamp; number and name tell them apart, and nothing is guessed."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from gemel.cli import main as boundary
from gemel.history import PairName
from support.at_control import MACHINE, PAIR, codes, program, take

if TYPE_CHECKING:
    from pathlib import Path

TWIN = PairName(MACHINE, "block", "20")


@pytest.fixture
def alike(real_shop: Path) -> Path:
    """A second family whose member 20 is cut exactly as that of the first."""
    text = (real_shop / "families/port-block.yaml").read_text()
    text = text.replace("family: port-block", "family: block").replace("program: 120", "program: 220")
    (real_shop / "families/block.yaml").write_text(text)
    assert boundary.run(["write", "block/20"]) == 0
    return real_shop


def twin(shop: Path) -> bytes:
    return (shop / f"{TWIN.folder}/block-20.lower.nc").read_bytes()


def stamp_of(data: bytes) -> bytes:
    found = re.search(rb"STAMP ([0-9A-F]+)", data)
    assert found
    return found[1]


def test_parts_that_are_cut_alike_bear_one_stamp(alike: Path) -> None:
    """The stamp is taken over the body: the case that the others of this file are about."""
    assert stamp_of(twin(alike)) == stamp_of(program(alike, "lower"))
    assert twin(alike) != program(alike, "lower")


def test_the_program_number_tells_them_apart(alike: Path, tmp_path: Path) -> None:
    """A copy of each, under names that say nothing, goes to its own pair."""
    (tmp_path / "a").write_bytes(twin(alike))
    (tmp_path / "b").write_bytes(program(alike, "lower"))
    result = take(alike, tmp_path / "a", tmp_path / "b")
    assert (codes(result), [one.pair for one in result.taken]) == ([], [TWIN, PAIR])


def test_the_name_tells_them_apart(alike: Path, tmp_path: Path) -> None:
    """The same when the number is one that nobody has."""
    (tmp_path / "a").write_bytes(twin(alike).replace(b"O2201", b"O9999"))
    assert [one.pair for one in take(alike, tmp_path / "a").taken] == [TWIN]


def test_without_number_and_name_it_is_asked_for(alike: Path, tmp_path: Path) -> None:
    """Neither is taken by chance; told, it is that one, compared with its own baseline."""
    data = twin(alike).replace(b"O2201 (BLOCK 20 LOWER)\n", b"O9999\n")
    (tmp_path / "a").write_bytes(data)
    result = take(alike, tmp_path / "a")
    assert (codes(result), result.taken) == (["intake:doubt"], [])
    assert [one.pair for one in take(alike, told=("block/20:lower",)).taken] == [TWIN]


def test_a_number_of_another_pair_speaks_against_the_stamp(real_shop: Path, tmp_path: Path) -> None:
    """A copy of one part saved under another part's number is neither's, until somebody says so."""
    assert boundary.run(["write", "port-block/35"]) == 0
    (tmp_path / "a").write_bytes(program(real_shop, "lower").replace(b"O1201", b"O1202"))
    assert codes(take(real_shop, tmp_path / "a")) == ["intake:doubt"]
