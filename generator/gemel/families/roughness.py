"""What a drawing asks of a turned surface."""

from __future__ import annotations

from pydantic import Field

from gemel.documents import Strict
from gemel.families.formula import Formula

__all__ = ["Roughness"]


class Roughness(Strict):
    """The roughness that a drawing allows, in micrometres whatever the family's unit; both hold where both are given.

    Attributes:
        rz: greatest height of the profile.
        ra: mean roughness.
    """

    rz_um: Formula | None = Field(None, alias="rz")
    ra_um: Formula | None = Field(None, alias="ra")
