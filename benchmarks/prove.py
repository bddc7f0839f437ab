"""How long a proof takes: against the model checker spin on the same model, and for pairs that grow.

`python -m benchmarks.prove` prints the figures; `python -m benchmarks.prove whole` checks besides, on every mutant of
every demo pair and on thousands of random pairs, what the tests check on samples.
"""

from __future__ import annotations

import gc
import random
import sys
import tempfile
from pathlib import Path
from time import perf_counter, process_time
from typing import TYPE_CHECKING

from benchmarks.side_by_side import HEAD, Figure, compare

_TESTS = Path(__file__).parents[1] / "tests"
sys.path.insert(0, str(_TESTS))

from support.demo_pairs import demo_members, demo_pair  # noqa: E402 # the tests' own support, found above
from support.mutants import Subject, mutants  # noqa: E402 # the same
from support.plain import PlainProver  # noqa: E402 # the same
from support.promela import compile_model, is_available, search  # noqa: E402 # the same
from support.proofs import demo_machine, explored, models_of, proof, three_channel_machine  # noqa: E402 # the same
from support.random_pairs import random_texts  # noqa: E402 # the same

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.machines.schema import Machine

__all__ = ["is_available", "measure"]

_MACHINES = ("twin-turnmill", "inch-duplex")
_GOAL_MS = 50.0
_GO_S = 1.0
_LINEAR = 4.4
_TEXT_ALONE = {"waits:count", "waits:not-rising", "waits:range", "waits:below-before-first"}


def _seconds(machine: Machine, texts: Mapping[str, str], goes: int = 15) -> float:
    """Processor time of the fastest of many proofs: read, interpreted, explored, worded."""
    times = []
    for _ in range(goes):
        gc.collect()
        begun = process_time()
        proof(machine, **texts)
        times.append(process_time() - begun)
    return min(times)


def measure() -> Figure:
    """A hundred searches of a demo pair's interleavings, against one by spin with its compile, of the same model.

    The pair is the one with most states. Compiled with -O2, as a model is whose search is to be quick.
    """
    machine, texts = demo_pair("twin-turnmill", "sensor-collar", "16")
    models = models_of(machine, texts)

    def theirs() -> None:
        with tempfile.TemporaryDirectory() as place:
            search(compile_model(Path(place), "-O2"), [models], Path(place))

    def ours() -> None:
        for _ in range(100):
            explored(machine, models)

    return compare(("search a pair 100 times", "spin, once, with its compile"), ours, theirs, goal=1.0, rounds=3)


def demo_pairs() -> None:
    """One pair of each family for each machine: time, and how much of it enters the search."""
    for name in _MACHINES:
        first = dict(reversed(demo_members(name)))
        for family, member in sorted(first.items()):
            machine, texts = demo_pair(name, family, member)
            verdict, taken = proof(machine, **texts), _seconds(machine, texts)
            changing, blocks = (sum(counts) for counts in zip(*verdict.nodes.values(), strict=True))
            what = f"{changing} of {blocks} blocks change shared state, {verdict.states} states"
            _say(f"prove {name} {family}-{member}", taken * 1000, _GOAL_MS, f"ms, {what}")


def _staged(stages: int, shared: int, plain: int) -> dict[str, str]:
    """A pair of that many stages, each with blocks that change shared state and blocks that touch none."""
    upper, lower = ["G21 G18 G40 G80"], ["G21 G18 G40 G80"]
    rest = ["G00 X300.", "G00 X310."] * (plain // 2)
    for number in range(stages):
        upper += [f"M{701 + number}", *(["M145", "M146", "M189", "M190"] * shared)[:shared], *rest]
        lower += [f"M{701 + number}", *(["M73", "M74", "M45", "M46"] * shared)[:shared], *rest]
    return {"upper": "\n".join([*upper, "M30", ""]), "lower": "\n".join([*lower, "M30", ""])}


def growth() -> None:
    """Stages and shared blocks; and blocks that touch no shared state, which add no states and time in proportion."""
    machine = demo_machine()
    texts = _staged(40, 30, 0)
    taken, states = _seconds(machine, texts, 3), proof(machine, **texts).states
    _say("prove 40 waits with 30 shared blocks a stage", taken * 1000, _GO_S * 1000, f"ms, {states} states")
    few, many = (_staged(10, 10, plain) for plain in (1000, 4000))
    ratio = _seconds(machine, many, 3) / _seconds(machine, few, 3)
    of_few, of_many = proof(machine, **few).states, proof(machine, **many).states
    _say(
        "prove 4 times the blocks that touch nothing", ratio, _LINEAR, f"times the time, {of_few} and {of_many} states"
    )


def _say(what: str, figure: float, goal: float, unit: str) -> None:
    print(f"{what}: {figure:.2f} {unit} (goal {goal:g}, {'met' if figure <= goal else 'MISSED'})", flush=True)


def whole() -> int:
    """Every mutant of every demo pair, and many random pairs; how many faults there were."""
    faults = 0
    for name in _MACHINES:
        for family, member in demo_members(name):
            begun, count = perf_counter(), 0
            subject = Subject(*demo_pair(name, family, member))
            for mutant in mutants(subject):
                count += 1
                if subject.fate(mutant) == (set(), ""):
                    faults += 1
                    print(f"MISSED {name} {family}-{member}: {mutant.words}")
            print(f"{name} {family}-{member}: {count} mutants in {perf_counter() - begun:.1f} s", flush=True)
    return faults + _random_pairs(2000, three=False) + _random_pairs(500, three=True)


def _random_pairs(count: int, *, three: bool) -> int:
    """How many random pairs are proved otherwise than by the plain prover."""
    machine = three_channel_machine() if three else demo_machine()
    names = ("upper", "lower", "rear") if three else ("upper", "lower")
    rng = random.Random(f"{count} {three}")  # noqa: S311 # a fixed sequence is wanted
    faults = 0
    for _ in range(count):
        texts = random_texts(rng, names, names=three)
        found = [f for f in proof(machine, **texts).findings if f.rule not in {"words", "limits"} and not f.skipped]
        ours = {
            (f.name, frozenset((label.channel, label.span.line) for label in f.labels)): len(f.trace)
            for f in found
            if f.name not in _TEXT_ALONE and "skip-" not in f.code
        }
        if ours != PlainProver(machine, texts).found:
            faults += 1
            print(f"OTHERWISE {texts}")
    print(f"{count} random pairs of {len(names)} channels against the plain prover: {faults} otherwise", flush=True)
    return faults


if __name__ == "__main__":
    if is_available():
        print(HEAD, measure().row(), sep="\n", flush=True)
    demo_pairs()
    growth()
    sys.exit(int(len(sys.argv) > 1 and whole() > 0))
