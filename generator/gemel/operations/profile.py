"""The drawn profile of a turned part as a contour, front to back.

Frame: X a diameter, Z0 at the front face and negative into the part. Diameters must not fall towards the chuck:
what lies behind a shoulder is cut by grooving.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from gemel.numbers import Number, rule
from gemel.operations import codes
from gemel.operations.common import fault

if TYPE_CHECKING:
    from gemel.families.features import Turned, TurnedStep
    from gemel.families.part import Job

__all__ = ["ContourMove", "contour", "lead_in", "pass_end_mm"]

_FACE = rule(0.0, "finished face", "definition of the offset")


@dataclass(frozen=True, slots=True)
class ContourMove:
    """One move of the contour: to (x_dia, z), straight or on an arc of `radius`."""

    x_dia: float
    z: float
    radius: float | None = None
    clockwise: bool = False


def contour(job: Job, profile: Turned, *, roughing: bool = False) -> list[ContourMove]:
    """The moves from the front edge of the first step to the far end of the last; roughing need not fit fillets.

    Convex roundings run counter-clockwise, fillets clockwise, seen with +X up and +Z to the right
    (a quarter from X0 Z0 to X20 Z-10 about X0 Z-10 is counter-clockwise, right-hand ZX plane).

    Raises:
        Findings: a diameter falls towards the chuck, or edges overlap.
    """
    moves: list[ContourMove] = []
    before: float | None = None
    for step, (start, end) in zip(profile.steps, profile.spans(), strict=True):
        _check(job, step, before, end - start)
        if not roughing:
            _check_corner(job, step)
        moves += _edge(step, start, first=before is None)
        far = step.taper_to_mm if step.taper_to_mm is not None else step.dia_mm
        if step.fillet_mm > 0:
            moves.append(ContourMove(far, step.fillet_mm - end))
            moves.append(ContourMove(far + 2.0 * step.fillet_mm, -end + _FACE, step.fillet_mm, clockwise=True))
        else:
            moves.append(ContourMove(far, -end + _FACE))
        before = far
    return moves


def _edge(step: TurnedStep, start: float, *, first: bool) -> list[ContourMove]:
    z = _FACE - start
    size = step.radius_mm if step.radius_mm > 0 else step.chamfer_mm
    if size <= 0:
        return [ContourMove(step.dia_mm, z)]
    inner = ContourMove(step.dia_mm - 2.0 * size, z)
    outer = ContourMove(step.dia_mm, z - size, step.radius_mm if step.radius_mm > 0 else None)
    return [outer] if first and step.radius_mm <= 0 else [inner, outer]


def _check(job: Job, step: TurnedStep, before: float | None, length: float) -> None:
    edges = (step.chamfer_mm if step.radius_mm <= 0 else step.radius_mm) + step.fillet_mm
    if length <= 0 or edges > length:
        cause = f"a step of {length:g} mm cannot hold its edges of {float(edges):g}"
        raise fault(job, codes.UNREACHABLE, cause, length)
    if before is not None and step.dia_mm < before:
        cause = f"the profile falls from {float(before):g} to {float(step.dia_mm):g} towards the chuck; use a groove"
        raise fault(job, codes.UNREACHABLE, cause, step.dia_mm)
    if step.dia_mm > job.part.stock.round_mm:
        cause = f"{float(step.dia_mm):g} is larger than the bar of {float(job.part.stock.round_mm):g}"
        raise fault(job, codes.UNREACHABLE, cause, step.dia_mm)


def _check_corner(job: Job, step: TurnedStep) -> None:
    nose = job.tool.nose_radius_mm
    if nose is not None and 0 < step.fillet_mm < nose:
        cause = f"a fillet of {float(step.fillet_mm):g} is smaller than the tool's corner of {float(nose):g}"
        raise fault(job, codes.TOOL_FIT, cause, step.fillet_mm, nose)


def lead_in(profile: Turned, clear_mm: float) -> tuple[Number, Number]:
    """X (diameter) and Z in front of the face, on the line of the first chamfer (or straight before the diameter)."""
    first = profile.steps[0]
    size = first.chamfer_mm if first.radius_mm <= 0 else 2.0 * first.radius_mm
    if size > 0:
        return first.dia_mm - 2.0 * (size + clear_mm) + _FACE, _FACE + clear_mm
    return first.dia_mm + _FACE, _FACE + clear_mm


def pass_end_mm(profile: Turned, x_dia_mm: float, leave_z_mm: float) -> Number | None:
    """Z at which a roughing pass on `x_dia_mm` (finish allowance taken off already) must stop; None if it cuts nothing.

    The pass goes on over every step that is no larger than it, and stops before fillets, cones and shoulders.
    """
    reached: Number | None = None
    for step, (_, end) in zip(profile.steps, profile.spans(), strict=True):
        if step.dia_mm > x_dia_mm + 1e-9:
            break
        far = step.taper_to_mm if step.taper_to_mm is not None else step.dia_mm
        if far > x_dia_mm + 1e-9:
            start = end - (step.length_mm if step.length_mm is not None else 0.0)
            share = (x_dia_mm - step.dia_mm) / (far - step.dia_mm)
            return leave_z_mm - (start + (end - start) * share) + _FACE
        blocked = step.fillet_mm > 0 and x_dia_mm < far + 2.0 * step.fillet_mm
        reached = _FACE + leave_z_mm - (end - step.fillet_mm if blocked else end)
        if blocked:
            break
    return reached
