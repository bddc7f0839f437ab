"""The inspection list: every size that the features of a part have, in the order of the family's features.

Lengths in mm from the finished front face; a feature of the back counts from the back face in words, not in places.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.families.features import ChamferEdges, FaceGroove, Flats, Groove, PartFeature, Slot, ThreadFeature, Turned
from gemel.families.handover import BackChamfer
from gemel.families.holes import AxialHole, BoltCircle, Bore, CrossHole
from gemel.reports.hole_sizes import along_hole, angle_size, bolt_circle, bore, cross_hole
from gemel.reports.sizes import CHAMFER, DIAMETER, Anchor, Asked, Size, Sizer, numbered
from gemel.reports.solid import body_of
from gemel.reports.thread_sizes import outside_thread
from gemel.reports.turned_sizes import turned

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.families.part import Part
    from gemel.reports.solid import Body

__all__ = ["inspection"]

_NEAR_MM = 1e-6


def inspection(part: Part) -> tuple[Size, ...]:
    """Every size of the finished part once, numbered; not those of the bar, nor of stock that is taken off later."""
    body, sizer = body_of(part), Sizer(part)
    found: list[Size] = []
    for name in part.features:
        for size in _sizes(name, part, body, sizer):
            if not any(_same(size, other) for other in found):
                found.append(size)
    return tuple(numbered(found))


def _same(one: Size, other: Size) -> bool:
    """Whether two sizes are one: the same text at the same place."""
    return (one.text, one.anchor) == (other.text, other.anchor)


def _sizes(name: str, part: Part, body: Body, sizer: Sizer) -> Iterator[Size]:
    feature = part.features[name]
    match feature:
        case ThreadFeature():
            yield from outside_thread(name, feature, part, sizer)
        case CrossHole():
            yield from cross_hole(name, feature, part, sizer)
        case AxialHole():
            yield from along_hole(name, feature, part, sizer)
        case BoltCircle():
            yield from bolt_circle(name, feature, part, sizer)
        case Bore():
            yield from bore(name, feature, part, sizer)
        case Slot():
            yield from (sizer.size(asked) for asked in _slot(name, feature, body))
            yield from angle_size(name, "slot", feature.angles(), "front", body.radius_mm)
        case _:
            yield from (sizer.size(asked) for asked in _asked(name, part, body))


def _asked(name: str, part: Part, body: Body) -> Iterator[Asked]:
    feature = part.features[name]
    match feature:
        case PartFeature():
            yield Asked(name, "length over all", "length", feature.length_mm, Anchor("span", 0, body.length_mm))
            yield from _back_edge(part, body)
        case Turned():
            yield from turned(name, feature, body)
        case Flats():
            yield from _flats(name, feature, body)
        case Groove():
            yield from _groove(name, feature)
        case FaceGroove():
            yield from _face_groove(name, feature)
        case ChamferEdges():
            yield from _edges(name, feature, part, body)


def _flats(name: str, feature: Flats, body: Body) -> Iterator[Asked]:
    start, end = max(feature.from_mm, 0), min(feature.to_mm, body.length_mm)
    anchor = Anchor("side", start + (end - start) * 0.7, feature.across_mm / 2)
    if round(feature.count) % 2:
        yield Asked(name, "flat, from the axis", "place", feature.across_mm / 2, anchor, "{} to axis")
    else:
        what = {4: "square, across flats", 6: "hexagon, across flats"}.get(round(feature.count), "across flats")
        yield Asked(name, what, "flats", feature.across_mm, anchor, "{} A/F")
    if start > _NEAR_MM:
        yield Asked(
            name, "start of the flats, from the front face", "length", feature.from_mm, Anchor("span", 0, start)
        )
    if end < body.length_mm - _NEAR_MM:
        yield Asked(name, "end of the flats, from the front face", "length", feature.to_mm, Anchor("span", 0, end))


def _groove(name: str, feature: Groove) -> Iterator[Asked]:
    middle = feature.at_mm + feature.width_mm / 2
    low = feature.dia_mm / 2
    yield Asked(name, "bottom of the groove", "groove", feature.dia_mm, Anchor("side", middle, low), DIAMETER)
    yield Asked(name, "width of the groove", "width", feature.width_mm, Anchor("side", middle, low), "{} wide")
    if feature.at_mm > _NEAR_MM:
        yield Asked(name, "groove, from the front face", "length", feature.at_mm, Anchor("span", 0, feature.at_mm))


def _slot(name: str, feature: Slot, body: Body) -> Iterator[Asked]:
    end = min(feature.to_mm, body.length_mm)
    top = (feature.surface_dia_mm or 2 * body.radius_mm) / 2
    for angle in feature.angles()[:1]:
        bottom = top - feature.depth_mm
        yield Asked(name, "width of the slot", "width", feature.width_mm, Anchor("front", angle, top), "{} wide")
        yield Asked(name, "depth of the slot", "depth", feature.depth_mm, Anchor("front", angle, bottom), "{} deep")
    if feature.from_mm > _NEAR_MM:
        yield Asked(
            name,
            "start of the slot, from the front face",
            "length",
            feature.from_mm,
            Anchor("span", 0, feature.from_mm),
        )
    if end < body.length_mm - _NEAR_MM:
        yield Asked(name, "end of the slot, from the front face", "length", feature.to_mm, Anchor("span", 0, end))


def _face_groove(name: str, feature: FaceGroove) -> Iterator[Asked]:
    view = feature.side
    yield Asked(
        name,
        "inside of the ring groove",
        "outside",
        feature.inner_dia_mm,
        Anchor(view, 45, feature.inner_dia_mm / 2),
        DIAMETER,
    )
    yield Asked(
        name,
        "outside of the ring groove",
        "inside",
        feature.outer_dia_mm,
        Anchor(view, 30, feature.outer_dia_mm / 2),
        DIAMETER,
    )
    yield Asked(
        name,
        "depth of the ring groove",
        "depth",
        feature.depth_mm,
        Anchor(view, 45, feature.inner_dia_mm / 2),
        "{} deep",
    )


def _edges(name: str, feature: ChamferEdges, part: Part, body: Body) -> Iterator[Asked]:
    of = part.features.get(feature.of)
    if isinstance(of, Flats):
        angle = of.angle_deg + 180 / of.count
        radius = body.reach_mm((of.from_mm + min(of.to_mm, body.length_mm)) / 2, angle)
        yield Asked(
            name,
            "chamfer on the long edges",
            "edge",
            feature.size_mm,
            Anchor("front", angle, radius),
            CHAMFER,
        )


def _back_edge(part: Part, body: Body) -> Iterator[Asked]:
    """Chamfers that an operation cuts on the second side."""
    for name, operation in part.operations.items():
        if isinstance(operation, BackChamfer) and operation.size_mm:
            size = operation.size_mm
            edge = (body.radius_at(body.length_mm - size) + body.radius_at(body.length_mm)) / 2
            height = min(edge, body.reach_mm(body.length_mm, 0))
            yield Asked(
                name,
                "chamfer on the back edge",
                "edge",
                size,
                Anchor("side", body.length_mm - size / 2, height),
                CHAMFER,
            )
