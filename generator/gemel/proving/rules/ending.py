"""Rule 12: what a pair leaves behind."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.findings import Severity
from gemel.proving.rule import Rule
from gemel.proving.shared import PIECE

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.proving.shared import Shared

__all__ = ["INSIDE_AT_END", "RULES", "check"]

INSIDE_AT_END = Rule(
    "holding",
    "12-inside-at-end",
    Severity.WARNING,
    what="A channel ends a pass inside a zone.",
    why="Whoever opens the door finds a tool at the workpiece, and the next pass starts from there.",
    example="G01 X30. F0.1\nM30",
    remedy="retract to the clearance, or home, before the end",
    cause="{a} ends its pass inside a zone",
)
TURNING_AT_END = Rule(
    "holding",
    "12-turning",
    Severity.WARNING,
    what="A spindle turns after the last pass of all channels.",
    why="The program has ended and the spindle has not: the operator opens the door on a turning spindle.",
    example="M03\nM30",
    remedy="stop every spindle before the end",
    cause="behind {a} a spindle may still turn",
)
PIECE_AT_END = Rule(
    "holding",
    "12-piece",
    Severity.WARNING,
    what="The right spindle holds a cut piece after the last pass of all channels.",
    why="The next start takes over a part with another one still in the right clamp.",
    example="M30      (no M169 after the cut-off)",
    remedy="part the piece away before the end",
    cause="behind {a} the right spindle may still hold a cut piece",
)

RULES = (INSIDE_AT_END, TURNING_AT_END, PIECE_AT_END)


def check(state: Shared) -> Iterator[Rule]:
    """The rules that the state after the last pass breaks."""
    if state.turning:
        yield TURNING_AT_END
    if state.held == PIECE:
        yield PIECE_AT_END
