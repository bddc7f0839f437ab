"""From a bite to force, torque and power: Kienzle's specific force on the chip that the tool takes.

Power and torque are those at the cut, for sharp tools; a worn one asks for up to half as much again (common practice,
no source). Sources stand beside the formulas.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import acos, cos, pi, radians, tan
from typing import TYPE_CHECKING, NamedTuple

from gemel.cutting.formulas import (
    chip_thickness_mm,
    cutting_force_n,
    feed_mm_tooth,
    milling_power_kw,
    milling_removal_cm3_min,
    roughness_um,
    specific_force_n_mm2,
    surface_speed_m_min,
    torque_nm,
    turning_power_kw,
    turning_removal_cm3_min,
)

if TYPE_CHECKING:
    from gemel.cutting.drives import Drive
    from gemel.cutting.facts import CuttingFacts, ToolFacts

__all__ = [
    "Cut",
    "Load",
    "Setting",
    "boring_out",
    "drilling",
    "milling",
    "roughness_of",
    "tapping",
    "thread_height_mm",
    "threading",
    "turning",
]

_THINNEST_MM = 0.002
"""Thinner chips are not cut but rubbed off; Kienzle's formula is not stretched further (common practice, no source)."""

_EDGES = 2.0
_FLUTES = 3.0
"""Edges of a drill, flutes of a tap, where the catalogue does not say (common practice, no source)."""

_POINT_DEG = 118.0
_LEAD_PITCHES = 2.0
_THREAD_HEIGHT = 0.61343
"""Height of an external metric thread in pitches (ISO 68-1)."""


class Load(NamedTuple):
    """What a cut asks for.

    Attributes:
        chip_mm: thickness of the chip, its mean where it varies. specific_n_mm2: force on a mm2 of it.
        force_n: along the cut. torque_nm, power_kw: at the cut. removal_cm3_min: volume cut away.
        rpm: of the drive. surface_m_min: where the chip's middle is cut.
    """

    chip_mm: float
    specific_n_mm2: float
    force_n: float
    torque_nm: float
    power_kw: float
    removal_cm3_min: float
    rpm: float
    surface_m_min: float


class Setting(NamedTuple):
    """With what a cut is made: material, tool, and the motor that turns."""

    facts: CuttingFacts
    tool: ToolFacts
    drive: Drive

    def specific(self, chip_mm: float) -> float:
        """Specific force of a chip, N/mm2."""
        thick = max(chip_mm, _THINNEST_MM)
        return float(specific_force_n_mm2(self.facts.kc11_n_mm2, self.facts.mc, thick))


@dataclass(frozen=True, slots=True)
class Cut:
    """One block's cut, at the place of it where the drive has least to spare.

    Attributes:
        channel: whose it is. index: of the step. line: of its block, 1-based. pass_number: of the channel.
        tool: name in the catalogue. kind: what is done, for people: `turning`, `drilling`...
        drive: a spindle's name, or `tool` for the channel's own.
        depth_mm: of the bite; width_mm: across a milling tool, of a blade that plunges; None where there is none.
        feed_mm: per revolution, of a mill per tooth.
        load: what it asks for. share: of what the drive has, 1 is all of it. torque_share, power_share: of each.
        roughness_um: height of the marks that the feed leaves, of a turning tool with a known corner.
    """

    channel: str
    index: int
    line: int
    pass_number: int
    tool: str
    kind: str
    drive: str
    depth_mm: float
    width_mm: float | None
    feed_mm: float
    load: Load
    torque_share: float
    power_share: float
    roughness_um: float | None = None

    @property
    def share(self) -> float:
        """The larger share of torque and power; 1 is all that the drive has."""
        return max(self.torque_share, self.power_share)


def turning(setting: Setting, depth_mm: float, feed_mm: float, edge_deg: float, at: tuple[float, float]) -> Load:
    """A single point that turns, bores, grooves, plunges: F = kc ap f, P = F vc; `at` is diameter and rpm."""
    dia, rpm = at
    chip = float(chip_thickness_mm(feed_mm, edge_deg))
    specific = setting.specific(chip)
    force = float(cutting_force_n(specific, depth_mm, feed_mm))
    surface = float(surface_speed_m_min(dia, rpm))
    removal = float(turning_removal_cm3_min(depth_mm, feed_mm, surface))
    power = float(turning_power_kw(force, surface, 1.0))
    return Load(chip, specific, force, force * dia / 2000.0, power, removal, rpm, surface)


