"""Rules 2, 6 and 14: clamps and the turning of their spindles, and what an opening clamp lets go."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from gemel.findings import Severity
from gemel.proving.facts import LEFT, RIGHT, SIDES
from gemel.proving.rule import Rule
from gemel.proving.shared import PIECE

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.proving.rule import Moment
    from gemel.proving.shared import Shared

__all__ = ["RULES", "check"]

OPEN_TURNING = Rule(
    "holding",
    "2",
    Severity.ERROR,
    what="A clamp opens while its spindle turns, or is open while its spindle turns. "
    "The right clamp may be open on the run while synchronisation is on.",
    why="An open clamp on a turning spindle lets go of the bar or the part at speed.",
    example="M03\nM69",
    remedy="stop the spindle before the clamp opens, and start it after the clamp has closed",
    cause="at {a} a clamp may be open while its spindle turns",
)
OPEN_TURNING_FIRST = Rule(
    "holding",
    "2-first-part",
    Severity.WARNING,
    what="The right spindle turns with its clamp open in the first pass, before it has ever closed on a part.",
    why="A pair that repeats works on the part of the pass before; in the first pass the right spindle turns empty.",
    example="M203      (first pass, right clamp open)\nM99",
    remedy="start the pair with a part in the right spindle, or skip the back side in the first pass",
    cause="at {a} the right spindle may turn with its clamp open, in the first pass",
)
DROPPED = Rule(
    "holding",
    "6",
    Severity.ERROR,
    what="The right clamp opens on a cut piece while the catcher is in. On a machine without a catcher a warning.",
    why="The finished part falls into the chips or into the works of the machine.",
    example="M169      (no M73 before)",
    remedy="bring the catcher out before the right clamp opens",
    cause="{a} opens the right clamp on a cut piece while the catcher may be in",
)
BOTH_OPEN = Rule(
    "holding",
    "14",
    Severity.ERROR,
    what="The right clamp opens while the left one is open and the joined part is held, or one block opens both.",
    why="The last clamp lets go of the bar: bar and part fall or are pushed by the feeder.",
    example="M69\nM169",
    remedy="close the left clamp before the right one opens",
    cause="{a} opens the right clamp while the left one may be open and the part is still one with the bar",
)

RULES = (OPEN_TURNING, OPEN_TURNING_FIRST, DROPPED, BOTH_OPEN)


def check(moment: Moment) -> Iterator[Rule]:
    """The rules about clamps that a deed breaks."""
    yield from _open_and_turning(moment)
    before, opens = moment.before, moment.before.closed & ~moment.after.closed
    if opens & RIGHT and before.held == PIECE and not before.catcher_out:
        yield DROPPED if moment.facts.catcher else _without_catcher()
    if opens and moment.joined_at_start and moment.opened_by_block & RIGHT and not moment.after.closed & LEFT:
        yield BOTH_OPEN


def _open_and_turning(moment: Moment) -> Iterator[Rule]:
    before, after = moment.before, moment.after
    opens = before.closed & ~after.closed
    for side in SIDES:
        begins = _is_loose(after, side) and not _is_loose(before, side)
        if begins or opens & before.turning & side:
            yield OPEN_TURNING_FIRST if side == RIGHT and moment.excused else OPEN_TURNING


def _is_loose(state: Shared, side: int) -> bool:
    """Whether a spindle turns with its clamp open, except the right one picking up on the run."""
    if side == RIGHT and state.synchronised:
        return False
    return bool(state.turning & ~state.closed & side)


def _without_catcher() -> Rule:
    """The same on a machine without a catcher, where somebody or something must take the part."""
    return replace(
        DROPPED,
        severity=Severity.WARNING,
        remedy="make sure that the part is taken out there",
        cause="{a} opens the right clamp on a cut piece, and the machine has no catcher",
    )
