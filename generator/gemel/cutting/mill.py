"""How much a rotating tool bites into a workpiece on one move, and what it leaves. Lengths in mm.

The tool lies along X and its end cuts. The cut is measured across the feed where it is largest: on a move along Y where
the round stands highest, on a move along Z at every change of the outline.
"""

from __future__ import annotations

from itertools import pairwise
from math import radians, tan
from typing import TYPE_CHECKING, NamedTuple

from gemel.cutting.milled import NOTHING, Box, add

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from gemel.cutting.facts import ToolFacts
    from gemel.cutting.workpiece import Workpiece

__all__ = ["MillBite", "Stroke", "cone_dia", "mill_bite", "mouth_of"]

_TOUCH_MM = 0.005
_ACROSS, _ACROSS_POINT = 24, 120
"""Places across a cutter at which a cut is measured where its edges are not known; a point takes little."""


class Stroke(NamedTuple):
    """A straight move of a mill's end: level (distance from the axis), Y, Z at both ends, and the C angle."""

    level0: float
    y0: float
    z0: float
    level1: float
    y1: float
    z1: float
    angle: float

    @property
    def level(self) -> float:
        """The lower end."""
        return min(self.level0, self.level1)

    @property
    def is_plunge(self) -> bool:
        """Whether it goes in along the tool's axis alone."""
        return self.level1 < self.level0 and self.y0 == self.y1 and self.z0 == self.z1


class MillBite(NamedTuple):
    """What a mill takes: greatest depth, width that is in the cut, area across the feed; `plunge`: along its axis."""

    depth: float
    width: float
    area: float
    plunge: bool = False


def mill_bite(work: Workpiece, stroke: Stroke, tool: ToolFacts) -> MillBite | None:
    """What a mill takes on a move; the workpiece is milled. None: it cuts air."""
    dia = tool.dia_mm
    if not dia:
        return None
    half = dia / 2.0
    if stroke.is_plunge:
        depth = work.stands(stroke.angle, stroke.y1, stroke.z1) - stroke.level
        found = MillBite(depth, dia, 0.0, plunge=True) if depth > _TOUCH_MM else None
    elif abs(stroke.y1 - stroke.y0) >= abs(stroke.z1 - stroke.z0):
        found = _along_y(work, stroke, tool, half)
    else:
        found = _along_z(work, stroke, tool, half)
    if found is not None and tool.point_deg is None:
        # What a cone leaves is neither flat nor deep; the workpiece is kept as it was.
        add(work.milled, _swept(stroke, half))
    return found


def mouth_of(work: Workpiece, stroke: Stroke, tool: ToolFacts) -> float:
    """Diameter that a pointed tool has cut at the surface when it goes in along X; its own where it has no point."""
    dia = tool.dia_mm or 0.0
    top = work.stands(stroke.angle, stroke.y1, stroke.z1)
    if tool.point_deg is None or top == NOTHING:
        return dia
    return cone_dia(top - stroke.level1, tool)


def cone_dia(depth_mm: float, tool: ToolFacts) -> float:
    """Diameter of a pointed tool at a distance from its tip, at most its own."""
    dia = tool.dia_mm or 0.0
    wide = tool.tip_mm + 2.0 * max(depth_mm, 0.0) * tan(radians((tool.point_deg or 180.0) / 2.0))
    return min(dia, wide)


def _swept(stroke: Stroke, half: float) -> Box:
    ys, zs = sorted((stroke.y0, stroke.y1)), sorted((stroke.z0, stroke.z1))
    return Box(stroke.angle, stroke.level, ys[0] - half, ys[1] + half, zs[0] - half, zs[1] + half)


def _end(tool: ToolFacts) -> Callable[[float], float]:
    """How far behind its tip a tool's end lies at a distance from its axis."""
    if tool.point_deg is None:
        return lambda _: 0.0
    slope, flat = 1.0 / tan(radians(tool.point_deg / 2.0)), tool.tip_mm / 2.0
    return lambda distance: max(0.0, abs(distance) - flat) * slope


def _along_y(work: Workpiece, stroke: Stroke, tool: ToolFacts, half: float) -> MillBite | None:
    low, high = sorted((stroke.y0, stroke.y1))
    y, z = min(max(0.0, low), high), (stroke.z0 + stroke.z1) / 2.0
    edges = {z - half, z + half, *(e for b in work.milled for e in (b.z_low, b.z_high))}
    edges |= {end for run in work.outside.within(z - half, z + half) for end in (run.low, run.high)}
    if tool.point_deg is not None:
        edges |= {z - half + 2.0 * half * n / _ACROSS_POINT for n in range(_ACROSS_POINT)}
    inside = sorted(edge for edge in edges if z - half <= edge <= z + half)
    cells = ((a, b) for a, b in pairwise(inside) if b - a > _TOUCH_MM)
    end = _end(tool)
    return _measured(cells, lambda at: work.stands(stroke.angle, y, at) - stroke.level - end(at - z))


def _along_z(work: Workpiece, stroke: Stroke, tool: ToolFacts, half: float) -> MillBite | None:
    low, high = sorted((stroke.z0, stroke.z1))
    places = {run.low + (run.high - run.low) / 2.0 for run in work.outside.within(low, high)}
    places |= {
        (max(low, b.z_low) + min(high, b.z_high)) / 2.0 for b in work.milled if b.z_low < high and b.z_high > low
    }
    y, end = (stroke.y0 + stroke.y1) / 2.0, _end(tool)
    count = _ACROSS if tool.point_deg is None else _ACROSS_POINT
    step = 2.0 * half / count
    best: MillBite | None = None
    for z in sorted(places):
        cells = ((y - half + n * step, y - half + (n + 1) * step) for n in range(count))
        found = _measured(cells, lambda at, z=z: work.stands(stroke.angle, at, z) - stroke.level - end(at - y))  # type: ignore[misc] # z is bound now
        if found is not None and (best is None or found.area > best.area):
            best = found
    return best


def _measured(cells: Iterator[tuple[float, float]], over: Callable[[float], float]) -> MillBite | None:
    """Depth, width and area of what stands over the tool, from the middle of every cell."""
    depth = width = area = 0.0
    for low, high in cells:
        stands = over((low + high) / 2.0)
        if stands > _TOUCH_MM:
            depth = max(depth, stands)
            width += high - low
            area += (high - low) * stands
    return MillBite(depth, width, area) if area > _TOUCH_MM**2 else None
