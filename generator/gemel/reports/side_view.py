"""The part seen from the side, as it stands in the left spindle: front face on the right, C0 up, X upward.

A part with something hollow along its axis is drawn cut open along X and Z, a solid one from outside.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from gemel.families.features import ThreadFeature
from gemel.families.threads import thread
from gemel.reports.hollows import across_of, along_of, notches_of, rings_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from gemel.families.part import Part
    from gemel.reports.hollows import Across, Along, Notch
    from gemel.reports.solid import Body, Side
    from gemel.reports.svg import Drawing, Point

__all__ = ["Frame", "draw_side", "is_cut_open"]

_HAIR_MM = 1e-4
_HATCH_MM = 2.3
_EDGE_ON = 0.05
"""Sine of an angle up to which a hole lies in the plane of the drawing."""

_Corner = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Frame:
    """Where a view stands on the paper.

    Attributes:
        right_mm: paper x of the front face. axis_mm: paper y of the axis.
        scale: millimetres on paper for one of the part.
    """

    right_mm: float
    axis_mm: float
    scale: float

    def at(self, place_mm: float, height_mm: float) -> Point:
        """The paper's point of a place and a height over the axis."""
        return self.right_mm - place_mm * self.scale, self.axis_mm - height_mm * self.scale


def is_cut_open(part: Part) -> bool:
    """Whether the part is drawn in section."""
    return bool(along_of(part) or rings_of(part))


def draw_side(drawing: Drawing, part: Part, body: Body, frame: Frame, key: str) -> None:
    """The side view; `key` keeps its names apart from those of other drawings on a page."""
    view = _View(drawing, part, body, frame, key)
    if is_cut_open(part):
        view.section()
    else:
        view.outside()
    overhang = 3 / frame.scale
    drawing.line(frame.at(-overhang, 0), frame.at(body.length_mm + overhang, 0), "centre")


