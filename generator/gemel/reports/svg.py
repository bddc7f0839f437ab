"""Drawings as SVG text: one user unit is one millimetre on paper, y grows downward.

Built as a tree and written out by the standard library, so that no text of a user can become markup.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING
from xml.etree.ElementTree import Element, SubElement, tostring

from markupsafe import Markup

from gemel.findings import printable

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = ["MM_PER_PT", "Drawing", "Point", "text_width_mm"]

Point = tuple[float, float]
"""x to the right, y downward, mm."""

MM_PER_PT = 25.4 / 72

_WIDE_EM = 0.65
"""Width of a digit in the widest of the usual sans-serif fonts (DejaVu Sans 0.636 em, measured)."""

_NARROW = frozenset(" .,:;'|!()[]/ilIjtf-")
_NARROW_EM = 0.42
_CAPITAL_EM = 0.76
_WIDEST = frozenset("MWmw@%\N{MULTIPLICATION SIGN}\N{DIAMETER SIGN}")
_WIDEST_EM = 1.0


def text_width_mm(text: str, size_mm: float) -> float:
    """A width that the text does not exceed in the usual sans-serif fonts."""
    return size_mm * sum(_em(character) for character in text)


def _em(character: str) -> float:
    if character in _NARROW:
        return _NARROW_EM
    if character in _WIDEST:
        return _WIDEST_EM
    return _CAPITAL_EM if character.isupper() else _WIDE_EM


class Drawing:
    """An SVG under construction.

    Attributes:
        width_mm: of the whole drawing. height_mm: likewise; may be set until it is written out.
        node: where the next shape goes.
    """

    def __init__(self, width_mm: float, height_mm: float, label: str) -> None:
        self.width_mm = width_mm
        self.height_mm = height_mm
        self._root = Element("svg", {"xmlns": "http://www.w3.org/2000/svg", "role": "img"})
        SubElement(self._root, "title").text = printable(label)
        self.node = self._root

    def add(self, tag: str, kind: str = "", /, **attributes: float | str) -> Element:
        """A shape of a class; underscores in the names of attributes stand for hyphens."""
        given = {name.rstrip("_").replace("_", "-"): _spelled(value) for name, value in attributes.items()}
        if kind:
            given = {"class": kind, **given}
        return SubElement(self.node, tag, given)

    def group(self, kind: str = "", /, **attributes: float | str) -> Element:
        """A group; shapes go into it after `drawing.node = group`."""
        return self.add("g", kind, **attributes)

    def line(self, start: Point, end: Point, kind: str) -> Element:
        """A straight line."""
        return self.add("path", kind, d=_path([start, end]))

    def polyline(self, points: Iterable[Point], kind: str, *, closed: bool = False) -> Element:
        """A line through points."""
        return self.add("path", kind, d=_path(points) + ("Z" if closed else ""))

    def circle(self, centre: Point, radius_mm: float, kind: str) -> Element:
        """A circle."""
        return self.add("circle", kind, cx=centre[0], cy=centre[1], r=radius_mm)

    def rectangle(self, corner: Point, width_mm: float, height_mm: float, kind: str) -> Element:
        """A rectangle by its upper left corner."""
        return self.add("rect", kind, x=corner[0], y=corner[1], width=width_mm, height=height_mm)

    def text(self, at: Point, text: str, kind: str, **attributes: float | str) -> Element:
        """A line of text whose baseline begins at a point; control characters are made visible."""
        node = self.add("text", kind, x=at[0], y=at[1], **attributes)
        node.text = printable(text)
        return node

    def hatch(self, corners: Iterable[Point], kind: str, step_mm: float) -> Element:
        """Lines at 45 degrees over the rectangle round some points, as one path; what they fall on is to be clipped.

        Lines and not a pattern: printers and makers of PDF show the seams of small tiles.
        """
        points = list(corners)
        left, right = min(x for x, _ in points), max(x for x, _ in points)
        top, low = min(y for _, y in points), max(y for _, y in points)
        height = low - top
        # On a grid of the whole drawing, so that shapes that meet are hatched as one.
        first = math.floor((left + top) / step_mm)
        last = math.ceil((right + low) / step_mm)
        starts = [index * step_mm for index in range(first, last + 1)]
        lines = "".join(_path([(total - top, top), (total - top - height, low)]) for total in starts)
        return self.add("path", kind, d=lines or "M0 0")

    def hint(self, node: Element, text: str) -> None:
        """What a pointer that rests on a shape is told; lines of it stay lines."""
        SubElement(node, "title").text = "\n".join(printable(line) for line in text.split("\n"))

    def markup(self) -> Markup:
        """The drawing as markup that needs no escaping any more."""
        self._root.set("viewBox", f"0 0 {_spelled(self.width_mm)} {_spelled(self.height_mm)}")
        self._root.set("width", f"{_spelled(self.width_mm)}mm")
        self._root.set("height", f"{_spelled(self.height_mm)}mm")
        return Markup(tostring(self._root, encoding="unicode"))  # noqa: S704 # the tree has escaped every text


def _spelled(value: float | str) -> str:
    """A number to a thousandth of a millimetre, the same on every machine."""
    if isinstance(value, str):
        return value
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def _path(points: Iterable[Point]) -> str:
    return "M" + "L".join(f"{_spelled(x)} {_spelled(y)}" for x, y in points)
