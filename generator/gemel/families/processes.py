"""What one tool does in one channel on one spindle: one model per process.

Lengths are in the family's unit in YAML and in mm in a resolved part. A field that is left out takes the tool's or
the material's value where it is cutting data, else the default written here.
"""

from typing import Annotated, Literal

from pydantic import Field

from gemel.families.formula import Allowance, AtLeastOne, Count, Extent
from gemel.families.handover import BackChamfer, BackFace, BarFeed, BarPull, CutOff, PartAway, TakeOver
from gemel.families.work import Work

__all__ = [
    "BackChamfer",
    "BackFace",
    "BarFeed",
    "BarPull",
    "BoltCircleDrill",
    "BoltCircleSpot",
    "BoltCircleTap",
    "BoreOut",
    "ChamferAlongEdges",
    "ChamferCross",
    "CutFaceGroove",
    "CutGroove",
    "CutOff",
    "DrillAxial",
    "DrillCross",
    "ExternalThread",
    "Face",
    "FinishTurn",
    "InternalThread",
    "MillFlats",
    "MillSlot",
    "Operation",
    "PartAway",
    "RoughTurn",
    "Spot",
    "SpotAxial",
    "TakeOver",
    "TapAxial",
    "TapCross",
    "Work",
]


class Face(Work):
    """Turns a face plane, from outside to the centre.

    Attributes:
        allowance: stock in front of the finished face; default: the bar feature's `allowance`.
    """

    process: Literal["face"]
    allowance_mm: Allowance | None = Field(None, alias="allowance")


class RoughTurn(Work):
    """Turns a profile in passes, leaving stock for the finish.

    Attributes:
        leave_x: stock left on the diameter.
        leave_z: stock left on faces.
    """

    process: Literal["rough_turn"]
    leave_x_mm: Allowance = Field(0.5, alias="leave_x")
    leave_z_mm: Allowance = Field(0.1, alias="leave_z")


class FinishTurn(Work):
    """Turns the finished profile in one pass.

    Attributes:
        compensation: the control compensates the nose radius; else the path is shifted here.
    """

    process: Literal["finish_turn"]
    compensation: bool = True


class CutGroove(Work):
    """Cuts a groove round the part, plunging, then along its walls and bottom.

    Attributes:
        leave: stock left on walls and bottom for the last pass; on walls only as much as the blade leaves room for.
    """

    process: Literal["groove"]
    leave_mm: Allowance = Field(0.0, alias="leave")


class CutFaceGroove(Work):
    """Cuts a ring groove into a face."""

    process: Literal["face_groove"]


class _ThreadCut(Work):
    """Cuts a thread with a single point, passes of equal area.

    Attributes:
        passes: how many; default: by the pitch.
        spring_passes: passes again at full depth.
        run_in: distance before the thread; default: three pitches.
        first_depth: depth of the first pass on the radius, instead of `passes`.
    """

    passes: AtLeastOne | None = None
    spring_passes: Count = 1.0
    run_in_mm: Allowance | None = Field(None, alias="run_in")
    first_depth_mm: Extent | None = Field(None, alias="first_depth")


class ExternalThread(_ThreadCut):
    """Cuts an external thread with a single point, passes of equal area, and a spring pass."""

    process: Literal["external_thread"]


class InternalThread(_ThreadCut):
    """Cuts an internal thread with a single point, passes of equal area, and a spring pass."""

    process: Literal["internal_thread"]


class SpotAxial(Work):
    """Spots a hole on the axis for the drill, or chamfers its mouth, with a cone that stands still.

    Attributes:
        diameter: of the cone's mouth; default: the hole's with its chamfer.
    """

    process: Literal["spot_axial"]
    dia_mm: Extent | None = Field(None, alias="diameter")


class DrillAxial(Work):
    """Drills on the axis, in pecks.

    Attributes:
        depth: to the drill's corner; default: the feature's.
    """

    process: Literal["drill_axial"]
    depth_mm: Extent | None = Field(None, alias="depth")


class TapAxial(Work):
    """Taps a hole on the axis.

    Attributes:
        run_out: length of the hole that the tap's lead needs behind the full thread; default: two pitches.
    """

    process: Literal["tap_axial"]
    run_out_mm: Allowance | None = Field(None, alias="run_out")


class BoreOut(Work):
    """Bores a hole to size in passes.

    Attributes:
        leave: stock left on the diameter for the last pass.
    """

    process: Literal["bore"]
    leave_mm: Allowance = Field(0.2, alias="leave")


class MillFlats(Work):
    """Mills flats with the end of a radial end mill on the C axis, in depth and width steps.

    Attributes:
        leave: stock left on a flat for the last pass.
    """

    process: Literal["mill_flats"]
    leave_mm: Allowance = Field(0.2, alias="leave")


class MillSlot(Work):
    """Mills a slot in depth and width steps.

    Attributes:
        leave: stock left on the walls for one last pass over their whole depth.
    """

    process: Literal["mill_slot"]
    leave_mm: Allowance = Field(0.1, alias="leave")


class Spot(Work):
    """Spots cross holes for the drill.

    Attributes:
        diameter: of the spot; default: the hole's mouth with its chamfer, at most what the tool gives.
    """

    process: Literal["spot"]
    dia_mm: Extent | None = Field(None, alias="diameter")


class DrillCross(Work):
    """Drills cross holes, in pecks, the drill's point behind the depth.

    Attributes:
        break_through: how far the drill's corner goes behind the far side of a through hole.
    """

    process: Literal["drill_cross"]
    break_through_mm: Allowance = Field(0.5, alias="break_through")


class ChamferCross(Work):
    """Chamfers the mouths of cross holes with a chamfer tool.

    Attributes:
        size: the chamfer on the radius; default: the feature's.
    """

    process: Literal["chamfer_cross"]
    size_mm: Extent | None = Field(None, alias="size")


class TapCross(Work):
    """Taps cross holes.

    Attributes:
        run_out: length of the hole that the tap's lead needs behind the full thread; default: two pitches.
    """

    process: Literal["tap_cross"]
    run_out_mm: Allowance | None = Field(None, alias="run_out")


class ChamferAlongEdges(Work):
    """Breaks the edges between flats with a chamfer cutter, or with the end of an end mill."""

    process: Literal["chamfer_edges"]


class BoltCircleSpot(Work):
    """Spots holes on a circle along the axis.

    Attributes:
        diameter: of the spot; default: the hole's mouth with its chamfer.
    """

    process: Literal["bolt_circle_spot"]
    dia_mm: Extent | None = Field(None, alias="diameter")


class BoltCircleDrill(Work):
    """Drills holes on a circle along the axis, in pecks."""

    process: Literal["bolt_circle_drill"]


class BoltCircleTap(Work):
    """Taps holes on a circle along the axis.

    Attributes:
        run_out: length of the hole that the tap's lead needs behind the full thread; default: two pitches.
    """

    process: Literal["bolt_circle_tap"]
    run_out_mm: Allowance | None = Field(None, alias="run_out")


Operation = Annotated[
    Face
    | RoughTurn
    | FinishTurn
    | CutGroove
    | CutFaceGroove
    | ExternalThread
    | InternalThread
    | SpotAxial
    | DrillAxial
    | TapAxial
    | BoreOut
    | MillFlats
    | MillSlot
    | Spot
    | DrillCross
    | ChamferCross
    | TapCross
    | ChamferAlongEdges
    | BoltCircleSpot
    | BoltCircleDrill
    | BoltCircleTap
    | BarFeed
    | BarPull
    | TakeOver
    | CutOff
    | PartAway
    | BackFace
    | BackChamfer,
    Field(discriminator="process"),
]
