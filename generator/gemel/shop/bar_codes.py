"""What can be wrong with bars and lots that are asked for."""

from __future__ import annotations

from gemel.findings import Explanation, Severity

__all__ = ["MIXED_STOCK", "NOT_ENOUGH", "NO_PART"]

NOT_ENOUGH = Explanation(
    "bars",
    "not-enough",
    Severity.ERROR,
    what="The bars that are there do not give the lot.",
    why="A machine that runs out of bar in the middle of a shift stands still until somebody notices.",
    example="gemel bars port-block/65 --lot 500 --bar 6000x2",
    remedy="get more bars, or make a smaller lot",
)
NO_PART = Explanation(
    "bars",
    "no-part",
    Severity.ERROR,
    what="A bar is too short for a single part and its remnant, or the feeder takes none that long.",
    why="Such a bar goes through the machine as scrap.",
    example="stock: {shape: round, size: 25, bar: 150, remnant: 120}",
    remedy="correct `stock:` in the family, or `bar_feeder:` in the machine file",
)
MIXED_STOCK = Explanation(
    "bars",
    "mixed-stock",
    Severity.ERROR,
    what="A number of bars was given, but the parts that were named are cut from different stock.",
    why="The same bars would be counted for each of them.",
    example="gemel bars --lot 500 --bar 6000x4",
    remedy="name parts of one stock, or give the length alone",
)
