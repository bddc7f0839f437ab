"""How long it takes to measure every cut of the demo pairs, against reading the same programs alone.

Ours: following both channels from wait to wait, the outline of the workpiece, force and power of every cut.
Against: reading: blocks, words and the run of every channel.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from benchmarks.side_by_side import HEAD, Figure, compare

from gemel.cutting.follow import follow
from gemel.machines.dialect import dialect_of
from gemel.proving.facts import facts_of
from gemel.proving.model import build
from gemel.reading import ChannelText, read
from gemel.shop.known_cuts import known_cuts
from gemel.shop.layout import Shop
from gemel.shop.prove_files import machine_of, pair_names, stored_programs

if TYPE_CHECKING:
    from gemel.cutting.facts import CuttingFacts
    from gemel.history.record import PairName

ROOT = Path(__file__).parents[1]
_GOAL = 1.0


def measure() -> Figure:
    """All pairs of the demo; machine file and families are read outside of both."""
    shop = Shop(ROOT)
    pairs = [_pair(shop, name) for name in pair_names(shop)]
    machine = machine_of(shop, pair_names(shop)[0].machine)
    facts = facts_of(machine)
    models = [(build(_texts(programs, name.machine), facts), known) for name, programs, known in pairs]
    return compare(
        (f"cuts of {len(pairs)} pairs", "reading the same programs"),
        lambda: sum(len(follow({m.name: m.steps for m in model}, known, machine).cuts) for model, known in models),
        lambda: sum(len(build(_texts(programs, name.machine), facts)) for name, programs, _ in pairs),
        goal=_GOAL,
        rounds=9,
    )


def _pair(shop: Shop, name: PairName) -> tuple[PairName, dict[str, tuple[str, bytes]], CuttingFacts]:
    machine = machine_of(shop, name.machine)
    cutting = known_cuts(shop, name.machine, name.family, name.member)
    return name, stored_programs(shop, name, machine), cutting


def _texts(programs: dict[str, tuple[str, bytes]], machine: str) -> dict[str, ChannelText]:
    facts = machine_of(Shop(ROOT), machine)
    return {c: ChannelText(dialect_of(facts, c), (read(data, name),)) for c, (name, data) in programs.items()}


if __name__ == "__main__":
    print(HEAD)
    print(measure().row())
