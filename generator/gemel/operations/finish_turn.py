"""Finish turning: the profile in one pass, the nose radius compensated by the control, or allowed for in the path.

Compensation is switched on and off on straight moves longer than the nose radius, clear of the work
(NISTIR 6556, B.3.1.1 asks for more than one tool radius on the entry line).
Turning outside towards the chuck, the tool is right of the contour: compensation right.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.families.features import Turned
from gemel.families.processes import FinishTurn
from gemel.numbers import maximum, rule
from gemel.operations.common import Turning, begin_turning, clear_mm, end_turning, need, outside_mm
from gemel.operations.profile import ContourMove, contour, lead_in
from gemel.operations.steps import Arc, Feed, Rapid, Step

if TYPE_CHECKING:
    from gemel.families.part import Job

__all__ = ["finish_turn"]

_ENTRY = rule(2.0, "entry line in nose radii", "NISTIR 6556 B.3.1.1 asks for more than one")


def finish_turn(job: Job) -> list[Step]:
    """Steps of the finish pass.

    Raises:
        Findings: the profile cannot be turned with this tool.
    """
    compensated = job.operation_as(FinishTurn).compensation
    profile = job.feature_as(Turned)
    feed = need(job, job.cutting.feed_mm_rev, "a feed")
    nose = need(job, job.tool.nose_radius_mm, "a nose radius")
    clear = maximum(clear_mm(job), nose)
    shifted = None if compensated else nose
    x, z = lead_in(profile, clear, shifted)
    outside = outside_mm(job, job.part.stock.round_mm) + 2.0 * _ENTRY * nose
    steps: list[Step] = [
        *begin_turning(job, Turning()),
        Rapid(z=z + _ENTRY * nose + clear),
        Rapid(x=x),
        Feed(x=x, z=z, feed=feed, compensation="right" if compensated else None),
        *[_move(move) for move in contour(job, profile, nose_mm=shifted)],
        Feed(x=outside, compensation="none" if compensated else None),
    ]
    return [*steps, *end_turning(job)]


def _move(move: ContourMove) -> Step:
    if move.radius is None:
        return Feed(x=move.x_dia, z=move.z)
    return Arc(x=move.x_dia, z=move.z, radius=move.radius, clockwise=move.clockwise)
