"""Geometry of turned and milled shapes, with origins: flats, polygons, chamfers, nose radius, hole patterns, mass.

Diameters and radii are said in the names (`dia_mm`, `radius_mm`); all angles are degrees.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from gemel.numbers import acos, atan, cos_deg, floor, maximum, rule, sin_deg, sqrt, tan_deg
from gemel.numbers.arithmetic import PI, less, over, times

if TYPE_CHECKING:
    from gemel.numbers import Number

__all__ = [
    "NoseShift",
    "across_corners_mm",
    "chamfer_volume_mm3",
    "chord_mm",
    "circle_area_mm2",
    "flat_depth_mm",
    "flats_meet",
    "hole_spacing_mm",
    "largest_across_mm",
    "mass_g",
    "mass_kg_m",
    "nose_shift",
    "pieces_from_bar",
    "polygon_area_mm2",
    "round_with_flats_area_mm2",
    "segment_area_mm2",
    "taper_half_angle_deg",
]

_DEG_PER_RAD = 180 / PI
_MM2_M_PER_CM3 = rule(1e-6, "kg/m of 1 mm2 at 1 kg/m3", "definition of the units")


def across_corners_mm(across_mm: float, count: float) -> Number:
    """Diameter over the corners of a regular polygon with an even number of flats: e = s / cos(180/n)."""
    return across_mm / cos_deg(over(180, count))


def largest_across_mm(dia_mm: float, count: float) -> Number:
    """The largest size across flats that still has sharp corners on a round: s = D cos(180/n)."""
    return dia_mm * cos_deg(over(180, count))


def polygon_area_mm2(across_mm: float, count: float) -> Number:
    """Area of a regular polygon across flats: n/4 s^2 tan(180/n)."""
    return over(count, 4) * times(across_mm, across_mm) * tan_deg(over(180, count))


def circle_area_mm2(dia_mm: float) -> Number:
    """Area of a round."""
    return PI / 4 * times(dia_mm, dia_mm)


def flat_depth_mm(dia_mm: float, across_mm: float) -> Number:
    """How deep each flat cuts into a round, on the radius: (D - s) / 2."""
    return over(less(dia_mm, across_mm), 2)


def chord_mm(radius_mm: float, depth_mm: float) -> Number:
    """Width of a flat cut to a depth into a round: 2 sqrt(2 r h - h^2).

    Raises:
        ValueError: the depth is over the diameter.
    """
    return 2 * sqrt(times(2, radius_mm, depth_mm) - times(depth_mm, depth_mm))


def segment_area_mm2(radius_mm: float, depth_mm: float) -> Number:
    """Area that one flat takes off a round: r^2/2 (t - sin t), t = 2 acos(1 - h/r).

    Raises:
        ValueError: the depth is over the diameter.
    """
    angle_deg = 2 * acos(less(1, over(depth_mm, radius_mm)))
    return times(radius_mm, radius_mm) / 2 * (angle_deg / _DEG_PER_RAD - sin_deg(angle_deg))


def flats_meet(dia_mm: float, across_mm: float, count: float) -> bool:
    """Whether flats spaced evenly round a bar meet in sharp corners, so that nothing round is left."""
    return count > 2 and across_mm <= largest_across_mm(dia_mm, count)


def round_with_flats_area_mm2(dia_mm: float, across_mm: float, count: float) -> Number:
    """Cross-section of a round with flats evenly round it, each half of `across_mm` from the centre.

    The round less its segments, until the flats meet; from there on the segments overlap and it is the polygon.
    One flat and two flats never meet. A size across the whole round or more takes nothing off.
    """
    if flats_meet(dia_mm, across_mm, count):
        return polygon_area_mm2(across_mm, count)
    depth_mm = maximum(flat_depth_mm(dia_mm, across_mm), 0)
    return circle_area_mm2(dia_mm) - count * segment_area_mm2(over(dia_mm, 2), depth_mm)


def chamfer_volume_mm3(dia_mm: float, chamfer_mm: float) -> Number:
    """Volume that a 45 degree chamfer takes off the end of a round: pi c^2 (D/2 - c/3)."""
    return PI * times(chamfer_mm, chamfer_mm) * (over(dia_mm, 2) - over(chamfer_mm, 3))


class NoseShift(NamedTuple):
    """How far the point that is programmed runs off a cone's line for a tool with a nose radius.

    Attributes:
        z_mm: shift along Z.
        x_rad_mm: shift along X, on the radius.
    """

    z_mm: Number
    x_rad_mm: Number


def nose_shift(nose_mm: float, angle_deg: float) -> NoseShift:
    """Shift of a nose radius on a cone that stands `angle_deg` from Z: r (1 - tan(t/2)), r (1 - tan(45 - t/2))."""
    half_deg = over(angle_deg, 2)
    return NoseShift(nose_mm * (1 - tan_deg(half_deg)), nose_mm * (1 - tan_deg(45 - half_deg)))


def taper_half_angle_deg(large_dia_mm: float, small_dia_mm: float, length_mm: float) -> Number:
    """Angle of a taper's side to its axis: atan((D - d) / (2 L))."""
    return atan(over(less(large_dia_mm, small_dia_mm), times(2, length_mm)))


def hole_spacing_mm(pitch_circle_mm: float, count: float) -> Number:
    """Straight distance between neighbours on a hole circle: PCD sin(180/n)."""
    return pitch_circle_mm * sin_deg(over(180, count))


def mass_kg_m(area_mm2: float, density_kg_m3: float) -> Number:
    """Mass of a metre of bar of a cross-section."""
    return _MM2_M_PER_CM3 * area_mm2 * density_kg_m3


def mass_g(area_mm2: float, length_mm: float, density_kg_m3: float) -> Number:
    """Mass of a piece of bar, grams (kg/m and g/mm are the same figure)."""
    return mass_kg_m(area_mm2, density_kg_m3) * length_mm


def pieces_from_bar(bar_mm: float, part_mm: float, cut_off_mm: float, remnant_mm: float) -> Number:
    """How many parts a bar gives, each with one cut-off, when a remnant stays in the clamp; never below zero."""
    usable_mm = maximum(less(bar_mm, remnant_mm), 0)
    return floor(usable_mm / (part_mm + cut_off_mm))
