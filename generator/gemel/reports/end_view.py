"""The part seen on one of its faces, C0 up: as it stands in the spindle whose tools work on that face.

Z points at who looks, X up; the frame is right-handed, so C grows counter-clockwise on both faces.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from gemel.reports.hollows import across_of, along_of, notches_of, rings_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.families.part import Part
    from gemel.reports.hollows import Along, Notch
    from gemel.reports.solid import Body
    from gemel.reports.svg import Drawing, Point

__all__ = ["Face", "draw_end", "faces_of"]

_HAIR_MM = 1e-4
_SAMPLE_DEG = 5
_ARC_DEG = 6
_THREAD_DEG = 270


@dataclass(frozen=True, slots=True)
class Face:
    """Where an end view stands on the paper.

    Attributes:
        side: `front` or `back`.
        centre: the axis on the paper.
        scale: millimetres on paper for one of the part.
    """

    side: str
    centre: Point
    scale: float

    def at(self, angle_deg: float, radius_mm: float) -> Point:
        """The paper's point of an angle in the frame of this face, counter-clockwise from the top."""
        turn = math.radians(angle_deg)
        x, y = -radius_mm * math.sin(turn), radius_mm * math.cos(turn)
        return self.centre[0] + x * self.scale, self.centre[1] - y * self.scale

    def turned(self, angle_deg: float, *, front: bool = True) -> float:
        """An angle of the front's frame (or the back's) in the frame of this face: seen from behind it is mirrored."""
        return angle_deg if front == (self.side == "front") else -angle_deg


def faces_of(part: Part) -> tuple[str, ...]:
    """The faces that are worth a view: the front always, the back if something is worked into it beside the axis."""
    off_axis = any(hole.centre_mm and hole.from_back for hole in along_of(part))
    return ("front", "back") if off_axis or any(r.from_back for r in rings_of(part)) else ("front",)


def draw_end(drawing: Drawing, part: Part, body: Body, face: Face) -> None:
    """The end view, with the directions of cross holes dashed and C0 marked."""
    view = _View(drawing, part, body, face)
    view.outlines()
    view.notches()
    view.cross_holes()
    view.rings()
    view.holes()
    view.axes()


