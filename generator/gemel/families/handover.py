"""Bar feed, hand-over, cut-off and what is done to the second side; see `gemel.families.processes` for units."""

from typing import Literal

from pydantic import Field

from gemel.families.formula import Allowance, Extent, Length, Quantity, Rate
from gemel.families.work import Work

__all__ = [
    "BackChamfer",
    "BackFace",
    "BarFeed",
    "BarPull",
    "CutOff",
    "PartAway",
    "TakeOver",
]


class BarFeed(Work):
    """Feeds the bar against a stop.

    Attributes:
        stop: Z at which the stop stands; default: the bar feature's `allowance` in front of the finished face.
    """

    process: Literal["bar_feed"]
    stop_mm: Length | None = Field(None, alias="stop")


class BarPull(Work):
    """Pulls the bar with a bar puller of the turret, or with the right spindle.

    Attributes:
        by: what pulls.
        pull: how far; default: part length, cut-off width and allowance.
        slide: slide position (machine coordinate, forward negative) for `by: spindle`.
        grip: length of bar that the puller or clamp takes.
    """

    process: Literal["bar_pull"]
    by: Literal["puller", "spindle"] = "puller"
    pull_mm: Extent | None = Field(None, alias="pull")
    slide_mm: Length | None = Field(None, alias="slide")
    grip_mm: Extent = Field(10.0, alias="grip")
    feed_mm_min: Extent = Field(2000.0, alias="feed")


class TakeOver(Work):
    """The right spindle takes the part: synchronise, approach, touch under feed, clamp, dwell.

    Attributes:
        slide: slide position (machine coordinate, forward negative) at which the part is gripped.
        grip: length of part inside the right clamp.
        approach: distance of the clamp from the part's end from which the slide feeds, over the part to the grip.
        feed: slide feed while touching, per minute.
        speed: spindle speed while the part changes hands, rpm; 0 hands it over standing.
        mode: synchronisation by speed, or by phase where the angle must stay (flats, cross holes).
        dwell: seconds for the clamp to take hold.
    """

    process: Literal["take_over"]
    slide_mm: Length = Field(alias="slide")
    grip_mm: Extent = Field(10.0, alias="grip")
    approach_mm: Allowance = Field(5.0, alias="approach")
    feed_mm_min: Extent = Field(500.0, alias="feed")
    speed_rpm: Quantity = Field(0.0, alias="speed")
    mode: Literal["speed", "phase"] = "phase"
    dwell_s: Quantity = Field(0.5, alias="dwell")


class CutOff(Work):
    """Cuts the part off: chamfer first, slower towards the centre.

    Attributes:
        allowance: stock left on the back face for facing on the right spindle.
        chamfer: chamfer cut on the back edge before parting, on the radius.
        slow_below: diameter below which speed and feed are reduced.
        slow_feed: share of the feed used there.
        past: how far the tool goes past the centre, on the diameter.
        support: the right spindle holds the part (else the catcher takes it).
    """

    process: Literal["cut_off"]
    allowance_mm: Allowance = Field(0.3, alias="allowance")
    chamfer_mm: Allowance = Field(0.0, alias="chamfer")
    slow_below_mm: Allowance = Field(6.0, alias="slow_below")
    slow_feed: Rate = 0.5
    past_mm: Allowance = Field(0.4, alias="past")
    support: bool = True


class PartAway(Work):
    """Puts the finished part from the right spindle into the catcher.

    Attributes:
        dwell: seconds for the part to fall.
    """

    process: Literal["part_away"]
    dwell_s: Quantity = Field(1.0, alias="dwell")


class BackFace(Work):
    """Faces the second side on the right spindle.

    Attributes:
        allowance: stock in front of the finished back face; default: what the cut-off left.
    """

    process: Literal["back_face"]
    allowance_mm: Allowance | None = Field(None, alias="allowance")


class BackChamfer(Work):
    """Chamfers the outer edge of the second side on the right spindle.

    Attributes:
        size: leg of the 45 degree chamfer; default: the feature's.
        diameter: of the part at its back edge; default: the bar, or the corners of the flats that reach it.
    """

    process: Literal["back_chamfer"]
    size_mm: Extent | None = Field(None, alias="size")
    dia_mm: Extent | None = Field(None, alias="diameter")
