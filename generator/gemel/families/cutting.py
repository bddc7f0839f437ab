"""Cutting data: what an operation, a tool or a material may say about speed, feed and depth."""

from __future__ import annotations

from pydantic import Field

from gemel.documents import Strict
from gemel.families.formula import Extent, Quantity, Rate, Surface

__all__ = ["Cutting"]


class Cutting(Strict):
    """Cutting data; a field that is None was not given.

    Attributes:
        surface_speed: m/min (ft/min in a family in inches), at the work in turning, at the edge of tools that turn.
        speed: rpm, instead of a surface speed.
        top_speed: rpm at which a surface speed is held; default: the spindle's.
        feed: length per revolution, for turning, drilling, grooving.
        tooth_feed: length per tooth, for milling.
        depth: depth of one pass; on the radius in turning, along the tool in milling.
        width: width of one pass across the tool, in milling.
        peck: depth of one peck in drilling.
        dwell: seconds at the bottom.
    """

    surface_m_min: Surface | None = Field(None, alias="surface_speed")
    speed_rpm: Rate | None = Field(None, alias="speed")
    top_speed_rpm: Rate | None = Field(None, alias="top_speed")
    feed_mm_rev: Extent | None = Field(None, alias="feed")
    feed_mm_tooth: Extent | None = Field(None, alias="tooth_feed")
    depth_mm: Extent | None = Field(None, alias="depth")
    width_mm: Extent | None = Field(None, alias="width")
    peck_mm: Extent | None = Field(None, alias="peck")
    dwell_s: Quantity | None = Field(None, alias="dwell")
