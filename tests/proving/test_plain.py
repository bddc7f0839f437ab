"""Proofs against a plain prover that was written from docs/proving.md alone and reduces nothing."""

from __future__ import annotations

import random
from typing import TYPE_CHECKING

import pytest

from support.plain import PlainProver
from support.proofs import demo_machine, proof, three_channel_machine
from support.random_pairs import random_texts

if TYPE_CHECKING:
    from gemel.machines.schema import Machine
    from gemel.proving import Fault, Verdict

_TEXT_ALONE = {"waits:count", "waits:not-rising", "waits:range", "waits:below-before-first"}
"""Rules that no interleaving is needed for; `words` and `limits` are others."""

_TWO = [("two", seed) for seed in range(12)]
_THREE = [("three", seed) for seed in range(100, 112)]


def _of_interleavings(verdict: Verdict) -> dict[tuple[str, frozenset[tuple[str, int]]], Fault]:
    """The findings that interleavings show, by code and lines."""
    return {
        (f.name, frozenset((label.channel, label.span.line) for label in f.labels)): f
        for f in verdict.findings
        if f.rule not in {"words", "limits"} and f.name not in _TEXT_ALONE and "skip-" not in f.code
    }


@pytest.mark.parametrize(("channels", "seed"), [*_TWO, *_THREE])
def test_findings_and_traces_are_those_of_the_plain_prover(channels: str, seed: int) -> None:
    """Over random programs: the same codes at the same lines, by traces as short as any, and every trace replays."""
    three = channels == "three"
    machine = three_channel_machine() if three else demo_machine()
    names = ("upper", "lower", "rear") if three else ("upper", "lower")
    rng = random.Random(seed)  # noqa: S311 # a fixed sequence is wanted
    for _ in range(3 if three else 8):
        _compare(machine, random_texts(rng, names, names=three))


def _compare(machine: Machine, texts: dict[str, str]) -> None:
    """Holds a proof against the plain prover, with `/` blocks run and skipped."""
    found = _of_interleavings(proof(machine, **texts))
    plain = PlainProver(machine, texts)
    _same({k: f for k, f in found.items() if not f.skipped}, plain, set(plain.found), texts)
    if "/" in "".join(texts.values()):
        skipping = PlainProver(machine, texts, skip=True)
        _same({k: f for k, f in found.items() if f.skipped}, skipping, set(skipping.found) - set(plain.found), texts)


def _same(
    ours: dict[tuple[str, frozenset[tuple[str, int]]], Fault],
    plain: PlainProver,
    theirs: set[tuple[str, frozenset[tuple[str, int]]]],
    texts: dict[str, str],
) -> None:
    assert set(ours) == theirs, texts
    for key, fault in ours.items():
        assert len(fault.trace) == plain.found[key], (key, texts)
        assert plain.shows(fault.trace, *key), (key, fault.trace, texts)
