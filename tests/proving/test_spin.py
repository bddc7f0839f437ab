"""Waits, zones and holding against the model checker spin: the same codes for every one of many random pairs."""

from __future__ import annotations

import random
from typing import TYPE_CHECKING

import pytest

from support.promela import HUNG, NAMES, is_available, promela, run_spin
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

BATCH = 12


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


def _batch(seed: int, channels: tuple[str, ...]) -> tuple[Machine, list[dict[str, str]]]:
    rng = random.Random(seed)  # noqa: S311 # a fixed sequence is wanted
    named = len(channels) > 2
    machine = three_channel_machine() if named else demo_machine()
    return machine, [random_texts(rng, channels, names=named) for _ in range(BATCH)]


@pytest.mark.parametrize("seed", range(15))
def test_two_channels_agree_with_exhaustive_search(seed: int, tmp_path: Path) -> None:
    """Over random pairs, valid and with faults, our codes are those of the exhaustive search."""
    _check(seed, ("upper", "lower"), tmp_path)


@pytest.mark.parametrize("seed", range(100, 112))
def test_three_channels_agree_with_exhaustive_search(seed: int, tmp_path: Path) -> None:
    """The same with three channels and waits that name some of them."""
    _check(seed, ("upper", "lower", "rear"), tmp_path)


def _check(seed: int, channels: tuple[str, ...], folder: Path) -> None:
    machine, texts = _batch(seed, channels)
    pairs = [models_of(machine, t) for t in texts]
    reference = run_spin(promela(pairs), folder)
    assert reference, "the reference has found nothing at all"
    for number, (text, models) in enumerate(zip(texts, pairs, strict=True)):
        assert _found(machine, models) == reference.get(number, set()), f"seed {seed} pair {number}: {text}"
