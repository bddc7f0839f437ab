"""A resolved part, and everything that one operation's toolpath is made from."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple, TypeVar

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.families.catalogue import Material, Tool
    from gemel.families.cutting import Cutting
    from gemel.families.deviations import Limits
    from gemel.families.features import Feature
    from gemel.families.processes import Operation
    from gemel.families.schema import Hold
    from gemel.machines.schema import Channel, Machine, Spindle

__all__ = ["Body", "Job", "Part", "Stage", "StockBar"]

Kind = TypeVar("Kind")


@dataclass(frozen=True, slots=True)
class StockBar:
    """The bar: `size_mm` is its diameter (across flats when not round), lengths in mm.

    Attributes:
        round_mm: diameter of the circle round it; what a tool must stay clear of.
    """

    shape: str
    size_mm: float
    bar_mm: float
    remnant_mm: float
    round_mm: float


@dataclass(frozen=True, slots=True)
class Stage:
    """What the channels do between two wait marks.

    Attributes:
        number: 1-based row of the stage table; the same for all members.
        work: operation ids by channel, in order; operations that the member skips are left out.
    """

    number: int
    work: Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Part:
    """One member of a family with every value known. Lengths mm, angles degrees.

    Attributes:
        family: name of the family. title, drawing, revision: for headers.
        member: name of the member. program: its program number.
        machine, material: names.
        general: ISO 2768 class. unit: the family's own unit.
        values: every named value as the program aims at it, in the family's unit.
        tolerances: limit deviations (mm) of the values that have some of their own.
        features: by id; squares and hexagons have become flats.
        operations: by id, in the family's order, without those that this member skips.
        stations: tool names by station, channel by channel, machine's and family's.
        stages: every row, also one that is empty for this member.
        holding: clamp pressure and jaws by spindle, of those spindles for which the family says them.
    """

    family: str
    title: str
    drawing: str
    revision: str
    member: str
    program: int
    machine: str
    material: str
    general: str
    unit: str
    stock: StockBar
    length_mm: float
    values: Mapping[str, float]
    tolerances: Mapping[str, Limits]
    features: Mapping[str, Feature]
    operations: Mapping[str, Operation]
    stations: Mapping[str, Mapping[str, str]]
    stages: tuple[Stage, ...]
    repeat: bool
    holding: Mapping[str, Hold] = field(default_factory=dict)

    def feature_of(self, kind: type[Kind]) -> Kind | None:
        """The first feature of a kind, or None."""
        return next((feature for feature in self.features.values() if isinstance(feature, kind)), None)


class Body(NamedTuple):
    """A file of blocks from elsewhere: its name relative to the shop, and its bytes."""

    name: str
    data: bytes


@dataclass(frozen=True, slots=True)
class Job:
    """Everything that one operation's toolpath is made from.

    Attributes:
        id: the operation's id in the family.
        tool_id: the tool's name in the catalogue. station: where it stands. call: the word that brings it to work.
        cutting: the operation's data over the tool's over the material's; None where nobody says anything.
        clearance_mm: X (a diameter) at or above which the channel is outside every zone.
        change_z_mm: Z to which the channel draws back before it changes tools; None: anywhere.
        blade_mm: width of the blade that cuts the part off; None where nothing does.
        body: the blocks that do the work instead of the process, where the operation names such a file.
    """

    part: Part
    id: str
    operation: Operation
    feature: Feature
    tool_id: str
    tool: Tool
    station: str
    call: str
    cutting: Cutting
    material: Material
    machine: Machine
    channel: Channel
    spindle: Spindle
    clearance_mm: float
    change_z_mm: float | None = None
    body: Body | None = None
    blade_mm: float | None = None

    def operation_as(self, kind: type[Kind]) -> Kind:
        """The operation as its own model; the family's checks have seen to it that it is one."""
        assert isinstance(self.operation, kind), f"{self.id} is no {kind.__name__}"
        return self.operation

    def feature_as(self, kind: type[Kind]) -> Kind:
        """The feature as its own model; the family's checks have seen to it that it is one."""
        assert isinstance(self.feature, kind), f"the feature of {self.id} is no {kind.__name__}"
        return self.feature

    def z_mm(self, distance_mm: float) -> float:
        """Z of a distance from the finished front face, in the frame of the spindle that the operation works on."""
        if self.spindle.side == "bar":
            return -distance_mm
        return distance_mm - self.part.length_mm
