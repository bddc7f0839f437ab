"""Waits, zones and holding against the model checker spin: the same codes for every one of many random pairs."""

from __future__ import annotations

import random
from typing import TYPE_CHECKING

import pytest

from support.promela import HUNG, NAMES, compile_model, is_available, search
from support.proofs import demo_machine, explored, models_of, three_channel_machine
from support.random_pairs import random_texts

if TYPE_CHECKING:
    from pathlib import Path

    from gemel.machines.schema import Machine
    from gemel.proving.model import ChannelModel

pytestmark = [
    pytest.mark.spin,
    pytest.mark.skipif(not is_available(), reason="the model checker spin or a C compiler is not installed"),
]

BATCH = 25


@pytest.fixture(scope="module")
def seen() -> set[str]:
    """The codes that the reference has found so far."""
    return set()


@pytest.fixture(scope="module")
def program(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The search, compiled once."""
    return compile_model(tmp_path_factory.mktemp("spin"))


def _found(machine: Machine, models: list[ChannelModel]) -> set[str]:
    """The codes that the model can show, as our own exploration finds them."""
    exploration = explored(machine, models)
    assert exploration.complete
    names = {s.rule.name.replace("-first-part", "") for s in exploration.sightings.all()}
    if exploration.hung:
        names.add(HUNG)
    if all(m.repeats for m in models):
        names -= {"holding:12-turning", "holding:12-piece"}  # the reference has no last pass
    return names & set(NAMES)


@pytest.mark.parametrize("seed", range(12))
def test_two_channels_agree_with_exhaustive_search(seed: int, program: Path, tmp_path: Path, seen: set[str]) -> None:
    """Over random pairs, valid and with faults, our codes are those of the exhaustive search."""
    seen |= _check(seed, ("upper", "lower"), program, tmp_path)


@pytest.mark.parametrize("seed", range(100, 108))
def test_three_channels_agree_with_exhaustive_search(seed: int, program: Path, tmp_path: Path, seen: set[str]) -> None:
    """The same with three channels and waits that name some of them."""
    seen |= _check(seed, ("upper", "lower", "rear"), program, tmp_path)


def test_every_code_was_found_by_the_reference(seen: set[str]) -> None:
    """No rule that the reference tells is without a pair that breaks it; else its agreement would say nothing."""
    assert seen == set(NAMES)


def _check(seed: int, channels: tuple[str, ...], program: Path, folder: Path) -> set[str]:
    """Compares a batch, and gives the codes of the reference."""
    named = len(channels) > 2
    machine = three_channel_machine() if named else demo_machine()
    rng = random.Random(seed)  # noqa: S311 # a fixed sequence is wanted
    texts = [random_texts(rng, channels, names=named) for _ in range(BATCH)]
    pairs = [models_of(machine, t) for t in texts]
    reference = search(program, pairs, folder)
    assert reference, "the reference has found nothing at all"
    for number, (text, models) in enumerate(zip(texts, pairs, strict=True)):
        assert _found(machine, models) == reference.get(number, set()), f"seed {seed} pair {number}: {text}"
    return set().union(*reference.values())
