"""What every operation has; see `gemel.families.processes` for units."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from gemel.documents import Strict
from gemel.families.cutting import Cutting
from gemel.families.formula import Extent, Formula, Text

__all__ = ["Work"]


class Work(Strict):
    """What every operation has.

    Attributes:
        feature: the feature it makes.
        channel: the channel that does it, as the machine file names it.
        spindle: the spindle that holds the part, as the machine file names it.
        tool: the tool, as the tool catalogue names it; it must stand in a station of the channel.
        title: a few words for the operator; default: made from the process.
        when: the operation is left out of members for which this is zero (`ports > 2`, `ports - 1`).
        coolant: flood, high pressure, or none.
        cutting: cutting data that differ from the tool's and the material's.
        clear: distance kept from the stock before and behind a cut.
        body: a file of blocks from elsewhere that does the work instead, relative to the family's folder.
    """

    feature: Text
    channel: Text
    spindle: Text
    tool: Text
    title: Text | None = None
    when: Formula | None = None
    coolant: Literal["flood", "high", "none"] = "flood"
    cutting: Cutting = Cutting()
    clear_mm: Extent = Field(2.0, alias="clear")
    body: Text | None = None
