"""The finished part as a body: a turned line, flats round it, and hollows in it; from the resolved features.

Places are mm from the finished front face, radii mm, angles degrees of the C axis.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from gemel.families.features import ChamferEdges, FeatureFace, Flats, Groove, Turned
from gemel.families.handover import BackChamfer
from gemel.reports.envelope import Piece, envelope, height_at, pieces_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from gemel.families.features import TurnedStep
    from gemel.families.part import Part

__all__ = ["Body", "Side", "body_of"]

_ARC_STEPS = 6
_SAME_MM = 1e-6


@dataclass(frozen=True, slots=True)
class Side:
    """One flat: a plane along the axis.

    Attributes:
        angle_deg: C angle of its normal.
        half_mm: its distance from the axis.
        start_mm: from the front face. end_mm: likewise.
        marked: whether it is a flat of the drawing, not a broken edge between two of them.
    """

    angle_deg: float
    half_mm: float
    start_mm: float
    end_mm: float
    marked: bool = True


@dataclass(frozen=True)
class Body:
    """The outside of the part.

    Attributes:
        line: (place, radius) of the turned outside from front to back.
        sides: its flats.
        length_mm: over all.
    """

    line: tuple[tuple[float, float], ...]
    sides: tuple[Side, ...]
    length_mm: float

    @cached_property
    def radius_mm(self) -> float:
        """Of the largest circle that something of the part touches."""
        return max(math.hypot(*corner) for place in self.places() for corner in self.corners(place)) or 1.0

    def places(self) -> tuple[float, ...]:
        """Places at which the outside changes: corners of the line, ends of flats, a few between on a slope."""
        found = {0.0, self.length_mm}
        for (start, low), (end, high) in zip(self.line, self.line[1:], strict=False):
            steps = 8 if abs(high - low) > _SAME_MM and end - start > _SAME_MM else 1
            found |= {start + (end - start) * i / steps for i in range(steps + 1)}
        for side in self.sides:
            found |= {min(max(place, 0.0), self.length_mm) for place in (side.start_mm, side.end_mm)}
        return tuple(sorted(found))

    def radius_at(self, place_mm: float) -> float:
        """Radius of the turned outside; at a step the larger one."""
        return height_at(self.line, place_mm)

    def turn_deg(self, index: int) -> float:
        """How sharply the line turns at one of its inner points."""
        (a, low), (b, here), (c, high) = self.line[index - 1 : index + 2]
        before, after = math.atan2(here - low, b - a), math.atan2(high - here, c - b)
        return abs(math.degrees(after - before))

    def sides_at(self, place_mm: float) -> list[Side]:
        """The flats that the part has at a place."""
        return [s for s in self.sides if s.start_mm - _SAME_MM <= place_mm <= s.end_mm + _SAME_MM]

    def reach_mm(self, place_mm: float, angle_deg: float) -> float:
        """Distance of the surface from the axis at a place, in the direction of an angle."""
        return _reach(self.radius_at(place_mm), self.sides_at(place_mm), angle_deg)

    def corners(self, place_mm: float) -> list[tuple[float, float]]:
        """Corners (x, y) of the cross-section, counter-clockwise; of a full round four points on it."""
        return [point for point, _ in self.section(place_mm)]

    def section(self, place_mm: float) -> list[tuple[tuple[float, float], bool]]:
        """The cross-section: corners (x, y) counter-clockwise, and whether a round follows each, else a straight."""
        return _section(self.radius_at(place_mm), self.sides_at(place_mm))


def _reach(radius_mm: float, sides: Iterable[Side], angle_deg: float) -> float:
    reach = radius_mm
    for side in sides:
        cosine = math.cos(math.radians(angle_deg - side.angle_deg))
        if cosine > _SAME_MM:
            reach = min(reach, side.half_mm / cosine)
    return reach


def _section(radius_mm: float, sides: list[Side]) -> list[tuple[tuple[float, float], bool]]:
    angles = sorted({round(a % 360, 6) for a in _corner_angles(radius_mm, sides)})
    angles = [a for a in angles if _is_corner(a, radius_mm, sides)]
    if not angles:
        angles = [0.0, 90.0, 180.0, 270.0]
    found = []
    for index, angle in enumerate(angles):
        following = angles[(index + 1) % len(angles)] + (360 if index + 1 == len(angles) else 0)
        is_round = _reach(radius_mm, sides, (angle + following) / 2) > radius_mm - _SAME_MM
        reach = _reach(radius_mm, sides, angle)
        found.append(((reach * math.cos(math.radians(angle)), reach * math.sin(math.radians(angle))), is_round))
    return found


def _corner_angles(radius_mm: float, sides: list[Side]) -> Iterator[float]:
    """Angles at which a flat may meet the round or another flat."""
    for index, side in enumerate(sides):
        if side.half_mm < radius_mm:
            half = math.degrees(math.acos(side.half_mm / radius_mm))
            yield from (side.angle_deg - half, side.angle_deg + half)
        for other in sides[index + 1 :]:
            yield from _meeting(side, other)


def _meeting(one: Side, other: Side) -> Iterator[float]:
    """Angle of the corner of two flats: x cos a + y sin a = h for both."""
    a, b = math.radians(one.angle_deg), math.radians(other.angle_deg)
    determinant = math.sin(b - a)
    if abs(determinant) > _SAME_MM:
        x = (one.half_mm * math.sin(b) - other.half_mm * math.sin(a)) / determinant
        y = (other.half_mm * math.cos(a) - one.half_mm * math.cos(b)) / determinant
        yield math.degrees(math.atan2(y, x))


def _is_corner(angle_deg: float, radius_mm: float, sides: list[Side]) -> bool:
    """Whether the boundary turns at an angle: the flat, or the round, on both hands of it differ."""
    return _face(angle_deg - 0.01, radius_mm, sides) is not _face(angle_deg + 0.01, radius_mm, sides)


def _face(angle_deg: float, radius_mm: float, sides: list[Side]) -> Side | None:
    reach = _reach(radius_mm, sides, angle_deg)
    if reach > radius_mm - 1e-9:
        return None
    return min(sides, key=lambda s: abs(_reach(radius_mm, [s], angle_deg) - reach))


def body_of(part: Part) -> Body:
    """The outside of a member as its features say, the second side's chamfer included."""
    length = float(part.length_mm)
    pieces = [Piece(0.0, part.stock.round_mm / 2, length, part.stock.round_mm / 2)]
    for feature in part.features.values():
        if isinstance(feature, Turned):
            pieces += _turned(feature)
        elif isinstance(feature, Groove):
            pieces += _groove(feature)
    line = envelope([_clipped(p) for p in pieces], length)
    ends = [*_face_chamfers(part, line), *_back_chamfers(part)]
    if ends:
        line = envelope([_clipped(p) for p in [*pieces, *ends]], length)
    return Body(tuple(line), tuple(_sides(part)), length)


