"""Rules 4, 5 and 7: the part while both spindles hold it, and the moment it is cut off."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from gemel.findings import Severity
from gemel.proving.facts import LEFT
from gemel.proving.rule import Rule
from gemel.proving.shared import JOINED

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.proving.rule import Moment
    from gemel.proving.shared import Shared

__all__ = ["RULES", "check"]

TWISTED = Rule(
    "holding",
    "4",
    Severity.ERROR,
    what="Both clamps hold one workpiece and a spindle turns without synchronisation.",
    why="One spindle drags the other through the part: it twists off, or slips in the clamps.",
    example="M168      (left clamp closed, left spindle turning)\nM131",
    remedy="switch synchronisation on before the right clamp closes, and off only after the part is cut off",
    cause="at {a} both clamps may hold the part while a spindle turns without synchronisation",
)
UNCAUGHT = Rule(
    "holding",
    "5",
    Severity.ERROR,
    what="A part is cut off that neither the right spindle holds nor the catcher waits for. "
    "On a machine without a catcher a warning.",
    why="The finished part drops into the chips at full speed.",
    example="G01 X-0.5 F0.05      (cut-off, catcher in)",
    remedy="take the part over with the right spindle, or bring the catcher out before the cut-off",
    cause="{a} cuts the part off while neither the right spindle may hold it nor the catcher be out",
)
TORN = Rule(
    "holding",
    "7",
    Severity.ERROR,
    what="The slide moves while the right spindle holds the joined part and the left clamp is closed.",
    why="The slide tears at a bar that is clamped: the part slips, the slide trips its overload or bends the part.",
    example="M168\nG53 A0.      (not cut off, left clamp closed)",
    remedy="open the left clamp or cut the part off before the slide moves",
    cause="{a} moves the slide while both clamps may hold the part",
)

RULES = (TWISTED, UNCAUGHT, TORN)


def check(moment: Moment) -> Iterator[Rule]:
    """The rules about the hand-over that a deed breaks."""
    deed, before = moment.deed, moment.before
    if _is_twisted(moment.after) and not _is_twisted(before):
        yield TWISTED
    if deed.kind == "cut-off" and before.stock and before.held != JOINED and not before.catcher_out:
        yield UNCAUGHT if moment.facts.catcher else _without_catcher()
    if deed.kind == "slide" and before.held == JOINED and before.closed & LEFT:
        yield TORN


def _is_twisted(state: Shared) -> bool:
    """Whether both clamps hold one workpiece and a spindle turns without synchronisation."""
    both = state.held == JOINED and state.closed & LEFT
    return bool(both and state.turning and not state.synchronised)


def _without_catcher() -> Rule:
    """The same on a machine without a catcher, where parts fall by design."""
    return replace(
        UNCAUGHT,
        severity=Severity.WARNING,
        remedy="take the part over with the right spindle first, if it matters where the part falls",
        cause="{a} cuts the part off while the right spindle may not hold it, and the machine has no catcher",
    )
