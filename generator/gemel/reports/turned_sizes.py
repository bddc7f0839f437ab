"""Sizes of a turned profile, step by step from the front face; lengths in mm."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.reports.sizes import CHAMFER, DIAMETER, RADIUS, Anchor, Asked

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.families.features import Turned, TurnedStep
    from gemel.reports.solid import Body

__all__ = ["turned"]

_NEAR_MM = 1e-6
_LEFT_MM = 0.01
_SHARES = (0.36, 0.64, 0.2, 0.8, 0.1, 0.9)
"""Where along a step its diameter may be shown; not in the middle, where holes are often."""


def turned(name: str, feature: Turned, body: Body) -> Iterator[Asked]:
    """Diameters, edges and shoulders of every step that the finished part still has."""
    for step, (start, end) in zip(feature.steps, feature.spans(), strict=True):
        if start >= body.length_mm:
            continue
        last = min(end, body.length_mm)
        yield from _diameters(name, step, (start, last), body)
        yield from _edges(name, step, start, body)
        if step.fillet_mm and end < body.length_mm:
            anchor = Anchor("side", end - step.fillet_mm / 3, step.dia_mm / 2)
            yield Asked(name, "fillet radius", "edge", step.fillet_mm, anchor, RADIUS)
        if end < body.length_mm - _NEAR_MM:
            shoulder = end if step.to_mm is None else step.to_mm
            yield Asked(name, "shoulder, from the front face", "length", shoulder, Anchor("span", 0, end))


def _diameters(name: str, step: TurnedStep, span: tuple[float, float], body: Body) -> Iterator[Asked]:
    start, end = span
    first = step.dia_mm
    if step.taper_to_mm is None:
        places = [start + share * (end - start) for share in _SHARES]
        clear = [place for place in places if _stands(first, place, body)]
        anchor = _on_round(first, [*clear, places[0]][0], body)
        yield Asked(name, "diameter", "outside", first, anchor, DIAMETER)
        return
    yield Asked(name, "cone, at its front end", "outside", first, _on_round(first, start, body), DIAMETER)
    last = step.taper_to_mm
    yield Asked(name, "cone, at its far end", "outside", last, _on_round(last, end, body), DIAMETER)


def _stands(dia_mm: float, place: float, body: Body) -> bool:
    """Whether flats and grooves have left the top of a diameter at a place."""
    return body.reach_mm(place, 0) > dia_mm / 2 - _LEFT_MM


def _on_round(dia_mm: float, place: float, body: Body) -> Anchor:
    """Where a diameter is shown: on top of the side view, or where flats leave nothing of it there, from the front."""
    if _stands(dia_mm, place, body):
        return Anchor("side", place, dia_mm / 2)
    left = [angle for angle in range(0, 360, 5) if body.reach_mm(place, angle) > dia_mm / 2 - _LEFT_MM]
    return Anchor("front", left[0] if left else 0, dia_mm / 2)


def _edges(name: str, step: TurnedStep, start: float, body: Body) -> Iterator[Asked]:
    if step.chamfer_mm:
        place = start + step.chamfer_mm / 2
        height = min(step.dia_mm / 2 - step.chamfer_mm / 2, body.reach_mm(place, 0))
        yield Asked(name, "chamfer", "edge", step.chamfer_mm, Anchor("side", place, height), CHAMFER)
    if step.radius_mm:
        height = min(step.dia_mm / 2 - step.radius_mm, body.reach_mm(start, 0))
        yield Asked(name, "edge radius", "edge", step.radius_mm, Anchor("side", start, height), RADIUS)
