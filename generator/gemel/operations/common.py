"""What every turning operation begins and ends with, and the questions that all processes ask of their job.

An operation starts and ends with X at or above the clearance (a diameter), its spindle and coolant off.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from gemel.documents import label_of, place_of
from gemel.findings import Findings, Label, Span
from gemel.numbers import Number, Source, leaves, maximum, minimum, passes, rule, tan_deg
from gemel.operations import codes
from gemel.operations.steps import Function, Home, Rapid, SpeedLimit, SpindleStart, Step, ToolCall, ToolpathState

if TYPE_CHECKING:
    from gemel.families.part import Job
    from gemel.findings import Explanation

__all__ = [
    "Turning",
    "begin_turning",
    "chamfer_leg_mm",
    "check_amount",
    "clear_mm",
    "cuts",
    "end_turning",
    "fault",
    "fixed_speed_rpm",
    "need",
    "retract",
    "stop_turning",
    "tool_title",
]

PI = rule(3.141592653589793, "pi", "circumference of a circle over its diameter")
_THOUSAND = rule(1000.0, "mm per metre", "definition")
_MOST_CUTS = 400
_MOST_IN_ALL = 20_000
_HALF_DEG = rule(22.5, "half of 45 degrees", "a corner rolls on a 45 degree cone there")
_SHARP = rule(0.0, "sharp corner", "no radius given")


@dataclass(frozen=True, slots=True)
class Turning:
    """How the work turns: at constant surface speed (moving diameter), or fixed for drills, taps and threads.

    Attributes:
        fixed: rpm, or None for constant surface speed from the cutting data.
        direction: of the spindle.
    """

    fixed: float | None = None
    direction: Literal["forward", "reverse"] = "forward"


def fault(job: Job, code: Explanation, cause: str, *concerned: float) -> Findings:
    """A finding about an operation; its places are the operation's and those of the numbers concerned."""
    labels = [label for value in concerned for label in _labels(value)]
    place = place_of(job.operation.feature)
    own = label_of(place, "this operation") if place else Label(Span(job.part.family))
    return Findings([code.found(f"{job.id}: {cause}", *(labels[:3] or [own]))])


def _labels(value: float) -> list[Label]:
    found = [leaf for leaf in leaves(value) if isinstance(leaf, Source)]
    return [label_of(leaf, leaf.name) for leaf in found if leaf.line]


def need(job: Job, value: float | None, what: str) -> float:
    """The value, which the operation cannot do without.

    Raises:
        Findings: `operation:no-cutting-data` when nobody gives it.
    """
    if value is None:
        cause = f"{what} is given neither by the operation, nor by tool `{job.tool_id}`, nor by the material"
        raise fault(job, codes.NO_DATA, cause)
    return value


def cuts(job: Job, total_mm: float, most_mm: float) -> int:
    """How many equal passes cut `total_mm` when one takes `most_mm`; at least one.

    Raises:
        Findings: so many that a size or a depth of pass must be wrong.
    """
    count = passes(total_mm, most_mm)
    if count > _MOST_CUTS:
        cause = f"{float(total_mm):g} in passes of {float(most_mm):g} are {count} passes"
        raise fault(job, codes.UNREACHABLE, cause, most_mm, total_mm)
    return count


def check_amount(job: Job, *factors: int) -> None:
    """Refuse an operation of so many cuts that no control would take its program.

    Raises:
        Findings: `operation:impossible`.
    """
    if math.prod(factors) > _MOST_IN_ALL:
        times = " times ".join(str(factor) for factor in factors)
        raise fault(job, codes.UNREACHABLE, f"{times} cuts are more than a program holds")


def clear_mm(job: Job) -> float:
    """Distance kept from stock before and behind a cut."""
    return job.operation.clear_mm


def tool_title(job: Job) -> str:
    """The tool for a comment."""
    return job.tool.title


def fixed_speed_rpm(job: Job, dia_mm: float) -> Number:
    """Speed for a tool or surface of `dia_mm` that does not move: n = 1000 vc / (pi D), at most the spindle's."""
    top = _top_speed(job)
    if job.cutting.speed_rpm is not None:
        return minimum(job.cutting.speed_rpm, top)
    surface = need(job, job.cutting.surface_m_min, "a surface speed")
    return minimum(_THOUSAND * surface / (PI * dia_mm), top)


def _top_speed(job: Job) -> float:
    given = job.cutting.top_speed_rpm
    return job.spindle.top_speed if given is None else minimum(given, job.spindle.top_speed)


def begin_turning(job: Job, turning: Turning) -> list[Step]:
    """Tool, state, speed, coolant: everything that a restart at this operation needs."""
    spindle = job.operation.spindle
    steps: list[Step] = []
    if job.channel.tool_change.at == "home":
        steps.append(Home())
    steps += [
        ToolCall(job.call, tool_title(job)),
        ToolpathState("zx", "per_revolution", spindle),
    ]
    if turning.fixed is None:
        surface = need(job, job.cutting.surface_m_min, "a surface speed")
        steps.append(SpeedLimit(rpm=_top_speed(job)))
        steps.append(SpindleStart(spindle=spindle, direction=turning.direction, surface_m_min=surface))
    else:
        steps.append(SpindleStart(spindle=spindle, direction=turning.direction, rpm=turning.fixed))
    return steps + coolant(job, on=True)


def coolant(job: Job, *, on: bool) -> list[Step]:
    """Coolant on or off as the operation wants it."""
    name = {"flood": "coolant", "high": "coolant_high", "none": ""}[job.operation.coolant]
    if name == "coolant_high" and job.machine.codes.coolant_high is None:
        name = "coolant"
    return [Function(f"{name}.{'start' if on else 'stop'}")] if name else []


def retract(job: Job) -> list[Step]:
    """Straight out to the clearance, then along Z to the place of tool changes, where the machine file names one."""
    away: list[Step] = [Rapid(x=job.clearance_mm)]
    if job.change_z_mm is not None:
        away.append(Rapid(z=job.change_z_mm))
    return away


def end_turning(job: Job) -> list[Step]:
    """Out to the clearance and where tools are changed, coolant off, spindle stopped."""
    return [*retract(job), *stop_turning(job)]


def stop_turning(job: Job) -> list[Step]:
    """Coolant off, spindle stopped."""
    return [*coolant(job, on=False), Function(f"spindle.{job.operation.spindle}.stop")]


def outside_mm(job: Job, *sizes_mm: float) -> Number:
    """X (diameter) clear of round stock of the largest of the sizes."""
    return maximum(*sizes_mm) + 2.0 * clear_mm(job)


def chamfer_leg_mm(job: Job, leg_mm: float) -> Number:
    """Leg that the programmed corner runs for a 45 degree chamfer of `leg_mm`: longer by r (1 - tan 22.5 deg).

    The corner that is measured is where the sides of the nose would meet, and does not touch the cone
    (checks of the geometry tables: 0.5857864 r).
    """
    nose = job.tool.nose_radius_mm if job.tool.nose_radius_mm is not None else _SHARP
    return leg_mm + nose * (1.0 - tan_deg(_HALF_DEG))
