"""A round nose moved along the programmed path, cut with shapely: what it leaves is the drawn profile.

The point that is programmed is the corner where the sides of the nose would meet; the nose's middle stands one radius
further out on X (as a radius) and further from the chuck on Z. Nothing of gemel's own geometry is used.
"""

from __future__ import annotations

import math

import pytest
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as Spot

from gemel.families.features import Turned
from gemel.families.resolve import jobs_of, resolve
from gemel.operations import toolpath
from gemel.operations.steps import Arc, Feed, Rapid, Step
from support.demo_family import demo_family

NOSE_MM = 0.4
STEPS = {
    "chamfers": "- {diameter: 8, to: 10, chamfer: 0.5}\n      - {diameter: 14, to: 30, chamfer: 1}",
    "roundings": "- {diameter: 8, to: 10, radius: 1.5}\n      - {diameter: 14, to: 30, radius: 0.8}",
    "fillet": "- {diameter: 8, to: 10, chamfer: 0.5, fillet: 1.2}\n      - {diameter: 14, to: 30, chamfer: 0.5}",
    "fillet of the nose": "- {diameter: 8, to: 10, fillet: 0.4}\n      - {diameter: 14, to: 30, radius: 1}",
    "sharp": "- {diameter: 8, to: 10}\n      - {diameter: 14, to: 30}",
}


def _path(shape: str) -> tuple[list[Step], Turned]:
    text = (
        "- {diameter: tip, to: tip_length, chamfer: 0.5}\n"
        "      - {diameter: 8 - 0.1, to: tip_length + thread_length, chamfer: 0.8}\n"
        "      - {diameter: seal, to: shoulder, chamfer: 0.6, fillet: 0.5}\n"
        "      - {diameter: head - 0.4, to: length + back_stock, chamfer: 0.4}"
    )
    family = demo_family(
        "valve-stem", (text, STEPS[shape]), ("process: finish_turn,", "process: finish_turn, compensation: false,")
    )
    part = resolve(family, "75")
    profile = part.features["profile"]
    assert isinstance(profile, Turned)
    return toolpath(jobs_of(family, part)["finish-stem"]), profile


def _points(steps: list[Step]) -> list[tuple[float, float]]:
    """Z and radius of the nose's middle all along the feed moves; arcs in short chords."""
    at = (math.nan, math.nan)
    points: list[tuple[float, float]] = []
    for step in steps:
        if not isinstance(step, Rapid | Feed | Arc):
            continue
        end = (at[0] if step.z is None else float(step.z), at[1] if step.x is None else float(step.x) / 2)
        if isinstance(step, Arc):
            points += _arc(at, end, float(step.radius), clockwise=step.clockwise)
        elif isinstance(step, Feed):
            points += [at, end]
        at = end
    return [(z + NOSE_MM, x + NOSE_MM) for z, x in points]


def _arc(
    start: tuple[float, float], end: tuple[float, float], radius: float, *, clockwise: bool
) -> list[tuple[float, float]]:
    """Points of a quarter (+Z to the right, +X up)."""
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    dz, dx = end[0] - start[0], end[1] - start[1]
    half = math.hypot(dz, dx) / 2
    height = math.sqrt(max(radius**2 - half**2, 0.0))
    side = -1.0 if clockwise else 1.0
    centre = (middle[0] - side * dx / (2 * half) * height, middle[1] + side * dz / (2 * half) * height)
    first, last = (math.atan2(p[1] - centre[1], p[0] - centre[0]) for p in (start, end))
    turn = (last - first) % (2 * math.pi) if not clockwise else -((first - last) % (2 * math.pi))
    steps = 64
    return [
        (
            centre[0] + radius * math.cos(first + turn * n / steps),
            centre[1] + radius * math.sin(first + turn * n / steps),
        )
        for n in range(steps + 1)
    ]


def _drawn(profile: Turned) -> Polygon:
    """The finished half section."""
    line: list[tuple[float, float]] = [(0.0, 0.0)]
    spans = profile.spans()
    for step, (start, end) in zip(profile.steps, spans, strict=True):
        radius, begin, stop = float(step.dia_mm) / 2, -float(start), -float(end)
        if step.radius_mm > 0:
            r = float(step.radius_mm)
            line += _arc((begin, radius - r), (begin - r, radius), r, clockwise=False)
        else:
            c = float(step.chamfer_mm)
            line += [(begin, radius - c), (begin - c, radius)]
        f = float(step.fillet_mm)
        line += _arc((stop + f, radius), (stop, radius + f), f, clockwise=True) if f > 0 else [(stop, radius)]
    return Polygon([*line, (line[-1][0], 0.0)])


@pytest.mark.parametrize("shape", STEPS)
def test_the_nose_leaves_the_drawn_profile(shape: str) -> None:
    """Everywhere but in sharp inside corners, which no round nose reaches: within 0.002 mm, and never below."""
    steps, profile = _path(shape)
    drawn = _drawn(profile)
    gone = LineString(_points(steps)).buffer(NOSE_MM, quad_segs=256)
    assert gone.intersection(drawn).area < 1e-3, "the nose cuts into the part"
    stock = Polygon([(-29.0, 0), (0, 0), (0, 8), (-29.0, 8)])
    # What the nose leaves standing on the part, taken off where everything above its path is gone as well.
    above = gone.union(Polygon([*_points(steps), (-30, 30), (10, 30)]).buffer(0))
    left = stock.difference(above).difference(drawn.buffer(0.002))
    corners = [
        Spot(-float(end), float(step.dia_mm) / 2).buffer(NOSE_MM * 1.01)
        for step, (_, end) in zip(profile.steps[:-1], profile.spans(), strict=False)
        if step.fillet_mm == 0
    ]
    for corner in corners:
        left = left.difference(corner)
    assert left.area < 2e-3, f"the nose leaves {left.area:.4f} mm2 standing"
