"""Which zones a channel is inside: entered and left by the blocks of its own run, whatever the others do."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from gemel.proving.facts import SIDES

if TYPE_CHECKING:
    from gemel.proving.facts import Facts
    from gemel.reading.run import Motion, Step

__all__ = ["OUTSIDE", "Inside", "Passage", "passage"]

Inside = tuple[int, int]
"""For the left and for the right zone: index of the step that entered it, -1 outside."""

OUTSIDE: Inside = (-1, -1)


class Passage(NamedTuple):
    """How one block passes through the zones.

    Attributes:
        during: zones the channel is inside for the whole of the block.
        after: zones it is inside behind it.
    """

    during: Inside
    after: Inside


def passage(step: Step, index: int, inside: Inside, facts: Facts, home_x: float) -> Passage:
    """The zones during and after a step that begins inside `inside`.

    A zone is entered by a move under its offset with X below clearance before, on the way or after; all are left with
    the block behind which X is at clearance or more, or home. A block that moves nothing changes nothing.
    """
    moves = [m for m in step.motions if _moves(m)]
    if not moves:
        return Passage(inside, inside)
    during = list(inside)
    for motion in moves:
        side = facts.sides.get(motion.offset)
        if side is None or motion.low_x is None or motion.low_x >= facts.clearance:
            continue
        place = SIDES.index(side)
        if during[place] < 0:
            during[place] = index
    kept = (during[0], during[1])
    end = moves[-1].end.x_dia
    is_out = end is not None and (end >= facts.clearance or (moves[-1].machine and end == home_x))
    return Passage(kept, OUTSIDE if is_out else kept)


def _moves(motion: Motion) -> bool:
    """Whether the tool moves, not only the spindle or the slide."""
    start, end = motion.start, motion.end
    return motion.sweep_deg != 0 or (start.x_dia, start.y, start.z) != (end.x_dia, end.y, end.z)
