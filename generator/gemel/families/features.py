"""What a drawing shows: one model per kind of feature.

Positions along the part count from its finished front face inwards: `from: 0` is the front face, `to: length` the
back face (Z is the negative of it under the left offset). Diameters and across-flats are full sizes. Lengths are in
the family's unit in YAML and in mm in a resolved part; angles in degrees of the C axis.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from gemel.documents import Strict
from gemel.families.formula import Allowance, AtLeastOne, Extent, Formula, Length, Text, ThreadName
from gemel.families.holes import AxialHole, BoltCircle, Bore, CrossHole, Side
from gemel.families.patterns import Angles, angles_of
from gemel.families.roughness import Roughness

__all__ = [
    "Bar",
    "ChamferEdges",
    "FaceGroove",
    "Feature",
    "FeatureFace",
    "Flats",
    "Groove",
    "Hexagon",
    "PartFeature",
    "Slot",
    "Square",
    "ThreadFeature",
    "Turned",
    "TurnedStep",
]


Corners = Literal["sharp", "round"]


class PartFeature(Strict):
    """The part as a whole. A family has exactly one.

    Attributes:
        length: finished length over all.
    """

    kind: Literal["part"]
    length_mm: Extent = Field(alias="length")


class Bar(Strict):
    """The bar in the left chuck.

    Attributes:
        stick_out: how far the fresh bar end stands out of the chuck's face before the first cut.
        allowance: stock left in front of the finished front face for facing.
    """

    kind: Literal["bar"]
    stick_out_mm: Extent = Field(alias="stick_out")
    allowance_mm: Allowance = Field(0.5, alias="allowance")


class FeatureFace(Strict):
    """A plane face across the axis.

    Attributes:
        side: the front face (left spindle) or the back face (right spindle).
        inner: diameter at which the face ends; 0 to the centre.
        chamfer: 45 degree chamfer on the outer edge, measured along the axis.
        roughness: what the drawing allows on it.
    """

    kind: Literal["face"]
    side: Side = "front"
    inner_dia_mm: Allowance = Field(0.0, alias="inner")
    chamfer_mm: Allowance = Field(0.0, alias="chamfer")
    roughness: Roughness | None = None


class TurnedStep(Strict):
    """One diameter of a turned profile, from the end of the step before (or the front face).

    Attributes:
        diameter: at the step's front end.
        taper_to: diameter at the step's far end, for a cone; default: the same.
        length: how long the step is; or give `to`.
        to: distance of its far end from the front face; or give `length`.
        chamfer: 45 degree chamfer on the step's front edge.
        radius: rounding of the step's front edge, instead of a chamfer.
        fillet: radius in the corner at its far end, where the next step is larger.
    """

    dia_mm: Extent = Field(alias="diameter")
    taper_to_mm: Extent | None = Field(None, alias="taper_to")
    length_mm: Extent | None = Field(None, alias="length")
    to_mm: Length | None = Field(None, alias="to")
    chamfer_mm: Allowance = Field(0.0, alias="chamfer")
    radius_mm: Allowance = Field(0.0, alias="radius")
    fillet_mm: Allowance = Field(0.0, alias="fillet")


class Turned(Strict):
    """A round part or its turned profile, step by step from the front face.

    Attributes:
        steps: the diameters in order.
        roughness: what the drawing allows on all of them.
    """

    kind: Literal["turned"]
    steps: list[TurnedStep] = Field(min_length=1)
    roughness: Roughness | None = None

    def spans(self) -> list[tuple[float, float]]:
        """Start and end of every step, mm from the front face, of a resolved profile."""
        spans: list[tuple[float, float]] = []
        start = 0.0
        for step in self.steps:
            end = step.to_mm if step.to_mm is not None else start + (step.length_mm or 0.0)
            spans.append((start, end))
            start = end
        return spans


class _Across(Strict):
    """What all flats have.

    Attributes:
        across: distance across opposite flats (twice the distance from the axis).
        from: start, from the front face.
        to: end, from the front face.
        angle: C angle of the first flat's normal.
    """

    across_mm: Extent = Field(alias="across")
    from_mm: Length = Field(0.0, alias="from")
    to_mm: Length = Field(alias="to")
    angle_deg: Formula = Field(0.0, alias="angle")


class Flats(_Across):
    """Flat faces round the part: `count` of them, evenly spaced, each `across` / 2 from the axis.

    Attributes:
        count: how many; 2 for wrench flats, 1 for a single flat.
        corners: whether three or more must meet in sharp corners, or may leave some of the bar's round between them.
    """

    kind: Literal["flats"]
    count: AtLeastOne
    corners: Corners = "round"

    def angles(self) -> list[float]:
        """C angle of every flat's normal, degrees, of resolved flats."""
        return [self.angle_deg + 360.0 / self.count * index for index in range(round(self.count))]


