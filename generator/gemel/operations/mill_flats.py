"""Flats: any number, at any angle, cut by the end of a radial end mill.

The tool lies along X; its end cuts the plane X = across (a diameter: twice the flat's distance from the axis).
Rows run along Y, from clear of the stock on one side to clear of it on the other (half the chord, the cutter's radius
and the clear distance), step over along Z, and go down in equal steps with a last one for the finish.
Half the chord at level x of a bar of diameter D is sqrt(D^2 / 4 - x^2 / 4).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from gemel.families.features import Flats
from gemel.families.geometry import across_corners_mm
from gemel.families.processes import MillFlats
from gemel.numbers import Number, maximum, rule, sqrt
from gemel.operations import codes
from gemel.operations.common import check_amount, clear_mm, cuts, fault, need
from gemel.operations.milling_common import begin_milling, end_milling, index, milling_feed_mm_min, rotating_speed_rpm
from gemel.operations.steps import Feed, Rapid, Step

if TYPE_CHECKING:
    from gemel.families.part import Job

__all__ = ["mill_flats"]

_SHARE = rule(0.6, "step-over as a share of the cutter's diameter", "common practice, no source")
_FACE = rule(0.0, "finished face", "definition of the offset")


class _Cutter(NamedTuple):
    """What the rows need to know: cutter's diameter, bar's diameter, distance kept, feed in mm/min."""

    dia_mm: float
    stock_mm: float
    clear_mm: float
    feed_mm_min: float


def mill_flats(job: Job) -> list[Step]:
    """Steps of all flats of the feature.

    Raises:
        Findings: the flats or their corners are not inside the bar, the cutter is wider than the flat or its edges too
            short, or the channel has no Y axis.
    """
    flats = job.feature_as(Flats)
    dia = need(job, job.tool.dia_mm, "the cutter's diameter")
    _check(job, flats, dia)
    rpm = rotating_speed_rpm(job, dia)
    cutter = _Cutter(dia, job.part.stock.round_mm, clear_mm(job), milling_feed_mm_min(job, rpm))
    levels = _levels(job, flats)
    rows = _rows(job, flats, dia)
    check_amount(job, len(levels), len(rows), len(flats.angles()))
    steps = begin_milling(job, "yz", rpm)
    flat = _flat(levels, rows, cutter)
    for number, angle in enumerate(flats.angles()):
        steps += index(job, angle, first=number == 0)
        steps += flat
        steps.append(Rapid(x=job.clearance_mm))
    return [*steps, *end_milling(job)]


def _check(job: Job, flats: Flats, dia: float) -> None:
    stock = job.part.stock.round_mm
    if "y" not in job.channel.axes:
        raise fault(job, codes.TOOL_FIT, f"channel `{job.operation.channel}` has no Y axis for flats")
    if flats.across_mm >= stock:
        cause = f"flats of {float(flats.across_mm):g} leave nothing to mill on a bar of {float(stock):g}"
        raise fault(job, codes.UNREACHABLE, cause, flats.across_mm)
    if flats.corners == "sharp" and flats.count > 2:
        corners = across_corners_mm(flats.across_mm, flats.count)
        if corners > stock + 1e-6:
            cause = (
                f"the corners of {float(corners):.3f} lie outside the bar of {float(stock):g} and stay round; "
                "take a larger bar, or say `corners: round`"
            )
            raise fault(job, codes.UNREACHABLE, cause, flats.across_mm, stock)
    edges = job.tool.cutting_length_mm
    if edges is not None and (stock - flats.across_mm) / 2.0 > edges:
        cause = (
            f"the flats lie {float(stock - flats.across_mm) / 2:g} deep, the cutter's edges are {float(edges):g} long"
        )
        raise fault(job, codes.TOOL_FIT, cause, flats.across_mm, edges)
    length = flats.to_mm - flats.from_mm
    room = length + (dia / 2.0 if flats.from_mm <= 0 else 0.0)
    if room < dia - 1e-9:
        cause = f"the cutter of {float(dia):g} is wider than the flat of {float(length):g}"
        raise fault(job, codes.TOOL_FIT, cause, dia, flats.to_mm)


def _levels(job: Job, flats: Flats) -> list[Number]:
    """X of every level, the last one the finished size."""
    depth = need(job, job.cutting.depth_mm, "a depth of pass")
    leave = job.operation_as(MillFlats).leave_mm
    stock = job.part.stock.round_mm + _FACE
    rough = flats.across_mm + 2.0 * leave
    levels: list[Number] = []
    if rough < stock and leave > 0:
        count = cuts(job, (stock - rough) / 2.0, depth)
        levels = [stock - (stock - rough) * (n / count) for n in range(1, count + 1)]
        return [*levels, flats.across_mm + _FACE]
    count = cuts(job, (stock - flats.across_mm) / 2.0, depth)
    return [stock - (stock - flats.across_mm) * (n / count) for n in range(1, count + 1)]


def _rows(job: Job, flats: Flats, dia: float) -> list[Number]:
    """Z of every row; an end at the front face is open, the others are met by the cutter's edge."""
    width = job.cutting.width_mm if job.cutting.width_mm is not None else dia * _SHARE
    first = _FACE - flats.from_mm - (dia / 2.0 if flats.from_mm > 0 else 0.0)
    last = _FACE - flats.to_mm + dia / 2.0
    span = first - last
    if span <= 1e-9:
        return [last]
    count = cuts(job, span, width)
    return [first - span * (n / count) for n in range(count + 1)]


def _flat(levels: list[Number], rows: list[Number], cutter: _Cutter) -> list[Step]:
    steps: list[Step] = []
    side = -1.0
    for level in levels:
        reach = _reach_mm(level, cutter)
        ends = {-1.0: -1.0 * reach, 1.0: 1.0 * reach}
        cuts = {end: Feed(y=y, feed=cutter.feed_mm_min) for end, y in ends.items()}
        steps += [Rapid(y=ends[side], z=rows[0]), Rapid(x=level)]
        for number, z in enumerate(rows):
            if number:
                steps.append(Rapid(z=z))
            side = -side
            steps.append(cuts[side])
        if len(levels) > 1:
            steps.append(Rapid(x=maximum(cutter.stock_mm, level) + 2.0 * cutter.clear_mm))
    return steps


def _reach_mm(level: float, cutter: _Cutter) -> Number:
    chord = sqrt(maximum(cutter.stock_mm**2.0 - level**2.0, 0.0)) / 2.0
    return chord + cutter.dia_mm / 2.0 + cutter.clear_mm
