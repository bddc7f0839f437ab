"""What is hollow in the finished part: holes and bores on the axis and beside it, cross holes, slots, ring grooves.

Places are mm from the finished front face, radii and depths mm, angles degrees of the C axis.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from gemel.families.features import FaceGroove, Slot
from gemel.families.holes import AxialHole, BoltCircle, Bore, CrossHole
from gemel.families.processes import DrillAxial
from gemel.families.threads import thread

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.families.holes import Hole
    from gemel.families.part import Part

__all__ = ["Across", "Along", "Notch", "Ring", "across_of", "along_of", "notches_of", "rings_of"]

_POINT = 1 / math.tan(math.radians(118 / 2))
"""Length of a drill's point over its radius: 118 degrees, the usual twist drill (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Along:
    """A hole along the axis.

    Attributes:
        feature: its id.
        line: (depth from its face, radius) from the mouth inwards; the last radius is 0 for a drill's point.
        from_back: whether it begins in the back face.
        centre_mm: how far beside the axis it lies. angle_deg: in which direction.
        thread: (radius, depth) of a thread's outside; None for a plain hole.
        through: whether it opens on the other face.
    """

    feature: str
    line: tuple[tuple[float, float], ...]
    from_back: bool
    centre_mm: float = 0.0
    angle_deg: float = 0.0
    thread: tuple[float, float] | None = None
    through: bool = False

    @property
    def mouth_mm(self) -> float:
        """Radius behind a chamfer at the mouth."""
        return self.line[1][1] if len(self.line) > 2 and self.line[0][1] > self.line[1][1] else self.line[0][1]


@dataclass(frozen=True, slots=True)
class Across:
    """A hole across the axis.

    Attributes:
        feature: its id.
        at_mm: place of its axis. angle_deg: direction in which it opens.
        line: (distance from the part's axis, radius) from the mouth inwards, distances falling.
        through: whether it opens on the far side too.
        thread: (radius, distance from the axis at which the full thread ends); None for a plain hole.
    """

    feature: str
    at_mm: float
    angle_deg: float
    line: tuple[tuple[float, float], ...]
    through: bool
    thread: tuple[float, float] | None = None

    @property
    def radius_mm(self) -> float:
        """Of the hole behind its chamfer."""
        return self.line[-2][1] if self.line[-1][1] == 0 else self.line[-1][1]


@dataclass(frozen=True, slots=True)
class Notch:
    """A slot along the axis in the outside."""

    feature: str
    angle_deg: float
    width_mm: float
    bottom_mm: float
    top_mm: float
    start_mm: float
    end_mm: float


@dataclass(frozen=True, slots=True)
class Ring:
    """A ring groove in a face."""

    feature: str
    inner_mm: float
    outer_mm: float
    depth_mm: float
    from_back: bool


def along_of(part: Part) -> list[Along]:
    """Holes and bores along the axis."""
    return [hole for name in part.features for hole in _along(name, part)]


def _along(name: str, part: Part) -> Iterator[Along]:
    feature = part.features[name]
    length = float(part.length_mm)
    if isinstance(feature, AxialHole):
        yield _drilled(name, feature, _drill_depth(feature, name, part), length)
    elif isinstance(feature, BoltCircle):
        for angle in feature.angles():
            hole = _drilled(name, feature, float(feature.drill_depth_mm or _under_thread(feature)), length)
            yield replace(hole, centre_mm=float(feature.circle_dia_mm / 2), angle_deg=float(angle))
    elif isinstance(feature, Bore):
        yield from _bored(name, feature, length, part)


def _drilled(name: str, feature: AxialHole | BoltCircle, depth: float, length: float) -> Along:
    radius = float(feature.drilled_dia_mm) / 2
    line = [*_mouth(feature, radius), *_bottom(depth, radius, length)]
    whorl = None
    if feature.thread is not None:
        whorl = (float(thread(feature.thread).major_mm) / 2, float(feature.depth_mm))
    return Along(name, tuple(line), feature.side == "back", thread=whorl, through=depth >= length)


