"""Rules 1, 9 and 11: what must hold while a tool cuts. At the first cut of a visit that shows it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.findings import Severity
from gemel.proving.facts import RIGHT
from gemel.proving.rule import Rule
from gemel.proving.shared import NOTHING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.proving.rule import Moment
    from gemel.proving.shared import Cut

__all__ = ["RULES", "check"]

OPEN_CLAMP = Rule(
    "holding",
    "1",
    Severity.ERROR,
    what="A tool cuts on a spindle whose clamp is open.",
    why="Nothing holds the workpiece against the cutting force: it turns with the tool, or leaves the machine.",
    example="M69\nG01 X20. F0.1",
    remedy="close the clamp before this cut, and let a wait order the two if another channel closes it",
    cause="{a} cuts while the clamp of its spindle may be open",
)
OPEN_CLAMP_FIRST = Rule(
    "holding",
    "1-first-part",
    Severity.WARNING,
    what="A tool cuts at the right spindle in the first pass, before the right clamp has ever closed on a part.",
    why="A pair that repeats works on the part of the pass before; in the first pass there is none, and it cuts air.",
    example="G55\nG01 X20. F0.1      (first pass)\nM99",
    remedy="start the pair with a part in the right spindle, or skip the back side in the first pass",
    cause="{a} cuts at the right spindle before its clamp has closed on a part, in the first pass",
)
C_OFF = Rule(
    "holding",
    "9-c-off",
    Severity.ERROR,
    what="A rotating tool cuts away from the axis of the spindle while the C axis is off.",
    why="Nothing holds the spindle in place: the cutter turns the workpiece.",
    example="M05\nM103\nG01 X15. F520.      (no M45 before)",
    remedy="switch the C axis on before this cut, and clamp it with the brake where it need not move",
    cause="{a} cuts with a rotating tool while the C axis of its spindle may be off",
)
TURNING = Rule(
    "holding",
    "9-turning",
    Severity.ERROR,
    what="A rotating tool cuts away from the axis of the spindle while the spindle turns.",
    why="The cutter is torn off, or the workpiece out of the clamp.",
    example="M03\nM103\nG01 X15. F520.",
    remedy="stop the spindle before this cut",
    cause="{a} cuts with a rotating tool while its spindle may be turning",
)
DRIVE_STOPPED = Rule(
    "holding",
    "9-drive-stopped",
    Severity.ERROR,
    what="A rotating tool cuts while its drive is stopped.",
    why="The tool is pushed through the material without turning and breaks.",
    example="T0707\nG01 X15. F520.      (no M103 before)",
    remedy="start the tool drive before this cut",
    cause="{a} cuts with a rotating tool whose drive is stopped",
)
STANDS = Rule(
    "holding",
    "9-stopped",
    Severity.ERROR,
    what="A turning or cut-off tool cuts while the spindle stands.",
    why="The tool is pushed into a workpiece that does not turn; with feed per revolution the control waits for ever.",
    example="M05\nG01 X20. F0.1",
    remedy="start the spindle before this cut, and let a wait order the two if another channel starts it",
    cause="{a} cuts with a tool that does not rotate while its spindle may stand still",
)
C_ON = Rule(
    "holding",
    "9-c-on",
    Severity.ERROR,
    what="A turning or cut-off tool cuts while the C axis is on.",
    why="With the C axis on, the spindle is a positioning axis and does not run at cutting speed.",
    example="M45\nG01 X20. F0.1",
    remedy="switch the C axis off and start the spindle before this cut",
    cause="{a} cuts with a tool that does not rotate while the C axis of its spindle may be on",
)
NOTHING_HELD = Rule(
    "holding",
    "11",
    Severity.ERROR,
    what="A tool cuts under the right offset while the right spindle holds nothing.",
    why="There is no part at the right, or the tool follows the frame of the wrong spindle.",
    example="M169\nG55\nG01 X20. F0.1",
    remedy="take the part over before working on its back, or name the offset of the spindle that holds it",
    cause="{a} cuts under the right offset while nothing may be held there",
)
NOTHING_HELD_FIRST = Rule(
    "holding",
    "11-first-part",
    Severity.WARNING,
    what="A tool cuts under the right offset in the first pass, before the right clamp has ever closed on a part.",
    why="A pair that repeats works on the part of the pass before; in the first pass there is none, and it cuts air.",
    example="G55\nG01 X20. F0.1      (first pass)\nM99",
    remedy="start the pair with a part in the right spindle, or skip the back side in the first pass",
    cause="{a} cuts under the right offset before a part has been taken over, in the first pass",
)

RULES = (
    OPEN_CLAMP,
    OPEN_CLAMP_FIRST,
    C_OFF,
    TURNING,
    DRIVE_STOPPED,
    STANDS,
    C_ON,
    NOTHING_HELD,
    NOTHING_HELD_FIRST,
)


def check(moment: Moment) -> Iterator[Rule]:
    """The rules that a cut breaks."""
    deed, state = moment.deed, moment.before
    cut = deed.cut
    if cut is None:
        return
    excused = deed.side == RIGHT and moment.excused
    if not state.closed & deed.side:
        yield OPEN_CLAMP_FIRST if excused else OPEN_CLAMP
    if deed.side == RIGHT and state.held == NOTHING:
        yield NOTHING_HELD_FIRST if excused else NOTHING_HELD
    turns, c_on = bool(state.turning & deed.side), bool(state.c_on & deed.side)
    yield from _rotating(cut, turns=turns, c_on=c_on) if cut.rotating else _still(turns=turns, c_on=c_on)


def _rotating(cut: Cut, *, turns: bool, c_on: bool) -> Iterator[Rule]:
    if not cut.central:
        if not c_on:
            yield C_OFF
        if turns:
            yield TURNING
    if not cut.driven:
        yield DRIVE_STOPPED


def _still(*, turns: bool, c_on: bool) -> Iterator[Rule]:
    if not turns:
        yield STANDS
    if c_on:
        yield C_ON