class _View:
    """One side view under construction."""

    def __init__(self, drawing: Drawing, part: Part, body: Body, frame: Frame, key: str) -> None:
        self.drawing = drawing
        self.part = part
        self.body = body
        self.frame = frame
        self.key = key
        self.across = across_of(part)

    def line(self, start: _Corner, end: _Corner, kind: str) -> None:
        self.drawing.line(self.frame.at(*start), self.frame.at(*end), kind)

    def shape(self, corners: Iterable[_Corner], kind: str) -> None:
        self.drawing.polyline([self.frame.at(*c) for c in corners], kind, closed=True)

    def contour(self, *, cut: bool) -> list[_Corner]:
        """The outline: top from front to back, bottom back again; of the cut plane, or the widest seen."""
        top: list[_Corner] = []
        low: list[_Corner] = []
        for start, end in pairwise(self.body.places()):
            if end - start < 2 * _HAIR_MM:
                continue
            for place, inside in ((start, start + _HAIR_MM), (end, end - _HAIR_MM)):
                high, deep = self._heights(inside, cut=cut)
                top.append((place, high))
                low.append((place, deep))
        return top + low[::-1]

    def _heights(self, place: float, *, cut: bool) -> tuple[float, float]:
        high, deep = self.body.reach_mm(place, 0), -self.body.reach_mm(place, 180)
        if cut:
            return high, deep
        heights = [x for x, _ in self.body.corners(place)]
        return max(high, *heights), min(deep, *heights)

    # The section.

    def section(self) -> None:
        """Material hatched, hollows white with their edges, the outline over all."""
        outline = self.contour(cut=True)
        name = f"inside-{self.key}"
        clip = self.drawing.add("clipPath", id=name)
        outer, self.drawing.node = self.drawing.node, clip
        self.shape(outline, "")
        self.drawing.node = outer
        self.drawing.node = self.drawing.group(clip_path=f"url(#{name})")
        self.drawing.hatch((self.frame.at(*c) for c in outline), "hatch", _HATCH_MM)
        across, along = list(self._hollows_across()), list(self._hollows_along())
        for corners in (*across, *along):
            self.shape(corners, "rim")
        for corners in across:
            self.shape(corners, "hollow")
        for cross in self.across:
            if _in_plane(cross.angle_deg) and cross.thread is not None:
                self._cross_thread(cross)
        # What lies along the axis comes last: a cross hole ends at its wall.
        for corners in along:
            self.shape(corners, "hollow")
        self._inner_edges()
        self._out_of_plane()
        self.drawing.node = outer
        self.shape(outline, "outline")
        self._outside_threads()

    def _hollows_along(self) -> Iterator[list[_Corner]]:
        for hole in along_of(self.part):
            if hole.centre_mm == 0:
                yield self._along(hole, 0.0)
            elif _in_plane(hole.angle_deg):
                yield self._along(hole, hole.centre_mm * math.cos(math.radians(hole.angle_deg)))
        for ring in rings_of(self.part):
            ends = (self._from_face(0, back=ring.from_back), self._from_face(ring.depth_mm, back=ring.from_back))
            for sign in (1, -1):
                inner, outer = sign * ring.inner_mm, sign * ring.outer_mm
                yield [(ends[0], inner), (ends[1], inner), (ends[1], outer), (ends[0], outer)]

    def _hollows_across(self) -> Iterator[list[_Corner]]:
        for cross in self.across:
            if _in_plane(cross.angle_deg):
                yield _across_shape(cross)
        for notch in notches_of(self.part):
            if _in_plane(notch.angle_deg):
                yield _notch_shape(notch, self.body.length_mm)

    def _from_face(self, depth: float, *, back: bool) -> float:
        return self.body.length_mm - depth if back else depth

    def _along(self, hole: Along, centre: float) -> list[_Corner]:
        line = [(self._from_face(depth, back=hole.from_back), radius) for depth, radius in hole.line]
        return [(p, centre + r) for p, r in line] + [(p, centre - r) for p, r in reversed(line)]

    def _inner_edges(self) -> None:
        """Edges that are seen behind the cut, and threads."""
        for hole in along_of(self.part):
            if hole.centre_mm != 0:
                continue
            for depth, radius in hole.line[1:]:
                place = self._from_face(depth, back=hole.from_back)
                self.line((place, radius), (place, -radius), "edge")
            if hole.thread is not None:
                radius, depth = hole.thread
                mouth, end = self._from_face(0, back=hole.from_back), self._from_face(depth, back=hole.from_back)
                for sign in (1, -1):
                    self.line((mouth, sign * radius), (end, sign * radius), "thin")
                self.line((end, radius), (end, -radius), "edge")

    def _cross_thread(self, hole: Across) -> None:
        assert hole.thread is not None
        radius, end = hole.thread
        sign = math.cos(math.radians(hole.angle_deg))
        for side in (-radius, radius):
            self.line((hole.at_mm + side, sign * hole.line[0][0]), (hole.at_mm + side, sign * end), "thin")
        self.line((hole.at_mm - radius, sign * end), (hole.at_mm + radius, sign * end), "edge")

    def _out_of_plane(self) -> None:
        """Holes that the cut does not meet, dashed where they stand."""
        drawn: set[str] = set()
        for hole in along_of(self.part):
            if hole.centre_mm and not _in_plane(hole.angle_deg) and hole.feature not in drawn:
                drawn.add(hole.feature)
                self.shape(self._along(hole, hole.centre_mm * math.cos(math.radians(hole.angle_deg))), "hidden")
        for cross in self.across:
            if not _in_plane(cross.angle_deg):
                self._mouth(cross, "hidden")

    # The view from outside.

    def outside(self) -> None:
        """The outline, the edges that can be seen, and hidden ones dashed."""
        self.shape(self.contour(cut=False), "outline")
        self._rings()
        self._corners()
        for side in self.body.sides:
            self._flat(side)
        self._outside_threads()
        for hole in self.across:
            if _in_plane(hole.angle_deg):
                self.shape(_across_shape(hole), "hidden")
            else:
                self._mouth(hole, "edge")
            self._cross_axis(hole)
        for notch in notches_of(self.part):
            if _in_plane(notch.angle_deg):
                self.shape(_notch_shape(notch, self.body.length_mm), "hidden")
            elif math.sin(math.radians(notch.angle_deg)) > 0:
                self._slot_seen(notch)

    def _rings(self) -> None:
        """Edges round the part, where it is round."""
        for index, (place, _) in enumerate(self.body.line[1:-1], 1):
            if self.body.turn_deg(index) > 20:
                for inside in (place - _HAIR_MM, place + _HAIR_MM):
                    for low, high in _seen_rounds(self.body.section(inside)):
                        self.line((place, low), (place, high), "edge")

    def _corners(self) -> None:
        """Edges along the part between flats, and between a flat and the round."""
        for start, end in pairwise(self.body.places()):
            if end - start < 2 * _HAIR_MM:
                continue
            one, other = _edges(self.body.section(start + _HAIR_MM)), _edges(self.body.section(end - _HAIR_MM))
            if len(one) == len(other):
                for (x, y), (further, _) in zip(one, other, strict=True):
                    if y > -_HAIR_MM:
                        self.line((start, x), (end, further), "edge")

    def _flat(self, side: Side) -> None:
        """Ends of a flat that is seen, and the thin cross that marks it."""
        facing = math.sin(math.radians(side.angle_deg))
        if not side.marked or facing < 0.5:
            return
        ends = [max(side.start_mm, 0.0), min(side.end_mm, self.body.length_mm)]
        spans = []
        for place, inside in zip(ends, (ends[0] + _HAIR_MM, ends[1] - _HAIR_MM), strict=True):
            span = self._width(side, inside)
            if span is None:
                return
            self.line((place, span[0]), (place, span[1]), "edge")
            spans.append((place, *span))
        (a, low, high), (b, deep, top) = spans
        self.line((a, low), (b, top), "thin")
        self.line((a, high), (b, deep), "thin")

    def _width(self, side: Side, place: float) -> tuple[float, float] | None:
        """Lowest and highest corner of a flat at a place; None where there is nothing left of it."""
        normal = math.radians(side.angle_deg)
        on_it = [
            x
            for x, y in _edges(self.body.section(place))
            if abs(x * math.cos(normal) + y * math.sin(normal) - side.half_mm) < 1e-3
        ]
        return (min(on_it), max(on_it)) if len(on_it) > 1 else None

    def _mouth(self, hole: Across, kind: str) -> None:
        """The mouth of a hole that is seen from above it: a circle, flattened as it turns away."""
        openings = [hole.angle_deg, *([hole.angle_deg + 180] if hole.through else [])]
        for angle in openings:
            facing = math.sin(math.radians(angle))
            if kind != "hidden" and facing <= 0:
                continue
            height = hole.line[0][0] * math.cos(math.radians(angle))
            x, y = self.frame.at(hole.at_mm, height)
            sizes = {hole.line[0][1], hole.radius_mm}
            for radius in sorted(sizes):
                wide = radius * self.frame.scale
                self.drawing.add("ellipse", kind, cx=x, cy=y, rx=wide, ry=wide * abs(facing))

    def _cross_axis(self, hole: Across) -> None:
        top = self.body.reach_mm(hole.at_mm, hole.angle_deg) + 2 / self.frame.scale
        if _in_plane(hole.angle_deg):
            sign = math.cos(math.radians(hole.angle_deg))
            self.line((hole.at_mm, sign * top), (hole.at_mm, -top if hole.through else 0), "centre")
        else:
            size = hole.line[0][1] + 1.5 / self.frame.scale
            height = hole.line[0][0] * math.cos(math.radians(hole.angle_deg))
            self.line((hole.at_mm, height - size), (hole.at_mm, height + size), "centre")

    def _slot_seen(self, notch: Notch) -> None:
        middle = notch.top_mm * math.cos(math.radians(notch.angle_deg))
        half = notch.width_mm / 2 * math.sin(math.radians(notch.angle_deg))
        start, end = max(notch.start_mm, 0), min(notch.end_mm, self.body.length_mm)
        self.shape([(start, middle - half), (end, middle - half), (end, middle + half), (start, middle + half)], "edge")

    def _outside_threads(self) -> None:
        for feature in self.part.features.values():
            if not isinstance(feature, ThreadFeature):
                continue
            form = thread(feature.thread)
            radius = float(form.external_minor_mm if feature.where == "external" else form.major_mm) / 2
            ends = sorted(
                self._from_face(float(p), back=feature.side == "back") for p in (feature.from_mm, feature.to_mm)
            )
            for sign in (1, -1):
                self.line((ends[0], sign * radius), (ends[1], sign * radius), "thin")