def _mouth(feature: Hole, radius: float) -> list[tuple[float, float]]:
    chamfer, outer = float(feature.chamfer_mm), float(feature.outer_dia_mm) / 2
    if not chamfer:
        return [(0.0, radius)]
    return [(0.0, outer + chamfer), (outer + chamfer - radius, radius)]


def _bottom(depth: float, radius: float, length: float) -> list[tuple[float, float]]:
    if depth >= length:
        return [(length, radius)]
    return [(depth, radius), (depth + radius * _POINT, 0.0)]


def _bored(name: str, feature: Bore, length: float, part: Part) -> Iterator[Along]:
    radius, depth = float(feature.dia_mm) / 2, min(float(feature.depth_mm), length)
    chamfer = float(feature.chamfer_mm)
    mouth = [(0.0, radius + chamfer), (chamfer, radius)] if chamfer else [(0.0, radius)]
    through = float(feature.depth_mm) >= length
    line = [*mouth, (depth, radius)]
    if not through and feature.predrilled_dia_mm is not None:
        drill = float(feature.predrilled_dia_mm) / 2
        drilled = max(depth, _drill_depth(feature, name, part))
        line += [(depth, drill), *_bottom(drilled, drill, length)]
        through = drilled >= length
    elif not through:
        line.append((depth, 0.0))
    yield Along(name, tuple(line), feature.side == "back", through=through)


def _drill_depth(feature: AxialHole | Bore, name: str, part: Part) -> float:
    """How deep the drill goes: as an operation says, else the feature."""
    said = [
        operation.depth_mm
        for operation in part.operations.values()
        if isinstance(operation, DrillAxial) and operation.feature == name and operation.depth_mm is not None
    ]
    own = feature.depth_mm if isinstance(feature, Bore) else feature.drill_depth_mm or _under_thread(feature)
    return float(max([own, *said]))


def _under_thread(feature: AxialHole | BoltCircle) -> float:
    """Depth of a hole whose drill depth is not given: two pitches more than its thread."""
    if feature.thread is None:
        return float(feature.depth_mm)
    return float(feature.depth_mm + 2 * thread(feature.thread).pitch_mm)


def across_of(part: Part) -> list[Across]:
    """Cross holes, one for every place and angle."""
    found: list[Across] = []
    for name, feature in part.features.items():
        if not isinstance(feature, CrossHole):
            continue
        for place in feature.positions():
            found += [_across(name, feature, float(place), float(angle), part) for angle in feature.angles()]
    return found


def _across(name: str, feature: CrossHole, place: float, angle: float, part: Part) -> Across:
    surface = float(feature.surface_dia_mm or part.stock.round_mm) / 2
    radius = float(feature.drilled_dia_mm) / 2
    mouth = [(surface - depth, size) for depth, size in _mouth(feature, radius)]
    if feature.through or feature.depth_mm is None:
        line = [*mouth, (-surface, radius)]
    else:
        deep = float(feature.drill_depth_mm or feature.depth_mm)
        line = [*mouth, (surface - deep, radius), (surface - deep - radius * _POINT, 0.0)]
    whorl = None
    if feature.thread is not None:
        end = -surface if feature.through or feature.depth_mm is None else surface - float(feature.depth_mm)
        whorl = (float(thread(feature.thread).major_mm) / 2, end)
    return Across(name, place, angle, tuple(line), feature.through, whorl)


def notches_of(part: Part) -> list[Notch]:
    """Slots, one for every angle."""
    found: list[Notch] = []
    for name, feature in part.features.items():
        if not isinstance(feature, Slot):
            continue
        top = float(feature.surface_dia_mm or part.stock.round_mm) / 2
        start, end = float(feature.from_mm), float(feature.to_mm)
        for angle in feature.angles():
            bottom = top - float(feature.depth_mm)
            found.append(Notch(name, float(angle), float(feature.width_mm), bottom, top, start, end))
    return found


def rings_of(part: Part) -> list[Ring]:
    """Ring grooves in the faces."""
    return [
        Ring(
            name,
            float(feature.inner_dia_mm) / 2,
            float(feature.outer_dia_mm) / 2,
            float(feature.depth_mm),
            feature.side == "back",
        )
        for name, feature in part.features.items()
        if isinstance(feature, FaceGroove)
    ]
