"""What a setter measures for each kind of tool, and which boxes of the sheet he fills in."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NamedTuple

from gemel.machines.dialect import dialect_of
from gemel.reports.sizes import plain

if TYPE_CHECKING:
    from gemel.families.catalogue import Tool
    from gemel.machines.schema import Machine

__all__ = ["Setting", "offset_number", "setting_of"]

_AT_CORNER = "X and Z at the corner of the insert"


class Setting(NamedTuple):
    """What is set for a tool.

    Attributes:
        point: the point that is measured.
        axes: letters of the boxes to fill in.
        fixed: values that are known without measuring, as `R 0.8`.
    """

    point: str
    axes: tuple[str, ...]
    fixed: tuple[str, ...] = ()


def setting_of(tool: Tool) -> Setting:
    """What to set for a tool; common practice, no source. X is a diameter."""
    if tool.kind == "rotating":
        return _rotating(tool)
    if tool.type in {"turning", "boring"}:
        return Setting(_AT_CORNER, ("X", "Z"), _nose(tool))
    if tool.type in {"grooving", "cut-off"}:
        corner = "nearer the chuck" if tool.side == "left" else "away from the chuck"
        return Setting(f"X at the edge, Z at the corner {corner}", ("X", "Z"), _width(tool))
    if tool.type == "face grooving":
        return Setting("Z at the edge, X at its lower corner", ("X", "Z"), _width(tool))
    if tool.type in {"threading", "internal threading"}:
        return Setting("X and Z at the point of the insert", ("X", "Z"))
    if tool.type in {"bar stop", "bar puller"}:
        return Setting("Z at the face that meets the bar", ("Z",))
    return Setting("Z at the tip; X so that it stands on the axis", ("X", "Z"), _round(tool))


def _rotating(tool: Tool) -> Setting:
    end = "at the tip" if tool.type in {"drill", "spot drill", "chamfer mill", "tap"} else "at the end teeth"
    return Setting(f"length {end}", ("L",), _round(tool))


def _nose(tool: Tool) -> tuple[str, ...]:
    return () if tool.nose_radius_mm is None else (f"R {plain(tool.nose_radius_mm)}",)


def _width(tool: Tool) -> tuple[str, ...]:
    return (() if tool.width_mm is None else (f"width {plain(tool.width_mm)}",)) + _nose(tool)


def _round(tool: Tool) -> tuple[str, ...]:
    if tool.dia_mm is None:
        return ()
    return (f"\N{DIAMETER SIGN} {plain(tool.dia_mm)}",)


def offset_number(call: str, machine: Machine, channel: str) -> str:
    """The offset that a tool call brings with it, as the machine reads its digits; else that of the tool itself."""
    divisor = dialect_of(machine, channel).tool_divisor
    digits = re.search(r"[0-9]+", str(call))
    if divisor < 2 or digits is None:
        return "of the tool"
    return f"{int(digits.group()) % divisor:0{len(str(divisor)) - 1}d}"
