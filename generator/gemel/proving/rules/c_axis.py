"""Rules 10 and 13: C axis and C brake against the turning of their spindle."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.findings import Severity
from gemel.proving.rule import Rule
from gemel.proving.shared import driven

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.proving.rule import Moment

__all__ = ["RULES", "check"]

ON_TURNING = Rule(
    "holding",
    "10-c-on",
    Severity.ERROR,
    what="The C axis is switched on while its spindle turns.",
    why="The control stops with an alarm, or the spindle is braked hard into its index position.",
    example="M03\nM45",
    remedy="stop the spindle before the C axis is switched on",
    cause="{a} switches the C axis on while its spindle may be turning",
)
START_ON = Rule(
    "holding",
    "10-start",
    Severity.ERROR,
    what="A spindle is started while its C axis is on.",
    why="The control stops with an alarm; what was to be turned is not.",
    example="M45\nM03",
    remedy="switch the C axis off before the spindle starts",
    cause="{a} starts a spindle while its C axis may be on",
)
BRAKED = Rule(
    "holding",
    "13",
    Severity.ERROR,
    what="The C axis moves or the spindle starts with the brake on, or the brake goes on while the spindle turns.",
    why="The drive works against the brake: it trips, or the brake lining burns and no longer holds the next cut.",
    example="M89\nG00 C90.",
    remedy="release the brake before the axis moves, and set it only on a spindle that stands",
    cause="at {a} the spindle or its C axis may move with the brake on",
)

RULES = (ON_TURNING, START_ON, BRAKED)


def check(moment: Moment) -> Iterator[Rule]:
    """The rules about C axis and brake that a deed breaks."""
    deed, before = moment.deed, moment.before
    if deed.kind == "c-on" and before.turning & deed.side:
        yield ON_TURNING
    started = _started(moment)
    if started & before.c_on:
        yield START_ON
    moves = deed.side if deed.kind == "c-move" else started
    if moves & before.braked or (deed.kind == "brake-on" and before.turning & deed.side):
        yield BRAKED


def _started(moment: Moment) -> int:
    """The spindles that the deed starts: by their code, or because synchronisation makes the right one follow."""
    if moment.deed.kind == "start":
        return driven(moment.before, moment.deed.side)
    return moment.after.turning & ~moment.before.turning
