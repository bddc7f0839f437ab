"""The drawn profile of a turned part as a contour, front to back.

Frame: X a diameter, Z0 at the front face and negative into the part. Diameters must not fall towards the chuck:
what lies behind a shoulder is cut by grooving.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from gemel.numbers import Number, rule, tan_deg
from gemel.operations import codes
from gemel.operations.common import fault

if TYPE_CHECKING:
    from gemel.families.features import Turned, TurnedStep
    from gemel.families.part import Job

__all__ = ["ContourMove", "contour", "lead_in", "pass_end_mm"]

_FACE = rule(0.0, "finished face", "definition of the offset")
_HALF_DEG = rule(22.5, "half of 45 degrees", "a corner rolls on a 45 degree cone there")
_SAME_MM = 1e-9


@dataclass(frozen=True, slots=True)
class ContourMove:
    """One move of the contour: to (x_dia, z), straight or on an arc of `radius`."""

    x_dia: float
    z: float
    radius: float | None = None
    clockwise: bool = False


def contour(job: Job, profile: Turned, *, roughing: bool = False, nose_mm: float | None = None) -> list[ContourMove]:
    """The moves from the front edge of the first step to the far end of the last; roughing need not fit fillets.

    Convex roundings run counter-clockwise, fillets clockwise, seen with +X up and +Z to the right
    (a quarter from X0 Z0 to X20 Z-10 about X0 Z-10 is counter-clockwise, right-hand ZX plane).

    With `nose_mm` the corner that is measured runs so that a nose of that radius makes the profile: cylinders and faces
    stay, legs of chamfers grow by r (1 - tan 22.5 deg), roundings by r, fillets shrink by r.

    Raises:
        Findings: a diameter falls towards the chuck, edges overlap, or a cone is left to the path.
    """
    moves: list[ContourMove] = []
    before: float | None = None
    for step, (start, end) in zip(profile.steps, profile.spans(), strict=True):
        _check(job, step, before, end - start)
        if not roughing:
            _check_corner(job, step, shoulder=before is not None)
        edge = _edge(step, start, first=before is None, nose=nose_mm)
        if moves and edge[0].x_dia < moves[-1].x_dia - _SAME_MM:
            cause = f"the edges at {float(step.dia_mm):g} need more room than the shoulder before it has"
            raise fault(job, codes.UNREACHABLE, cause, step.dia_mm)
        moves += edge
        far = step.taper_to_mm if step.taper_to_mm is not None else step.dia_mm
        if nose_mm is not None and abs(far - step.dia_mm) > _SAME_MM:
            cause = "a cone needs a nose radius that the control compensates; leave `compensation` on"
            raise fault(job, codes.UNREACHABLE, cause, step.dia_mm)
        moves += _far_end(step, far, end, nose_mm)
        before = far
    return moves


def _far_end(step: TurnedStep, far: float, end: float, nose: float | None) -> list[ContourMove]:
    """From the step's edge to its far end, through the fillet where there is one."""
    fillet = step.fillet_mm if nose is None else step.fillet_mm - nose
    if fillet <= _SAME_MM:
        return [ContourMove(far, -end + _FACE)]
    return [
        ContourMove(far, fillet - end),
        ContourMove(far + 2.0 * fillet, -end + _FACE, fillet, clockwise=True),
    ]


def _edge(step: TurnedStep, start: float, *, first: bool, nose: float | None) -> list[ContourMove]:
    """The step's front edge: sharp, chamfered or rounded."""
    z = _FACE - start
    size = _edge_mm(step, nose)
    if size <= 0:
        return [ContourMove(step.dia_mm, z)]
    inner = ContourMove(step.dia_mm - 2.0 * size, z)
    outer = ContourMove(step.dia_mm, z - size, size if step.radius_mm > 0 else None)
    return [outer] if first and step.radius_mm <= 0 else [inner, outer]


def _edge_mm(step: TurnedStep, nose: float | None) -> float:
    """Leg of the chamfer or radius of the rounding that the programmed corner runs."""
    drawn = step.radius_mm if step.radius_mm > 0 else step.chamfer_mm
    if nose is None or drawn <= 0:
        return drawn
    return drawn + nose if step.radius_mm > 0 else drawn + nose * (1.0 - tan_deg(_HALF_DEG))


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


def _check_corner(job: Job, step: TurnedStep, *, shoulder: bool) -> None:
    nose, edge = job.tool.nose_radius_mm, job.tool.edge_angle_deg
    if shoulder and edge is not None and edge < 90.0:
        cause = f"an edge at {float(edge):g} degrees cannot turn a square shoulder"
        raise fault(job, codes.TOOL_FIT, cause, step.dia_mm, edge)
    if nose is not None and 0 < step.fillet_mm < nose:
        cause = f"a fillet of {float(step.fillet_mm):g} is smaller than the tool's corner of {float(nose):g}"
        raise fault(job, codes.TOOL_FIT, cause, step.fillet_mm, nose)


def lead_in(profile: Turned, clear_mm: float, nose_mm: float | None = None) -> tuple[Number, Number]:
    """X (diameter) and Z in front of the face, on the line of the first chamfer (or straight before the diameter)."""
    first = profile.steps[0]
    size = _edge_mm(first, nose_mm) if first.radius_mm <= 0 else 2.0 * _edge_mm(first, nose_mm)
    if size > 0:
        return first.dia_mm - 2.0 * (size + clear_mm) + _FACE, _FACE + clear_mm
    return first.dia_mm + _FACE, _FACE + clear_mm


def pass_end_mm(profile: Turned, x_dia_mm: float, leave_z_mm: float) -> Number | None:
    """Z at which a roughing pass on `x_dia_mm` (finish allowance taken off already) must stop; None if it cuts nothing.

    The pass goes on over every step that is no larger than it, and stops before fillets, cones and shoulders.
    """
    reached: Number | None = None
    for step, (start, end) in zip(profile.steps, profile.spans(), strict=True):
        if step.dia_mm > x_dia_mm + 1e-9:
            break
        far = step.taper_to_mm if step.taper_to_mm is not None else step.dia_mm
        if far > x_dia_mm + 1e-9:
            share = (x_dia_mm - step.dia_mm) / (far - step.dia_mm)
            return leave_z_mm - (start + (end - start) * share) + _FACE
        blocked = step.fillet_mm > 0 and x_dia_mm < far + 2.0 * step.fillet_mm
        reached = _FACE + leave_z_mm - (end - step.fillet_mm if blocked else end)
        if blocked:
            break
    return reached