def _in_plane(angle_deg: float) -> bool:
    return abs(math.sin(math.radians(angle_deg))) < _EDGE_ON


def _across_shape(hole: Across) -> list[_Corner]:
    sign = math.cos(math.radians(hole.angle_deg))
    one = [(hole.at_mm - radius, sign * distance) for distance, radius in hole.line]
    other = [(hole.at_mm + radius, sign * distance) for distance, radius in reversed(hole.line)]
    return one + other


def _notch_shape(notch: Notch, length: float) -> list[_Corner]:
    sign = math.cos(math.radians(notch.angle_deg))
    start, end = max(notch.start_mm, 0.0), min(notch.end_mm, length)
    low, high = sign * notch.bottom_mm, sign * (notch.top_mm + 1)
    return [(start, low), (end, low), (end, high), (start, high)]


def _edges(section: list[tuple[_Corner, bool]]) -> list[_Corner]:
    """The corners of a section that are edges of the part: none on a full round."""
    if all(is_round for _, is_round in section):
        return []
    return [corner for corner, _ in section]


def _seen_rounds(section: list[tuple[_Corner, bool]]) -> Iterator[tuple[float, float]]:
    """Lowest and highest point of each round stretch of a section, as far as it is seen."""
    for index, ((x, y), is_round) in enumerate(section):
        if not is_round:
            continue
        (further, back), _ = section[(index + 1) % len(section)]
        heights = [height for height, depth in ((x, y), (further, back)) if depth > -_HAIR_MM]
        radius = math.hypot(x, y)
        turn = math.degrees(math.atan2(y, x)) % 360
        following = math.degrees(math.atan2(back, further)) % 360
        following += 360 if following <= turn else 0
        heights += [radius * math.cos(math.radians(a)) for a in (0, 180, 360) if turn <= a <= following]
        if heights:
            yield min(heights), max(heights)