def _clipped(piece: Piece) -> Piece:
    return Piece(*(float(value) for value in piece))


def _turned(feature: Turned) -> list[Piece]:
    found: list[Piece] = []
    for step, (start, end) in zip(feature.steps, feature.spans(), strict=True):
        found += pieces_of(_step_line(step, start, end))
    return found


def _step_line(step: TurnedStep, start: float, end: float) -> Iterator[tuple[float, float]]:
    """One step from its front edge, chamfered or rounded, to its corner with a fillet."""
    first, last = step.dia_mm / 2, (step.taper_to_mm or step.dia_mm) / 2
    edge, fillet = step.radius_mm, step.fillet_mm
    if step.chamfer_mm:
        yield start, first - step.chamfer_mm
        yield start + step.chamfer_mm, first
    elif edge:
        for i in range(_ARC_STEPS + 1):
            turn = math.radians(90 * i / _ARC_STEPS)
            yield start + edge * (1 - math.cos(turn)), first - edge * (1 - math.sin(turn))
    else:
        yield start, first
    if fillet:
        for i in range(_ARC_STEPS + 1):
            turn = math.radians(90 * i / _ARC_STEPS)
            yield end - fillet * (1 - math.sin(turn)), last + fillet * (1 - math.cos(turn))
    else:
        yield end, last


def _groove(feature: Groove) -> list[Piece]:
    start, end, low = feature.at_mm, feature.at_mm + feature.width_mm, feature.dia_mm / 2
    chamfer, land = feature.chamfer_mm, feature.outer_dia_mm / 2
    line = [(start - chamfer, land), (start, land - chamfer), (start, low), (end, low), (end, land - chamfer)]
    return pieces_of([*line, (end + chamfer, land)])


def _face_chamfers(part: Part, line: list[tuple[float, float]]) -> Iterator[Piece]:
    for feature in part.features.values():
        if isinstance(feature, FeatureFace) and feature.chamfer_mm:
            c = feature.chamfer_mm
            if feature.side == "front":
                yield Piece(0.0, line[0][1] - c, c, line[0][1])
            else:
                yield Piece(part.length_mm - c, line[-1][1], part.length_mm, line[-1][1] - c)


def _back_chamfers(part: Part) -> Iterator[Piece]:
    """Chamfers that an operation cuts on the second side."""
    for operation in part.operations.values():
        feature = part.features.get(operation.feature)
        if not isinstance(operation, BackChamfer):
            continue
        size = operation.size_mm or (feature.chamfer_mm if isinstance(feature, FeatureFace) else None)
        if size and operation.dia_mm:
            edge = operation.dia_mm / 2
            yield Piece(part.length_mm - size, edge, part.length_mm, edge - size)


def _sides(part: Part) -> Iterator[Side]:
    if part.stock.shape != "round":
        count = {"hexagon": 6, "square": 4}[part.stock.shape]
        for i in range(count):
            yield Side(360 / count * i, float(part.stock.size_mm) / 2, 0.0, float(part.length_mm), marked=False)
    for name, feature in part.features.items():
        if isinstance(feature, Flats):
            yield from _flats(feature)
            yield from _broken_edges(name, feature, part)


def _flats(feature: Flats) -> Iterator[Side]:
    for angle in feature.angles():
        yield Side(float(angle), float(feature.across_mm) / 2, float(feature.from_mm), float(feature.to_mm))


def _broken_edges(name: str, feature: Flats, part: Part) -> Iterator[Side]:
    """The chamfers along the edges between flats, as narrow flats of their own.

    A leg c along either flat leaves the chamfer at (s/2) / cos(180/n) - c sin(180/n) from the axis.
    """
    half = math.radians(180 / round(feature.count))
    for other in part.features.values():
        if isinstance(other, ChamferEdges) and other.of == name and feature.count > 2:
            distance = feature.across_mm / 2 / math.cos(half) - other.size_mm * math.sin(half)
            for angle in feature.angles():
                turned = float(angle) + math.degrees(half)
                yield Side(turned, float(distance), float(feature.from_mm), float(feature.to_mm), marked=False)