def threading(setting: Setting, deep_mm: float, before_mm: float, at: tuple[float, float]) -> Load:
    """One pass of a 60 degree thread from one depth to the next: the area between two V's.

    Its chip is as thick as that area over both flanks (geometry).
    """
    dia, rpm = at
    area = tan(radians(30.0)) * (deep_mm**2 - before_mm**2)
    chip = area / (2.0 * deep_mm / cos(radians(30.0)))
    specific = setting.specific(chip)
    force = specific * area
    surface = float(surface_speed_m_min(dia, rpm))
    power = float(turning_power_kw(force, surface, 1.0))
    return Load(chip, specific, force, force * dia / 2000.0, power, area * surface, rpm, surface)


def drilling(setting: Setting, hole_mm: float, dia_mm: float, feed_mm: float, rpm: float) -> Load:
    """A drill, or one that opens a hole: M = kc f (D^2 - d^2) / 8; from solid P = D/4 f vc kc (handbook formula)."""
    tool = setting.tool
    edges = tool.teeth or _EDGES
    half_deg = (tool.point_deg or _POINT_DEG) / 2.0
    chip = float(chip_thickness_mm(feed_mm / edges, half_deg))
    specific = setting.specific(chip)
    torque = specific * feed_mm * (dia_mm**2 - hole_mm**2) / 8000.0
    force = specific * feed_mm * (dia_mm - hole_mm) / 2.0
    removal = pi / 4.0 * (dia_mm**2 - hole_mm**2) * feed_mm * rpm / 1000.0
    return Load(chip, specific, force, torque, _kilowatts(torque, rpm), removal, rpm, _surface(dia_mm, rpm))


def thread_height_mm(pitch_mm: float) -> float:
    """How deep a thread is, on the radius."""
    return _THREAD_HEIGHT * pitch_mm


def tapping(setting: Setting, rpm: float) -> Load:
    """A tap with all teeth of its lead cutting: M = kc p^2 D / 8000 N m (handbook formula)."""
    tool = setting.tool
    pitch = tool.pitch_mm or 0.0
    dia = tool.thread_mm or tool.dia_mm or 0.0
    chip = thread_height_mm(pitch) / ((tool.lead_pitches or _LEAD_PITCHES) * (tool.teeth or _FLUTES))
    specific = setting.specific(chip)
    torque = specific * pitch**2 * dia / 8000.0
    area = pitch**2 / 4.0
    removal = area * pi * dia * rpm / 1000.0
    return Load(chip, specific, specific * area, torque, _kilowatts(torque, rpm), removal, rpm, _surface(dia, rpm))


def milling(setting: Setting, depth_mm: float, width_mm: float, feed_mm_min: float, rpm: float) -> Load:
    """A mill on its way across its axis: P = kc Q, with the mean chip of the arc that is in the cut.

    The mean of fz sin(phi) over the arc that a width of cut fills from one side is fz 2 ae / (D phi), phi the arc
    (geometry; handbooks print the same for a width up to half the diameter).
    """
    tool = setting.tool
    dia = tool.dia_mm or width_mm
    wide = min(width_mm, dia)
    arc = acos(1.0 - 2.0 * wide / dia)
    tooth = float(feed_mm_tooth(feed_mm_min, tool.teeth or 1.0, rpm))
    chip = tooth * 2.0 * wide / (dia * arc)
    specific = setting.specific(chip)
    removal = float(milling_removal_cm3_min(depth_mm, wide, feed_mm_min))
    return _milled(chip, specific, removal, (dia, rpm))


def boring_out(setting: Setting, feed_mm_min: float, rpm: float) -> Load:
    """A mill that goes in along its axis into the full: the whole of its end cuts, P = kc Q."""
    tool = setting.tool
    dia = tool.dia_mm or 0.0
    tooth = float(feed_mm_tooth(feed_mm_min, tool.teeth or 1.0, rpm))
    removal = pi / 4.0 * dia**2 * feed_mm_min / 1000.0
    return _milled(tooth, setting.specific(tooth), removal, (dia, rpm))


def roughness_of(tool: ToolFacts, feed_mm: float) -> float | None:
    """Height of the marks of a feed, um, for a tool with a corner: f^2 / (8 r)."""
    if not tool.nose_mm or tool.type not in {"turning", "boring"}:
        return None
    return float(roughness_um(feed_mm, tool.nose_mm))


def _milled(chip: float, specific: float, removal: float, at: tuple[float, float]) -> Load:
    dia, rpm = at
    power = float(milling_power_kw(removal, specific, 1.0))
    surface = _surface(dia, rpm)
    force = power * 60e3 / surface if surface else 0.0
    return Load(chip, specific, force, float(torque_nm(power, rpm)), power, removal, rpm, surface)


def _surface(dia_mm: float, rpm: float) -> float:
    return float(surface_speed_m_min(dia_mm, rpm))


def _kilowatts(torque: float, rpm: float) -> float:
    return torque * rpm * 2.0 * pi / 60e3
