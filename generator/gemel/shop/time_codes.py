"""What can be wrong with what is to be timed."""

from __future__ import annotations

from gemel.findings import Explanation, Severity

__all__ = ["NO_PAIR"]

NO_PAIR = Explanation(
    "shop",
    "no-pair",
    Severity.ERROR,
    what="The family or member that is to be timed has no pair in `output/`.",
    why="Times are read from the programs that run, not from the family: without programs there is nothing to read.",
    example="gemel time port-block/35",
    remedy="write it first: `gemel write`",
)
