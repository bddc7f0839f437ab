"""Labels with leaders, and dimension lines, with the numbers of the inspection list."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from gemel.reports.labels import FOOT_MM, levels, spread
from gemel.reports.svg import MM_PER_PT, text_width_mm

if TYPE_CHECKING:
    from collections.abc import Sequence

    from gemel.reports.labels import Placed, Room
    from gemel.reports.sizes import Size
    from gemel.reports.svg import Drawing, Point

__all__ = ["Callout", "Span", "callouts_of", "draw_callouts", "draw_spans", "rows_height_mm", "spans_height_mm"]

TEXT_MM = 8.2 * MM_PER_PT
NUMBER_MM = 7.2 * MM_PER_PT
_LINE_MM = 3.7
_ELBOW_MM = 5.0
_LEVEL_MM = 5.2
_FIRST_LEVEL_MM = 6.0
_WIDEST_MM = 40.0
_PILL_MM = 3.5
_AFTER_PILL_MM = 0.9
_ARROW_MM = 2.0
_LEFT_OUT = (" core", "outside diameter")


class Callout(NamedTuple):
    """A label: its number or numbers, its lines, and the point it names on the paper."""

    number: str
    lines: tuple[str, ...]
    target: Point

    @property
    def width_mm(self) -> float:
        """Of the widest line; the first one begins behind the number."""
        widths = [text_width_mm(line, TEXT_MM) for line in self.lines]
        return pill_width_mm(self.number) + _AFTER_PILL_MM + max(widths)


@dataclass(frozen=True, slots=True)
class Span:
    """A dimension line: its number, its text, its ends on the paper, from where its extension lines come."""

    number: str
    text: str
    left_mm: float
    right_mm: float
    from_left_mm: float
    from_right_mm: float

    @property
    def label_mm(self) -> float:
        """Width of number and text."""
        return pill_width_mm(self.number) + _AFTER_PILL_MM + text_width_mm(self.text, TEXT_MM)

    @property
    def is_narrow(self) -> bool:
        """Whether the text stands beside the line, to its left."""
        return self.label_mm + 2 * _ARROW_MM > self.right_mm - self.left_mm

    @property
    def taken(self) -> tuple[float, float]:
        """What the line and its text take on their level."""
        return self.left_mm - (self.label_mm + _ARROW_MM + 2 if self.is_narrow else 0), self.right_mm


def pill_width_mm(number: str) -> float:
    """Width of a number's frame."""
    return max(_PILL_MM, text_width_mm(number, NUMBER_MM) + 1.6)


def callouts_of(sizes: Sequence[Size], target: Point, widest_mm: float = _WIDEST_MM) -> Callout:
    """One label for sizes that are shown at one point; what only a gauge needs is in the list alone.

    Lines are broken between sizes, so that the label is no wider than `widest_mm` if no single size is.
    """
    number = numbers_of([s.number for s in sizes])
    room_mm = min(_WIDEST_MM, widest_mm - pill_width_mm(number) - _AFTER_PILL_MM - text_width_mm(",", TEXT_MM))
    texts = [s.text for s in sizes if not any(word in s.text or word in s.what for word in _LEFT_OUT)]
    lines: list[str] = []
    for text in texts or [sizes[0].text]:
        joined = f"{lines[-1]}, {text}" if lines else text
        if lines and text_width_mm(joined, TEXT_MM) <= room_mm:
            lines[-1] = joined
        elif lines:
            lines[-1] += ","
            lines.append(text)
        else:
            lines.append(text)
    return Callout(number, tuple(lines), target)


def numbers_of(numbers: Sequence[int]) -> str:
    """`5`, `5-8` for a row without a gap, `5, 8` else."""
    if len(numbers) > 1 and numbers[-1] - numbers[0] == len(numbers) - 1:
        return f"{numbers[0]}\N{EN DASH}{numbers[-1]}"
    return ", ".join(str(n) for n in numbers)


def rows_height_mm(callouts: Sequence[Callout], room: Room) -> float:
    """How much height labels take, their leaders' bend included."""
    if not callouts:
        return 0.0
    placed = _placed(callouts, room)
    rows = 1 + max(p.row for p in placed)
    return _ELBOW_MM + sum(_row_mm(callouts, placed, row) for row in range(rows))


def _placed(callouts: Sequence[Callout], room: Room) -> list[Placed]:
    return spread([c.target[0] for c in callouts], [c.width_mm for c in callouts], room)


