"""Holes and bores; see `gemel.families.features` for frame and units."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from gemel.documents import Strict
from gemel.families.formula import Allowance, Extent, ThreadName
from gemel.families.patterns import Angles, Pattern, Positions, angles_of
from gemel.families.roughness import Roughness
from gemel.families.threads import thread

__all__ = ["AxialHole", "BoltCircle", "Bore", "CrossHole", "Hole", "Side"]

Side = Literal["front", "back"]
Hand = Literal["right", "left"]


class Hole(Strict):
    """What every hole has: a diameter or a thread (exactly one of them).

    Attributes:
        diameter: of a plain hole.
        thread: of a tapped hole, by name, `M5`, `M8x1`, `G1/8`, or by a value that is a thread.
        hand: of a thread, right or left.
        chamfer: 45 degree chamfer at the mouth, on the radius.
        drill_depth: full depth of the hole under a thread, to the drill's corner; default: thread depth and run-out.
    """

    dia_mm: Extent | None = Field(None, alias="diameter")
    thread: ThreadName | None = None
    hand: Hand = "right"
    chamfer_mm: Allowance = Field(0.0, alias="chamfer")
    drill_depth_mm: Extent | None = Field(None, alias="drill_depth")

    @property
    def drilled_dia_mm(self) -> float:
        """Diameter of the drill: the hole's own, or the thread's tapping drill."""
        if self.thread is not None:
            return thread(self.thread).tap_drill_mm
        assert self.dia_mm is not None
        return self.dia_mm

    @property
    def outer_dia_mm(self) -> float:
        """Diameter at the mouth without its chamfer: the hole's own, or the thread's major diameter."""
        if self.thread is not None:
            return thread(self.thread).major_mm
        assert self.dia_mm is not None
        return self.dia_mm


class CrossHole(Hole):
    """Holes across the axis, made by the head or a live tool with the C axis.

    Attributes:
        at: distances from the front face, as a list or `{first, step, count}`.
        angle: C angles, as a list or `{first, step, count}`; every position gets a hole at every angle.
        depth: full depth from `surface` (thread depth for a tapped hole), on the radius; or `through`.
        through: the hole goes through the whole part.
        surface: X (a diameter) of the surface where the hole begins; default: the bar's size.
    """

    kind: Literal["cross_hole"]
    at: Positions
    angle: Angles | None = None
    depth_mm: Extent | None = Field(None, alias="depth")
    through: bool = False
    surface_dia_mm: Extent | None = Field(None, alias="surface")

    def positions(self) -> list[float]:
        """Distances of the holes from the front face, mm, of a resolved feature."""
        return self.at.positions() if isinstance(self.at, Pattern) else self.at

    def angles(self) -> list[float]:
        """C angles of the holes, degrees, of a resolved feature."""
        return angles_of(self.angle)


class AxialHole(Hole):
    """A hole on the axis.

    Attributes:
        side: the face it starts from.
        depth: full depth (thread depth for a tapped hole) from that face, to the drill's corner.
    """

    kind: Literal["axial_hole"]
    side: Side = "front"
    depth_mm: Extent = Field(alias="depth")


class BoltCircle(Hole):
    """Holes along the axis on a circle.

    Attributes:
        circle: diameter of the circle.
        angle: C angles, as a list or `{first, step, count}`.
        depth: full depth (thread depth for tapped holes) from the face of `side`.
        side: the face they start from.
    """

    kind: Literal["bolt_circle"]
    circle_dia_mm: Extent = Field(alias="circle")
    angle: Angles
    depth_mm: Extent = Field(alias="depth")
    side: Side = "front"

    def angles(self) -> list[float]:
        """C angles of the holes, degrees, of a resolved feature."""
        return angles_of(self.angle)


class Bore(Strict):
    """A bored diameter on the axis.

    Attributes:
        diameter: finished diameter.
        depth: from its face to the shoulder.
        side: the face it starts from.
        chamfer: 45 degree chamfer at the mouth.
        predrilled: diameter of the hole that is there before boring.
        roughness: what the drawing allows in it.
    """

    kind: Literal["bore"]
    dia_mm: Extent = Field(alias="diameter")
    depth_mm: Extent = Field(alias="depth")
    side: Side = "front"
    chamfer_mm: Allowance = Field(0.0, alias="chamfer")
    predrilled_dia_mm: Extent | None = Field(None, alias="predrilled")
    roughness: Roughness | None = None
