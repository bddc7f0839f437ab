"""Chamfers along the long edges of milled flats.

With an end mill the edge is turned to +X and the end cuts the chamfer's plane: interior angle b = 180 - 360 / n, leg s,
depth below the sharp corner s cos(b / 2), so X = across / cos(180 / n) - 2 s cos(b / 2).
With a 90 degree chamfer cutter (squares only) the flank cuts beside the flat: the tip passes `_BELOW` under the
chamfer's lower end, its middle at Y = across / 2 + tip / 2 + `_BELOW`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from gemel.families.features import ChamferEdges, Flats
from gemel.numbers import Number, cos_deg, rule, sin_deg
from gemel.operations import codes
from gemel.operations.common import clear_mm, fault, need
from gemel.operations.milling_common import begin_milling, end_milling, index, milling_feed_mm_min, rotating_speed_rpm
from gemel.operations.steps import Feed, Rapid, Step

if TYPE_CHECKING:
    from gemel.families.part import Job

__all__ = ["chamfer_edges"]

_FACE = rule(0.0, "finished face", "definition of the offset")
_BELOW = rule(0.5, "how far the cutter's tip passes under the chamfer, mm", "common practice, no source")
_FULL = rule(360.0, "full turn in degrees", "definition")


class _Edge(NamedTuple):
    """Where the cutter runs: X (diameter), Y, turn from a flat's direction to the one of the cut, radius there."""

    x: Number
    y: Number
    turn_deg: Number
    radius_mm: Number


def chamfer_edges(job: Job) -> list[Step]:
    """Steps that break every edge between the flats.

    Raises:
        Findings: the feature has no flats that meet in edges, or the cutter does not fit.
    """
    feature = job.feature_as(ChamferEdges)
    flats = job.part.features.get(feature.of)
    if not isinstance(flats, Flats) or flats.count < 3:
        raise fault(job, codes.UNREACHABLE, f"`{feature.of}` has no edges between flats", feature.size_mm)
    corner = flats.across_mm / cos_deg(_FULL / (2.0 * flats.count))
    if corner > job.part.stock.round_mm + 1e-6:
        cause = f"the flats do not meet: their corners of {float(corner):.3f} lie outside the bar"
        raise fault(job, codes.UNREACHABLE, cause, flats.across_mm)
    edge = _by_flank(job, flats, feature) if job.tool.type == "chamfer mill" else _by_end(job, flats, feature, corner)
    rpm = rotating_speed_rpm(job, need(job, job.tool.dia_mm, "the cutter's diameter"))
    feed = milling_feed_mm_min(job, rpm)
    start = _FACE - flats.from_mm + edge.radius_mm + clear_mm(job)
    end = _FACE - flats.to_mm
    steps = begin_milling(job, "yz", rpm)
    for number, angle in enumerate(flats.angles()):
        steps += index(job, edge.turn_deg + angle, first=number == 0)
        steps += [Rapid(y=edge.y, z=start), Rapid(x=edge.x), Feed(z=end, feed=feed), Rapid(x=job.clearance_mm)]
    return [*steps, *end_milling(job)]


def _by_end(job: Job, flats: Flats, feature: ChamferEdges, corner: Number) -> _Edge:
    half = (180.0 - _FULL / flats.count) / 2.0
    width = 2.0 * feature.size_mm * sin_deg(half)
    dia = need(job, job.tool.dia_mm, "the cutter's diameter")
    if width > dia:
        cause = f"the chamfer's plane of {float(width):.3f} is wider than the cutter of {float(dia):g}"
        raise fault(job, codes.TOOL_FIT, cause, feature.size_mm, dia)
    x = corner - 2.0 * feature.size_mm * cos_deg(half)
    return _Edge(x, _FACE * 1.0, _FULL / (2.0 * flats.count), _FACE + dia / 2.0)


def _by_flank(job: Job, flats: Flats, feature: ChamferEdges) -> _Edge:
    angle = need(job, job.tool.point_angle_deg, "the cone's angle")
    if round(float(flats.count)) != 4 or abs(angle - 90.0) > 1e-6:
        cause = "a chamfer cutter breaks the edges of squares, with 90 degrees; take an end mill for others"
        raise fault(job, codes.TOOL_FIT, cause, flats.count, angle)
    tip = job.tool.tip_dia_mm if job.tool.tip_dia_mm is not None else rule(0.0, "pointed tip", "no tip diameter given")
    dia = need(job, job.tool.dia_mm, "the cutter's diameter")
    if tip / 2.0 + _BELOW + feature.size_mm > dia / 2.0:
        cause = f"the chamfer of {float(feature.size_mm):g} is higher than the cutter's flank"
        raise fault(job, codes.TOOL_FIT, cause, feature.size_mm, dia)
    x = flats.across_mm - 2.0 * (feature.size_mm + _BELOW)
    y = flats.across_mm / 2.0 + tip / 2.0 + _BELOW
    return _Edge(x, y, _FACE * 1.0, _FACE + tip / 2.0 + _BELOW)
