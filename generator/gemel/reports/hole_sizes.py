"""Sizes of holes and bores; lengths in mm, angles in degrees of the C axis."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

from gemel.families.threads import thread
from gemel.reports.gauges import gauge
from gemel.reports.sizes import CHAMFER, DIAMETER, Anchor, Asked, Size, plain
from gemel.reports.thread_sizes import inside_thread

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.families.holes import AxialHole, BoltCircle, Bore, CrossHole, Hole
    from gemel.families.part import Part
    from gemel.reports.sizes import Sizer

__all__ = ["along_hole", "angle_size", "bolt_circle", "bore", "cross_hole"]

_TIMES = " \N{MULTIPLICATION SIGN} "
_SAME = 1e-6


def along_hole(name: str, feature: AxialHole, part: Part, sizer: Sizer) -> Iterator[Size]:
    """A hole on the axis."""
    length = float(part.length_mm)
    radius = float(feature.drilled_dia_mm) / 2
    depth = min(float(feature.depth_mm), length)
    place = 0.64 * depth if feature.side == "front" else length - 0.64 * depth
    yield from _mouth(name, feature, sizer, Anchor("side", place, radius), "")
    if depth < length - _SAME:
        span = Anchor("span", 0, depth) if feature.side == "front" else Anchor("span", length - depth, length)
        what = f"{_depth_of(feature)}, from the {feature.side} face"
        yield sizer.size(Asked(name, what, "depth", feature.depth_mm, span, "{} deep"))


def _depth_of(feature: Hole) -> str:
    return "depth of the hole" if feature.thread is None else "depth of the full thread"


def _mouth(name: str, feature: Hole, sizer: Sizer, anchor: Anchor, before: str) -> Iterator[Size]:
    """Diameter or thread, and the chamfer at the mouth."""
    if feature.thread is not None:
        yield from inside_thread(name, thread(feature.thread), anchor, before)
    elif feature.dia_mm is not None:
        yield sizer.size(Asked(name, "diameter of the hole", "inside", feature.dia_mm, anchor, before + DIAMETER))
    if feature.chamfer_mm:
        yield sizer.size(Asked(name, "chamfer of the hole", "edge", feature.chamfer_mm, anchor, before + CHAMFER))


def bore(name: str, feature: Bore, part: Part, sizer: Sizer) -> Iterator[Size]:
    """A bored hole on the axis."""
    length = float(part.length_mm)
    radius, depth = float(feature.dia_mm) / 2, min(float(feature.depth_mm), length)
    place = 0.64 * depth if feature.side == "front" else length - 0.64 * depth
    anchor = Anchor("side", place, radius)
    yield sizer.size(Asked(name, "bore", "inside", feature.dia_mm, anchor, DIAMETER))
    if feature.chamfer_mm:
        edge = float(feature.chamfer_mm) / 2
        mouth = edge if feature.side == "front" else length - edge
        at = Anchor("side", mouth, radius + edge)
        yield sizer.size(Asked(name, "chamfer of the bore", "edge", feature.chamfer_mm, at, CHAMFER))
    if depth < length - _SAME:
        span = Anchor("span", 0, depth) if feature.side == "front" else Anchor("span", length - depth, length)
        what = f"depth of the bore, from the {feature.side} face"
        yield sizer.size(Asked(name, what, "depth", feature.depth_mm, span, "{} deep"))


def cross_hole(name: str, feature: CrossHole, part: Part, sizer: Sizer) -> Iterator[Size]:
    """Holes across the axis: their size once, their places, their angles where they are not at C0 alone."""
    places = feature.positions()
    angles = feature.angles()
    count = len(places) * len(angles)
    before = f"{count}{_TIMES}" if count > 1 else ""
    surface = float(feature.surface_dia_mm or part.stock.round_mm) / 2
    turn = math.radians(float(angles[0]))
    height = surface * math.cos(turn) + float(feature.drilled_dia_mm) / 2 * abs(math.sin(turn))
    anchor = Anchor("side", float(places[0]), height)
    yield from _mouth(name, feature, sizer, anchor, before)
    if feature.depth_mm is not None and not feature.through:
        what = f"{_depth_of(feature)}, from the surface"
        yield sizer.size(Asked(name, what, "depth", feature.depth_mm, anchor, "{} deep"))
    yield from _places(name, places, sizer)
    yield from angle_size(name, "hole", angles, "front", surface)


def _places(name: str, places: list[float], sizer: Sizer) -> Iterator[Size]:
    """Every place, or where there are more than two at even distances, the first and the distance."""
    first = Anchor("span", 0, float(places[0]))
    yield sizer.size(Asked(name, "hole, from the front face", "place", places[0], first))
    steps = [b - a for a, b in pairwise(places)]
    if len(steps) > 1 and max(steps) - min(steps) < _SAME:
        span = Anchor("span", float(places[0]), float(places[1]))
        form = f"{len(steps)}{_TIMES}{{}}"
        yield sizer.size(Asked(name, "distance from hole to hole", "place", steps[0], span, form))
        return
    for place in places[1:]:
        at = Anchor("span", 0, float(place))
        yield sizer.size(Asked(name, "hole, from the front face", "place", place, at))


def angle_size(name: str, what: str, angles: list[float], view: str, radius: float) -> Iterator[Size]:
    """One row for angles other than C0; their general tolerance depends on a length that the drawing does not give."""
    turned = [float(angle) % 360 for angle in angles]
    if turned == [0.0]:
        return
    yield Size(
        number=0,
        feature=name,
        what=f"angle{'s' if len(turned) > 1 else ''} of the {what} on the C axis",
        text=", ".join(f"{plain(angle)}\N{DEGREE SIGN}" for angle in turned),
        nominal_mm=turned[0],
        aimed_mm=turned[0],
        smallest_mm=None,
        largest_mm=None,
        tolerance="drawing",
        gauge=gauge("angle", None),
        anchor=Anchor(view, turned[0], radius),
    )


def bolt_circle(name: str, feature: BoltCircle, part: Part, sizer: Sizer) -> Iterator[Size]:
    """Holes along the axis on a circle."""
    angles = feature.angles()
    del part
    before = f"{len(angles)}{_TIMES}" if len(angles) > 1 else ""
    circle = float(feature.circle_dia_mm) / 2
    anchor = Anchor(feature.side, float(angles[0]), circle)
    yield from _mouth(name, feature, sizer, anchor, before)
    yield sizer.size(Asked(name, "circle of the holes", "circle", feature.circle_dia_mm, anchor, f"on {DIAMETER}"))
    what = f"{_depth_of(feature)}, from the {feature.side} face"
    yield sizer.size(Asked(name, what, "depth", feature.depth_mm, anchor, "{} deep"))
    yield from angle_size(name, "hole", angles, feature.side, circle)