def _row_mm(callouts: Sequence[Callout], placed: Sequence[Placed], row: int) -> float:
    return 1.4 + _LINE_MM * max(len(c.lines) for c, p in zip(callouts, placed, strict=True) if p.row == row)


def draw_callouts(drawing: Drawing, callouts: Sequence[Callout], room: Room, edge_mm: float, *, below: bool) -> None:
    """Labels above (or below) a view whose nearest edge to them is at paper y `edge_mm`."""
    placed = _placed(callouts, room)
    away = 1 if below else -1
    for callout, place in zip(callouts, placed, strict=True):
        nearer = sum(_row_mm(callouts, placed, row) for row in range(place.row))
        foot = edge_mm + away * (_ELBOW_MM + nearer)
        height = _row_mm(callouts, placed, place.row)
        bend = edge_mm + away * _ELBOW_MM
        x, y = callout.target
        drawing.polyline([(place.leader_mm, foot), (place.leader_mm, bend), (x, edge_mm), (x, y)], "leader")
        drawing.circle((x, y), 0.5, "solid")
        lines = len(callout.lines)
        top = foot + 0.6 if below else foot - height + (height - _LINE_MM * lines) - 0.4
        _draw_label(drawing, callout, (place.leader_mm - FOOT_MM, top))


def _draw_label(drawing: Drawing, callout: Callout, corner: Point) -> None:
    """A label by its upper left corner."""
    left, top = corner
    baseline = top + _LINE_MM * 0.76
    draw_number(drawing, callout.number, (left, baseline))
    indent = pill_width_mm(callout.number) + _AFTER_PILL_MM
    for index, line in enumerate(callout.lines):
        drawing.text((left + indent, baseline + index * _LINE_MM), line, "size")


def draw_number(drawing: Drawing, number: str, at: Point) -> None:
    """A framed number whose frame begins at a point of the baseline."""
    wide = pill_width_mm(number)
    drawing.add(
        "rect",
        "pill",
        x=at[0],
        y=at[1] - _PILL_MM * 0.78,
        width=wide,
        height=_PILL_MM,
        rx=_PILL_MM / 2,
    )
    drawing.text((at[0] + wide / 2, at[1] - 0.1), number, "number")


def spans_height_mm(spans: Sequence[Span]) -> float:
    """How much height dimension lines take under a view."""
    if not spans:
        return 0.0
    return _FIRST_LEVEL_MM + _LEVEL_MM * (0.4 + max(levels([s.taken for s in spans])))


def draw_spans(drawing: Drawing, spans: Sequence[Span], edge_mm: float) -> None:
    """Dimension lines under a view whose lowest point is at paper y `edge_mm`."""
    rows = levels([s.taken for s in spans])
    for span, row in zip(spans, rows, strict=True):
        y = edge_mm + _FIRST_LEVEL_MM + row * _LEVEL_MM
        for x, start in ((span.left_mm, span.from_left_mm), (span.right_mm, span.from_right_mm)):
            drawing.line((x, start + 0.8), (x, y + 1.2), "thin")
    for span, row in zip(spans, rows, strict=True):
        _draw_span(drawing, span, edge_mm + _FIRST_LEVEL_MM + row * _LEVEL_MM)


def _draw_span(drawing: Drawing, span: Span, y: float) -> None:
    drawing.line((span.left_mm, y), (span.right_mm, y), "thin")
    inwards = 1 if span.right_mm - span.left_mm > 2.5 * _ARROW_MM else -1
    for x, way in ((span.left_mm, inwards), (span.right_mm, -inwards)):
        drawing.polyline([(x, y), (x + way * _ARROW_MM, y - 0.4), (x + way * _ARROW_MM, y + 0.4)], "solid", closed=True)
    left = (span.left_mm + span.right_mm - span.label_mm) / 2
    if span.is_narrow:
        left = span.left_mm - span.label_mm - _ARROW_MM - 1
        drawing.line((left, y), (span.left_mm, y), "thin")
    drawing.rectangle((left - 0.4, y - _LINE_MM * 0.55), span.label_mm + 0.8, _LINE_MM * 1.1, "paper")
    draw_number(drawing, span.number, (left, y + 1.05))
    indent = pill_width_mm(span.number) + _AFTER_PILL_MM
    drawing.text((left + indent, y + 1.05), span.text, "size")
