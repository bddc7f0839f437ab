"""What rotating tools have cut away, as boxes, and how high the material stands beside the axis.

A box is what a cutter has swept at one angle of the C axis: a range of Y and Z above a level, seen in the frame that
is turned with the workpiece. Heights are distances from the axis along the tool, in mm.
"""

from __future__ import annotations

from math import cos, radians, sin, sqrt
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["NOTHING", "Box", "add", "height"]

NOTHING = float("-inf")
_SLACK_MM = 1e-6
_SQUARE = 1e-9


class Box(NamedTuple):
    """What is cut away above `level`, at an angle of the C axis, in degrees."""

    angle: float
    level: float
    y_low: float
    y_high: float
    z_low: float
    z_high: float

    def holds(self, other: Box) -> bool:
        """Whether the other one is inside it, at the same angle."""
        return (
            self.angle == other.angle
            and self.level <= other.level + _SLACK_MM
            and self.y_low <= other.y_low + _SLACK_MM
            and self.y_high >= other.y_high - _SLACK_MM
            and self.z_low <= other.z_low + _SLACK_MM
            and self.z_high >= other.z_high - _SLACK_MM
        )

    def continues(self, other: Box) -> bool:
        """Whether both are one cut, side by side along Z."""
        same = self.angle == other.angle and abs(self.level - other.level) < _SLACK_MM
        across = abs(self.y_low - other.y_low) < _SLACK_MM and abs(self.y_high - other.y_high) < _SLACK_MM
        return same and across and self.z_low <= other.z_high + _SLACK_MM and other.z_low <= self.z_high + _SLACK_MM


def add(boxes: list[Box], box: Box) -> None:
    """Put a box to the others: joined to the one it continues, those that it holds left out."""
    for at, other in enumerate(boxes):
        if other.holds(box):
            return
        if other.continues(box):
            z_low, z_high = min(other.z_low, box.z_low), max(other.z_high, box.z_high)
            box = box._replace(z_low=z_low, z_high=z_high)
            del boxes[at]
            break
    boxes[:] = [other for other in boxes if not box.holds(other)]
    boxes.append(box)


def height(boxes: Sequence[Box], angle: float, y: float, radius: float) -> float:
    """How high material stands at a place beside the axis: a round of a radius less the boxes.

    The boxes are those whose Z is right. One at another angle counts as a flat across the whole round, which it is
    where it is as wide as the round there; a narrow one at another angle is left out.
    """
    if abs(y) >= radius:
        return NOTHING
    top = sqrt(radius * radius - y * y)
    for box in boxes:
        if box.angle == angle:
            if box.y_low <= y <= box.y_high:
                top = min(top, box.level)
            continue
        if box.level < radius and _is_flat(box, radius):
            top = _below(top, box, angle, y)
    return top


def _is_flat(box: Box, radius: float) -> bool:
    half = sqrt(max(radius * radius - box.level * box.level, 0.0))
    return box.y_low <= -half + _SLACK_MM and box.y_high >= half - _SLACK_MM


def _below(top: float, box: Box, angle: float, y: float) -> float:
    """The height left by a flat at another angle: n . p <= level, solved for the height."""
    turn = radians(box.angle - angle)
    along, across = cos(turn), sin(turn)
    if abs(along) < _SQUARE:
        return top if y * across <= box.level + _SLACK_MM else NOTHING
    if along > 0:
        return min(top, (box.level - y * across) / along)
    return top
