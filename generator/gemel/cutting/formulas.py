"""Cutting data by formula: speeds, feeds, times, force, power, finish. All results keep their origins.

Units are in the names. Formulas are those of every handbook; where one is less known its source stands beside it.
Zero or negative divisors (a speed of zero) raise ZeroDivisionError or ValueError: the schema refuses them before.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from gemel.numbers import atan, maximum, minimum, rule, sin_deg, sqrt, tan_deg
from gemel.numbers.arithmetic import PI, less, over, times

if TYPE_CHECKING:
    from gemel.numbers import Number

__all__ = [
    "FacingCut",
    "chip_thickness_mm",
    "chip_width_mm",
    "cutting_force_n",
    "drill_point_length_mm",
    "facing_time_at_outer_speed_s",
    "facing_time_s",
    "feed_for_roughness_mm_rev",
    "feed_mm_min",
    "feed_mm_min_of_teeth",
    "feed_mm_rev",
    "feed_mm_tooth",
    "lead_angle_deg",
    "mean_roughness_um",
    "milling_power_kw",
    "milling_removal_cm3_min",
    "roughness_exact_um",
    "roughness_um",
    "specific_force_n_mm2",
    "spindle_speed_radius_mm",
    "spindle_speed_rpm",
    "surface_speed_m_min",
    "torque_nm",
    "travel_time_s",
    "turning_power_kw",
    "turning_removal_cm3_min",
    "turning_time_s",
]

_UNITS = "definition of the units"
_MM_PER_M = rule(1000.0, "mm in a metre", _UNITS)
_S_PER_MIN = rule(60.0, "seconds in a minute", _UNITS)
_UM_PER_MM = rule(1000.0, "micrometres in a mm", _UNITS)
# N m/min to kW: 60 s and 1000 W.
_POWER_UNITS = rule(60e3, "N m/min in a kW", _UNITS)


def spindle_speed_rpm(surface_m_min: float, dia_mm: float) -> Number:
    """Spindle speed that gives a surface speed on a diameter: n = 1000 vc / (pi D)."""
    return _MM_PER_M * surface_m_min / (PI * dia_mm)


def surface_speed_m_min(dia_mm: float, speed_rpm: float) -> Number:
    """Surface speed on a diameter: vc = pi D n / 1000."""
    return PI * dia_mm * speed_rpm / _MM_PER_M


def feed_mm_min(feed_mm_rev: float, speed_rpm: float) -> Number:
    """Feed per minute of a feed per revolution: vf = f n. A thread's feed is its lead, pitch times starts."""
    return times(feed_mm_rev, speed_rpm)


def feed_mm_min_of_teeth(feed_mm_tooth: float, teeth: float, speed_rpm: float) -> Number:
    """Feed per minute of a milling tool: vf = fz z n."""
    return times(feed_mm_tooth, teeth, speed_rpm)


def feed_mm_rev(feed_mm_min: float, speed_rpm: float) -> Number:
    """Feed per revolution of a feed per minute: f = vf / n."""
    return over(feed_mm_min, speed_rpm)


def feed_mm_tooth(feed_mm_min: float, teeth: float, speed_rpm: float) -> Number:
    """Feed per tooth of a milling tool: fz = vf / (z n)."""
    return over(feed_mm_min, times(teeth, speed_rpm))


def travel_time_s(length_mm: float, feed_mm_min: float) -> Number:
    """Time of a feed path. A face mill's path is the face and its own diameter, a drill's the holes end to end."""
    return _S_PER_MIN * length_mm / feed_mm_min


def turning_time_s(length_mm: float, feed_mm_rev: float, speed_rpm: float) -> Number:
    """Time of a path at constant spindle speed: t = L / (f n)."""
    return travel_time_s(length_mm, feed_mm_min(feed_mm_rev, speed_rpm))


@dataclass(frozen=True, slots=True)
class FacingCut:
    """A cut across a face between two diameters, in either sense, at constant surface speed under a speed clamp.

    Attributes:
        from_dia_mm: diameter where the cut begins.
        to_dia_mm: diameter where it ends; 0 is the centre.
        surface_m_min: surface speed.
        feed_mm_rev: feed per revolution, along the radius.
        clamp_rpm: highest spindle speed allowed; infinite where none is set.
    """

    from_dia_mm: float
    to_dia_mm: float
    surface_m_min: float
    feed_mm_rev: float
    clamp_rpm: float


def facing_time_s(cut: FacingCut) -> Number:
    """Time of a facing cut: the speed rises inwards until the clamp holds it, from there on it is constant.

    Outside the radius r_c where the clamp takes hold, the time is pi (R^2 - r^2) / (1000 vc f) minutes; inside it is
    radius over feed per minute. The speed at the outside diameter for the whole cut would double the time to
    the centre (closed form after a machinist's handbook, integrated numerically to the same value).
    """
    outer_mm = over(maximum(cut.from_dia_mm, cut.to_dia_mm), 2)
    inner_mm = over(minimum(cut.from_dia_mm, cut.to_dia_mm), 2)
    clamped_mm = spindle_speed_radius_mm(cut.surface_m_min, cut.clamp_rpm)
    # Where the whole face lies inside the clamped radius there is no part at constant surface speed.
    switch_mm = minimum(outer_mm, maximum(clamped_mm, inner_mm))
    free_min = PI * (outer_mm**2 - switch_mm**2) / (_MM_PER_M * cut.surface_m_min * cut.feed_mm_rev)
    clamped_min = (switch_mm - inner_mm) / times(cut.clamp_rpm, cut.feed_mm_rev)
    return (free_min + clamped_min) * _S_PER_MIN