class _View:
    """One end view under construction."""

    def __init__(self, drawing: Drawing, part: Part, body: Body, face: Face) -> None:
        self.drawing = drawing
        self.part = part
        self.body = body
        self.face = face
        self.is_front = face.side == "front"

    def circle(self, radius: float, kind: str, angle: float = 0.0, centre: float = 0.0) -> None:
        self.drawing.circle(self.face.at(angle, centre), radius * self.face.scale, kind)

    def outlines(self) -> None:
        """Every cross-section that stands out over those before it, the largest one thick."""
        shown = list(self._standing_out())
        for index, place in enumerate(shown):
            kind = "outline" if index == len(shown) - 1 else "edge"
            self.drawing.polyline(self._loop(place), kind, closed=True)
        self._hidden_flats(shown)

    def _standing_out(self) -> Iterator[float]:
        """Places from the face inwards whose section is larger somewhere than all before."""
        places = self._places()
        angles = range(0, 360, _SAMPLE_DEG)
        cover = [0.0] * len(angles)
        for place in places if self.is_front else reversed(places):
            reach = [self.body.reach_mm(place, angle) for angle in angles]
            if any(r > c + 0.02 for r, c in zip(reach, cover, strict=True)):
                yield place
                cover = [max(r, c) for r, c in zip(reach, cover, strict=True)]

    def _places(self) -> list[float]:
        """Just inside both faces, and on both hands of every sharp edge and of every end of flats."""
        length = self.body.length_mm
        edges = [place for index, (place, _) in enumerate(self.body.line[1:-1], 1) if self.body.turn_deg(index) > 20]
        edges += [place for side in self.body.sides for place in (side.start_mm, side.end_mm)]
        near = [0.0, length, *(p + hair for p in edges for hair in (-_HAIR_MM, _HAIR_MM))]
        return sorted({min(max(p, _HAIR_MM), length - _HAIR_MM) for p in near})

    def _loop(self, place: float) -> list[Point]:
        """The outline of a cross-section, rounds in short straights."""
        section = self.body.section(place)
        points: list[Point] = []
        for index, ((x, y), is_round) in enumerate(section):
            points.append(self._turned(x, y))
            if is_round:
                (further, back), _ = section[(index + 1) % len(section)]
                points += [self._turned(*corner) for corner in _arc((x, y), (further, back))]
        return points

    def _turned(self, x: float, y: float) -> Point:
        angle = math.degrees(math.atan2(y, x))
        return self.face.at(self.face.turned(angle), math.hypot(x, y))

    def _hidden_flats(self, shown: list[float]) -> None:
        """Flats of the drawing that a larger round in front of them hides, dashed."""
        for side in self.body.sides:
            start, end = max(side.start_mm, 0.0), min(side.end_mm, self.body.length_mm)
            inside = (start + end) / 2
            if not side.marked or any(start - _HAIR_MM <= place <= end + _HAIR_MM for place in shown):
                continue
            radius = self.body.radius_at(inside)
            if side.half_mm < radius:
                half = math.degrees(math.acos(side.half_mm / radius))
                ends = [self.face.at(self.face.turned(side.angle_deg + turn), radius) for turn in (-half, half)]
                self.drawing.line(ends[0], ends[1], "hidden")

    def notches(self) -> None:
        for notch in notches_of(self.part):
            start, end = notch.start_mm, notch.end_mm
            is_open = start <= _HAIR_MM if self.is_front else end >= self.body.length_mm - _HAIR_MM
            corners = self._notch(notch)
            if is_open:
                self.drawing.polyline([corners[0], *corners, corners[-1]], "hollow", closed=True)
                self.drawing.polyline(corners, "outline")
            else:
                self.drawing.polyline(corners, "hidden")

    def _notch(self, notch: Notch) -> list[Point]:
        half = notch.width_mm / 2
        top = math.sqrt(max(notch.top_mm**2 - half**2, notch.bottom_mm**2))
        shape = [(half, top), (half, notch.bottom_mm), (-half, notch.bottom_mm), (-half, top)]
        turned = self.face.turned(notch.angle_deg)
        return [
            self.face.at(turned + math.degrees(math.atan2(side, out)), math.hypot(side, out)) for side, out in shape
        ]

    def cross_holes(self) -> None:
        drawn: set[tuple[float, float]] = set()
        for hole in across_of(self.part):
            key = (hole.angle_deg % 360, hole.radius_mm)
            if key in drawn:
                continue
            drawn.add(key)
            turned = self.face.turned(hole.angle_deg)
            for sign in (1, -1):
                points = [self._beside(turned, distance, sign * radius) for distance, radius in hole.line]
                self.drawing.polyline(points, "hidden")
            top = hole.line[0][0] + 2 / self.face.scale
            self.drawing.line(
                self.face.at(turned, top), self.face.at(turned + 180, top if hole.through else 0), "centre"
            )

    def _beside(self, angle: float, distance: float, side: float) -> Point:
        """The point `distance` out in a direction and `side` to the left of it."""
        return self.face.at(angle + math.degrees(math.atan2(side, distance)), math.hypot(side, distance))

    def rings(self) -> None:
        for ring in rings_of(self.part):
            if ring.from_back != self.is_front:
                self.circle(ring.inner_mm, "edge")
                self.circle(ring.outer_mm, "edge")

    def holes(self) -> None:
        circles: set[float] = set()
        for hole in along_of(self.part):
            faces_us = hole.from_back != self.is_front
            angle = self.face.turned(hole.angle_deg, front=not hole.from_back)
            if faces_us:
                self._mouth(hole, angle)
            elif hole.through:
                self.circle(hole.line[-1][1], "edge", angle, hole.centre_mm)
            elif hole.centre_mm:
                self.circle(hole.mouth_mm, "hidden", angle, hole.centre_mm)
            if hole.centre_mm:
                circles.add(hole.centre_mm)
                reach = hole.mouth_mm + 1.5 / self.face.scale
                ends = [self.face.at(angle, hole.centre_mm + d) for d in (-reach, reach)]
                self.drawing.line(ends[0], ends[1], "centre")
        for radius in circles:
            self.circle(radius, "centre")

    def _mouth(self, hole: Along, angle: float) -> None:
        """Edges round the mouth, a thread as three quarters of a thin circle."""
        radii = [radius for _, radius in hole.line if radius > 0]
        for radius in {radii[0], hole.mouth_mm, *radii[1:]}:
            self.circle(radius, "edge", angle, hole.centre_mm)
        if hole.thread is not None:
            x, y = self.face.at(angle, hole.centre_mm)
            wide = hole.thread[0] * self.face.scale
            turns = [math.radians(15 + _ARC_DEG * i) for i in range(_THREAD_DEG // _ARC_DEG + 1)]
            self.drawing.polyline([(x + wide * math.cos(t), y - wide * math.sin(t)) for t in turns], "thin")

    def axes(self) -> None:
        """The crossed centre lines and the mark at C0."""
        reach = self.body.radius_mm + 2.5 / self.face.scale
        for angle in (0, 90):
            self.drawing.line(self.face.at(angle, reach), self.face.at(angle + 180, reach), "centre")
        x, y = self.face.at(0, reach)
        self.drawing.polyline([(x - 0.9, y), (x + 0.9, y), (x, y - 1.8)], "solid", closed=True)
        self.drawing.text((x + 1.6, y), "C0", "small")


def _arc(start: tuple[float, float], end: tuple[float, float]) -> list[tuple[float, float]]:
    """Points between two on a circle round the axis, counter-clockwise."""
    radius = math.hypot(*start)
    first = math.degrees(math.atan2(start[1], start[0]))
    last = math.degrees(math.atan2(end[1], end[0]))
    last += 360 if last <= first + 1e-9 else 0
    steps = max(1, math.ceil((last - first) / _ARC_DEG))
    turns = [math.radians(first + (last - first) * i / steps) for i in range(1, steps)]
    return [(radius * math.cos(t), radius * math.sin(t)) for t in turns]
