"""The picture of the finished part: side view, one or two end views, dimensioned, to scale."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING, NamedTuple

from gemel.reports.callouts import Span, callouts_of, draw_callouts, draw_spans, rows_height_mm, spans_height_mm
from gemel.reports.end_view import Face, draw_end, faces_of
from gemel.reports.labels import Room
from gemel.reports.side_view import Frame, draw_side, is_cut_open
from gemel.reports.sizes import plain
from gemel.reports.solid import body_of
from gemel.reports.svg import Drawing

if TYPE_CHECKING:
    from collections.abc import Sequence

    from gemel.families.part import Part
    from gemel.reports.callouts import Callout
    from gemel.reports.sizes import Size
    from gemel.reports.solid import Body

__all__ = ["Picture", "picture"]

WIDTH_MM = 186.0
_TALLEST_MM = 62.0
_SCALES = (50.0, 20.0, 10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01)
"""Preferred scales of ISO 5455."""

_EDGE_MM = 2.0
_BETWEEN_MM = 6.0
_FACE_ROOM_MM = 42.0
_CAPTION_MM = 5.5


class Picture(NamedTuple):
    """A drawing and its scale, as `2:1`."""

    drawing: Drawing
    scale: str


class _Layout(NamedTuple):
    """Where the views stand: paper x and width of their columns, and the scale."""

    scale: float
    side: Room
    faces: tuple[tuple[str, Room], ...]


def picture(part: Part, sizes: Sequence[Size], key: str = "part") -> Picture:
    """The part with its sizes; `key` keeps the drawing's names apart from those of others on a page."""
    body = body_of(part)
    layout = _layout(part, body)
    height = 2 * body.radius_mm * layout.scale
    name = f"{part.title}, member {part.member}, scale {scale_text(layout.scale)}"
    drawing = Drawing(WIDTH_MM, 0.0, name)
    views = _Views(drawing, body, layout, sizes, height)
    views.measure()
    frame = Frame(layout.side.right_mm, views.axis_mm, layout.scale)
    draw_side(drawing, part, body, frame, key)
    for face in views.faces:
        draw_end(drawing, part, body, face)
    views.dimension()
    views.captions(cut=is_cut_open(part))
    return Picture(drawing, scale_text(layout.scale))


def scale_text(scale: float) -> str:
    """`2:1`, `1:5`."""
    return f"{plain(scale)}:1" if scale >= 1 else f"1:{plain(1 / scale)}"


def _layout(part: Part, body: Body) -> _Layout:
    """The largest preferred scale at which all views fit beside each other."""
    sides = faces_of(part)
    for scale in _SCALES:
        across = 2 * body.radius_mm * scale
        face_mm = max(across + 4, _FACE_ROOM_MM)
        total = body.length_mm * scale + len(sides) * (face_mm + _BETWEEN_MM) + 2 * _EDGE_MM
        if (total <= WIDTH_MM and across <= _TALLEST_MM) or scale == _SCALES[-1]:
            break
    spare = max(0.0, WIDTH_MM - total) / (len(sides) + 2)
    left = _EDGE_MM + spare
    faces = []
    if "back" in sides:
        faces.append(("back", Room(left, left + face_mm)))
        left += face_mm + _BETWEEN_MM + spare
    side = Room(left, left + body.length_mm * scale)
    left = side.right_mm + _BETWEEN_MM + spare
    faces.append(("front", Room(left, left + face_mm)))
    return _Layout(scale, side, tuple(faces))