def spindle_speed_radius_mm(surface_m_min: float, speed_rpm: float) -> Number:
    """Radius on which a spindle speed gives a surface speed: r = 1000 vc / (2 pi n)."""
    return _MM_PER_M * surface_m_min / (2 * PI * speed_rpm)


def turning_removal_cm3_min(depth_mm: float, feed_mm_rev: float, surface_m_min: float) -> Number:
    """Volume removed by turning: Q = vc ap f."""
    return times(surface_m_min, depth_mm, feed_mm_rev)


def milling_removal_cm3_min(depth_mm: float, width_mm: float, feed_mm_min: float) -> Number:
    """Volume removed by milling: Q = ap ae vf / 1000."""
    return over(times(depth_mm, width_mm, feed_mm_min), 1000)


def chip_thickness_mm(feed_mm_rev: float, edge_angle_deg: float) -> Number:
    """Undeformed chip thickness under the cutting edge's angle kappa to the feed: h = f sin(kappa)."""
    return feed_mm_rev * sin_deg(edge_angle_deg)


def chip_width_mm(depth_mm: float, edge_angle_deg: float) -> Number:
    """Width of the chip along the edge: b = ap / sin(kappa)."""
    return depth_mm / sin_deg(edge_angle_deg)


def specific_force_n_mm2(force_unit_n_mm2: float, exponent: float, thickness_mm: float) -> Number:
    """Specific cutting force at a chip thickness: kc = kc1.1 h^-mc (Kienzle)."""
    falling = over(1, thickness_mm) ** exponent
    return force_unit_n_mm2 * falling


def cutting_force_n(specific_n_mm2: float, width_mm: float, thickness_mm: float) -> Number:
    """Cutting force: Fc = kc b h; b h equals depth times feed at every edge angle."""
    return times(specific_n_mm2, width_mm, thickness_mm)


def turning_power_kw(force_n: float, surface_m_min: float, efficiency: float) -> Number:
    """Drive power of a cut: P = Fc vc / (60000 eta), so with Fc = ap f kc: P = ap f vc kc / (60000 eta)."""
    return force_n * surface_m_min / (_POWER_UNITS * efficiency)


def milling_power_kw(removal_cm3_min: float, specific_n_mm2: float, efficiency: float) -> Number:
    """Drive power of a milling cut: P = Q kc / (60000 eta), Q = ap ae vf / 1000 in cm3/min."""
    return removal_cm3_min * specific_n_mm2 / (_POWER_UNITS * efficiency)


def torque_nm(power_kw: float, speed_rpm: float) -> Number:
    """Torque of a drive at a speed: M = 60000 P / (2 pi n)."""
    return _POWER_UNITS * power_kw / (2 * PI * speed_rpm)


def roughness_um(feed_mm_rev: float, nose_mm: float) -> Number:
    """Peak to valley height of a turned profile by the usual approximation: Rz = f^2 / (8 r)."""
    return _UM_PER_MM * times(feed_mm_rev, feed_mm_rev) / (8 * nose_mm)


def roughness_exact_um(feed_mm_rev: float, nose_mm: float) -> Number:
    """Height of the cusps that arcs leave: Rz = r - sqrt(r^2 - f^2/4).

    Raises:
        ValueError: the feed is over twice the nose radius, so the arcs do not meet.
    """
    half = over(feed_mm_rev, 2)
    return _UM_PER_MM * (nose_mm - sqrt(times(nose_mm, nose_mm) - half**2))


def mean_roughness_um(feed_mm_rev: float, nose_mm: float) -> Number:
    """Mean roughness of the ideal profile: Ra = f^2 / (31.18 r), the exact mean of parabolic cusps.

    Some handbooks print f^2 / (32 r), 2.5 % less.
    """
    share = rule(31.18, "8 times 9 sqrt(3) / 4", "mean over peak-to-valley height of parabolic cusps")
    return _UM_PER_MM * times(feed_mm_rev, feed_mm_rev) / (share * nose_mm)


def feed_for_roughness_mm_rev(roughness_um: float, nose_mm: float) -> Number:
    """The feed that leaves a peak to valley height: f = sqrt(8 r Rz)."""
    return sqrt(8 * nose_mm * roughness_um / _UM_PER_MM)


def drill_point_length_mm(dia_mm: float, point_angle_deg: float) -> Number:
    """Length of a drill's cone: D / (2 tan(half the point angle))."""
    return dia_mm / (2 * tan_deg(over(point_angle_deg, 2)))


def lead_angle_deg(lead_mm: float, pitch_dia_mm: float) -> Number:
    """Helix angle of a thread on its pitch diameter: atan(lead / (pi d2))."""
    return atan(lead_mm / (PI * pitch_dia_mm))


def facing_time_at_outer_speed_s(cut: FacingCut) -> Number:
    """Time of the same face at the one spindle speed of its outside diameter, for comparison."""
    outer_dia_mm = maximum(cut.from_dia_mm, cut.to_dia_mm)
    length_mm = over(less(outer_dia_mm, minimum(cut.from_dia_mm, cut.to_dia_mm)), 2)
    speed_rpm = minimum(spindle_speed_rpm(cut.surface_m_min, outer_dia_mm), cut.clamp_rpm)
    return turning_time_s(length_mm, cut.feed_mm_rev, speed_rpm)