class Square(_Across):
    """Four flats at right angles; a resolved part has `Flats` with count 4 instead.

    Attributes:
        corners: `sharp` needs a bar over the corners; `round` leaves some of the bar's round between the flats.
    """

    kind: Literal["square"]
    corners: Corners = "sharp"


class Hexagon(_Across):
    """Six flats; a resolved part has `Flats` with count 6 instead.

    Attributes:
        corners: `sharp` needs a bar over the corners; `round` leaves some of the bar's round between the flats.
    """

    kind: Literal["hexagon"]
    corners: Corners = "sharp"


class Groove(Strict):
    """A groove round the part.

    Attributes:
        diameter: at the bottom.
        at: distance of its edge nearer the front face.
        width: along the axis.
        outer: diameter of the land it is cut into.
        chamfer: 45 degree chamfer on both edges.
    """

    kind: Literal["groove"]
    dia_mm: Extent = Field(alias="diameter")
    at_mm: Length = Field(alias="at")
    width_mm: Extent = Field(alias="width")
    outer_dia_mm: Extent = Field(alias="outer")
    chamfer_mm: Allowance = Field(0.0, alias="chamfer")


class FaceGroove(Strict):
    """A ring groove in a face.

    Attributes:
        inner: inside diameter of the ring.
        outer: outside diameter of the ring.
        depth: from the face.
        side: the face it lies in.
    """

    kind: Literal["face_groove"]
    inner_dia_mm: Allowance = Field(alias="inner")
    outer_dia_mm: Extent = Field(alias="outer")
    depth_mm: Extent = Field(alias="depth")
    side: Side = "front"


class ThreadFeature(Strict):
    """A thread cut on the axis with a single point.

    Attributes:
        thread: by name, `M12x1.5`, or by a value that is a thread.
        where: outside or in a bore.
        from: start, from the face of `side`.
        to: end of the full thread, from the face of `side`.
        side: the face the tool comes from.
        run_out: length behind `to` that the tool may use (a groove).
    """

    kind: Literal["thread"]
    thread: ThreadName
    where: Literal["external", "internal"] = "external"
    from_mm: Length = Field(0.0, alias="from")
    to_mm: Length = Field(alias="to")
    side: Side = "front"
    run_out_mm: Allowance = Field(0.0, alias="run_out")


class ChamferEdges(Strict):
    """Chamfers along the long edges between flats.

    Attributes:
        of: the feature whose edges are broken.
        size: leg of the 45 degree chamfer.
    """

    kind: Literal["chamfer_edges"]
    of: Text
    size_mm: Extent = Field(alias="size")


class Slot(Strict):
    """A slot along the axis.

    Attributes:
        width: across.
        depth: from `surface` on the radius.
        from: start, from the front face.
        to: end, from the front face.
        angle: C angles, as a list or `{first, step, count}`.
        surface: X (a diameter) of the surface it is cut into; default: the bar's size.
        open: the end or ends at which the slot runs out of the part.
    """

    kind: Literal["slot"]
    width_mm: Extent = Field(alias="width")
    depth_mm: Extent = Field(alias="depth")
    from_mm: Length = Field(0.0, alias="from")
    to_mm: Length = Field(alias="to")
    angle: Angles | None = None
    surface_dia_mm: Extent | None = Field(None, alias="surface")
    open: Literal["front", "back", "both", "none"] = "none"

    def angles(self) -> list[float]:
        """C angles of the slots, degrees, of a resolved feature."""
        return angles_of(self.angle)


Feature = Annotated[
    PartFeature
    | Bar
    | FeatureFace
    | Turned
    | Flats
    | Square
    | Hexagon
    | CrossHole
    | AxialHole
    | Bore
    | Groove
    | FaceGroove
    | ThreadFeature
    | ChamferEdges
    | Slot
    | BoltCircle,
    Field(discriminator="kind"),
]