class _Views:
    """The views, their labels and dimension lines, and how high everything is."""

    def __init__(self, drawing: Drawing, body: Body, layout: _Layout, sizes: Sequence[Size], height: float) -> None:
        self.drawing = drawing
        self.body = body
        self.layout = layout
        self.sizes = sizes
        self.half = height / 2
        self.axis_mm = 0.0
        self.faces: list[Face] = []
        self._below = 0.0

    def measure(self) -> None:
        """Heights first: the axis lies under what the labels above need."""
        above = [rows_height_mm(c, room) for c, room in self._labels(below=False)]
        self.axis_mm = 2.0 + max(above) + self.half + 3.0
        self.faces = [
            Face(side, ((room.left_mm + room.right_mm) / 2, self.axis_mm), self.layout.scale)
            for side, room in self.layout.faces
        ]
        under = [rows_height_mm(c, room) for c, room in self._labels(below=True)]
        self._below = max([spans_height_mm(self._spans()), *under])
        self.drawing.height_mm = self.axis_mm + self.half + 3.0 + self._below + _CAPTION_MM

    def _labels(self, *, below: bool) -> list[tuple[list[Callout], Room]]:
        """The labels of each view on one side of it, and the room for them."""
        found = [] if below else [(self._side_labels(), self._side_room())]
        for side, room in self.layout.faces:
            face = Face(side, ((room.left_mm + room.right_mm) / 2, self.axis_mm), self.layout.scale)
            found.append((self._face_labels(face, self._widened(room), below=below), self._widened(room)))
        return found

    def _side_room(self) -> Room:
        """From the middle of one gap to that of the other; where an end view has no labels above, over it too."""
        left, right = 1.0, WIDTH_MM - 1.0
        for side, room in self.layout.faces:
            face = Face(side, ((room.left_mm + room.right_mm) / 2, 0.0), self.layout.scale)
            if self._face_labels(face, self._widened(room), below=False):
                if side == "back":
                    left = self._widened(room).right_mm + 1
                else:
                    right = self._widened(room).left_mm - 1
        return Room(left, right)

    def _widened(self, room: Room) -> Room:
        middle = _BETWEEN_MM / 2
        return Room(max(1.0, room.left_mm - middle), min(WIDTH_MM - 1, room.right_mm + middle))

    def _shown(self, view: str) -> list[list[Size]]:
        """Sizes of a view, those at one point together."""
        here = sorted((s for s in self.sizes if s.anchor.view == view), key=lambda s: (s.anchor[1:], s.number))
        return [list(group) for _, group in groupby(here, key=lambda s: s.anchor)]

    def _side_labels(self) -> list[Callout]:
        frame = Frame(self.layout.side.right_mm, self.axis_mm, self.layout.scale)
        return [callouts_of(g, frame.at(g[0].anchor.first, g[0].anchor.second)) for g in self._shown("side")]

    def _face_labels(self, face: Face, room: Room, *, below: bool) -> list[Callout]:
        widest = room.right_mm - room.left_mm - 1
        made = [callouts_of(g, face.at(g[0].anchor.first, g[0].anchor.second), widest) for g in self._shown(face.side)]
        return [c for c in made if (c.target[1] > face.centre[1] - 1e-6) == below]

    def _spans(self) -> list[Span]:
        frame = Frame(self.layout.side.right_mm, self.axis_mm, self.layout.scale)
        found = []
        for size, *_ in self._shown("span"):
            near, far = size.anchor.first, size.anchor.second
            left, right = frame.at(far, -self._reach(far)), frame.at(near, -self._reach(near))
            found.append(Span(str(size.number), size.text, left[0], right[0], left[1], right[1]))
        return found

    def _reach(self, place: float) -> float:
        """How far down the part goes near a place."""
        return max(self.body.reach_mm(min(max(p, 0.0), self.body.length_mm), 180) for p in (place - 0.01, place + 0.01))

    def dimension(self) -> None:
        """Every label and dimension line."""
        for below in (False, True):
            edge = self.axis_mm + (self.half + 3.0 if below else -self.half - 3.0)
            for callouts, room in self._labels(below=below):
                draw_callouts(self.drawing, callouts, room, edge, below=below)
        draw_spans(self.drawing, self._spans(), self.axis_mm + self.half)

    def captions(self, *, cut: bool) -> None:
        """What each view is."""
        y = self.drawing.height_mm - 1.2
        middle = (self.layout.side.left_mm + self.layout.side.right_mm) / 2
        what = "cut along C0" if cut else "from the side, C0 up"
        self.drawing.text((middle, y), f"{what}; front face on the right", "caption")
        for side, room in self.layout.faces:
            self.drawing.text(((room.left_mm + room.right_mm) / 2, y), f"on the {side} face", "caption")
