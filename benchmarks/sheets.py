"""How long sheets, charts and PDF of all demo pairs take, on one core, against what reading the same programs takes.

Ours: proof, timeline, cuts, sheet, chart, PDF of the sheet, from pairs that are rendered already.
Against: reading the same bytes alone: blocks, words, the run of each channel.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from benchmarks.side_by_side import HEAD, Figure, compare

from gemel.families.tool_plan import tool_plan
from gemel.machines.dialect import dialect_of
from gemel.reading.blocks import read
from gemel.reading.channel import ChannelText
from gemel.reading.interpret import interpret
from gemel.shop import inputs, pipeline
from gemel.shop.layout import Shop
from gemel.shop.make_sheet import SheetTask, make_sheet, programs_of
from gemel.shop.targets import Target

if TYPE_CHECKING:
    from gemel.shop.pipeline import Rendered

ROOT = Path(__file__).parents[1]


def _read(made: Rendered) -> None:
    for channel, (name, data) in programs_of(made).items():
        interpret(ChannelText(dialect_of(made.loaded.machine, channel), (read(data, name),)))


def measure() -> Figure:
    """All demo pairs; loading the families is outside of both, rendering the programs inside of ours."""
    shop = Shop(ROOT)
    names = shop.family_names()
    families = [inputs.load(shop, name).family for name in names]
    plan = tool_plan(families[0].machine, families)
    tasks = [t for name in names for t in pipeline.tasks(shop, Target(name, None), None, prove=False)]
    pairs = [pipeline.render(task) for task in tasks]

    def ours() -> None:
        for task in tasks:
            made = make_sheet(SheetTask(task, plan, pdf=True))
            assert made.about is not None, made.findings

    def theirs() -> None:
        for made in pairs:
            _read(made)

    said = (f"sheets, charts, PDF of {len(tasks)} pairs", "reading the programs alone")
    return compare(said, ours, theirs, goal=12.0, rounds=5)


if __name__ == "__main__":
    print(HEAD, measure().row(), sep="\n")
