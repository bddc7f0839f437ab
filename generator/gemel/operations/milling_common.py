"""What every milling operation begins and ends with: head at home, C axis on a standing spindle, tool drive running.

A radial tool lies along X (plane yz), an axial one along Z (plane xy). X stays a diameter: a surface at distance d
from the axis is X 2 d. A C angle turns the part so that the drawn direction points to +X.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from gemel.numbers import Number, minimum, rule
from gemel.operations import codes
from gemel.operations.common import PI, coolant, fault, need, tool_title
from gemel.operations.steps import Function, Home, Rapid, Step, ToolCall, ToolDrive, ToolpathState

if TYPE_CHECKING:
    from collections.abc import Sequence

    from gemel.families.part import Job

__all__ = ["begin_milling", "end_milling", "index", "milling_feed_mm_min", "rotating_speed_rpm", "somewhere"]

_THOUSAND = rule(1000.0, "mm per metre", "definition")
_ZERO_DEG = rule(0.0, "zero of the C axis", "definition")


def rotating_speed_rpm(job: Job, dia_mm: float) -> Number:
    """Speed of a rotating tool: n = 1000 vc / (pi D), at most the tool's and the drive's."""
    top: float = job.channel.drive.top_speed
    if job.tool.top_speed_rpm is not None:
        top = minimum(top, job.tool.top_speed_rpm)
    if job.cutting.speed_rpm is not None:
        return minimum(job.cutting.speed_rpm, top)
    surface = need(job, job.cutting.surface_m_min, "a surface speed")
    return minimum(_THOUSAND * surface / (PI * dia_mm), top)


def milling_feed_mm_min(job: Job, rpm: Number) -> Number:
    """Feed of a mill: vf = fz z n."""
    tooth = need(job, job.cutting.feed_mm_tooth, "a feed per tooth")
    teeth = need(job, job.tool.teeth, "the number of teeth")
    return rpm * (tooth * teeth)


def somewhere(job: Job, places: Sequence[float]) -> Sequence[float]:
    """The places, of which there is at least one.

    Raises:
        Findings: there is none.
    """
    if not places:
        raise fault(job, codes.UNREACHABLE, "the feature stands at no place; leave the operation out with `when:`")
    return places


def begin_milling(job: Job, plane: Literal["xy", "yz"], rpm: float, *, reverse: bool = False) -> list[Step]:
    """Tool, state, C axis, drive, coolant: everything that a restart at this operation needs.

    `reverse`: the tool is left-hand.

    Raises:
        Findings: the channel has no C axis to index the part with.
    """
    spindle = job.operation.spindle
    if "c" not in job.channel.axes:
        raise fault(job, codes.TOOL_FIT, f"channel `{job.operation.channel}` has no C axis")
    steps: list[Step] = [Home()] if job.channel.tool_change.at == "home" else []
    return [
        *steps,
        ToolCall(job.call, tool_title(job)),
        ToolpathState(plane, "per_minute", spindle),
        Function(f"spindle.{spindle}.stop"),
        Function(f"c_axis.{spindle}.engage"),
        ToolDrive(rpm=rpm, direction="reverse" if reverse else "forward"),
        *coolant(job, on=True),
    ]


def index(job: Job, angle_deg: float, *, first: bool) -> list[Step]:
    """Turn the part to an angle: brake off (but for the first), C, brake on."""
    spindle = job.operation.spindle
    off: list[Step] = [] if first else [Function(f"c_brake.{spindle}.release")]
    return [*off, Rapid(c=_ZERO_DEG + angle_deg), Function(f"c_brake.{spindle}.engage")]


def end_milling(job: Job) -> list[Step]:
    """Out to the clearance, all that was started stopped again, home where tools are changed there."""
    spindle = job.operation.spindle
    home: list[Step] = [Home()] if job.channel.tool_change.at == "home" else []
    return [
        Rapid(x=job.clearance_mm),
        Function("drive.stop"),
        *coolant(job, on=False),
        Function(f"c_brake.{spindle}.release"),
        Function(f"c_axis.{spindle}.release"),
        *home,
    ]
