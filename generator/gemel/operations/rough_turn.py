"""Rough turning along Z in equal passes, from the bar's diameter down to the profile and its allowance."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.families.features import Turned
from gemel.families.processes import RoughTurn
from gemel.numbers import rule
from gemel.operations import codes
from gemel.operations.common import Turning, begin_turning, clear_mm, cuts, end_turning, fault, need, outside_mm
from gemel.operations.profile import contour, pass_end_mm
from gemel.operations.steps import Feed, Rapid, Step

if TYPE_CHECKING:
    from gemel.families.part import Job

__all__ = ["rough_turn"]

_LIFT_MM = rule(0.5, "how far the tool lifts off at the end of a pass, at 45 degrees", "common practice, no source")


def rough_turn(job: Job) -> list[Step]:
    """Steps of the roughing: n passes of equal depth, the last on the smallest diameter plus the allowance.

    Raises:
        Findings: nothing is left to rough, or the profile cannot be turned.
    """
    operation = job.operation_as(RoughTurn)
    profile = job.feature_as(Turned)
    contour(job, profile, roughing=True)
    feed = need(job, job.cutting.feed_mm_rev, "a feed")
    depth = need(job, job.cutting.depth_mm, "a depth of pass")
    stock = job.part.stock.round_mm
    smallest = profile.steps[0].dia_mm + operation.leave_x_mm
    if smallest >= stock:
        cause = f"nothing to rough between the bar of {float(stock):g} and {float(smallest):g}"
        raise fault(job, codes.UNREACHABLE, cause, profile.steps[0].dia_mm, operation.leave_x_mm)
    count = cuts(job, (stock - smallest) / 2.0, depth)
    clear = clear_mm(job)
    start_z = rule(0.0, "finished face", "definition of the offset") + clear
    steps: list[Step] = [*begin_turning(job, Turning()), Rapid(z=start_z), Rapid(x=outside_mm(job, stock))]
    for number in range(1, count + 1):
        level = stock - (stock - smallest) * (number / count)
        end = pass_end_mm(profile, level - operation.leave_x_mm, operation.leave_z_mm)
        if end is None or end >= 0:
            continue
        steps += [
            Rapid(x=level),
            Feed(z=end, feed=feed),
            Feed(x=level + 2.0 * _LIFT_MM, z=end + _LIFT_MM, feed=feed),
            Rapid(z=start_z),
        ]
    return [*steps, *end_turning(job)]
