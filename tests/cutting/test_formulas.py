"""Speeds, feeds, times, removal, force, power and finish against published examples and numbers."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gemel.cutting import formulas as cut
from gemel.cutting.formulas import FacingCut, facing_time_at_outer_speed_s, facing_time_s
from gemel.numbers import Number, Source, formula, leaves, sensitivity, sourced

# Printed results of published formula pages; they use pi = 3.14 and few digits, hence 0.1 % or half the last digit.
PRINTED = [
    ("turning speed", cut.surface_speed_m_min(50, 700), 110, 0.5),
    ("spindle speed", cut.spindle_speed_rpm(25, 12), 663, 0.5),
    ("feed per turn", cut.feed_mm_rev(120, 500), 0.24, 0.005),
    ("turning time, s", cut.turning_time_s(100, 0.2, 1000), 30, 0.5),
    ("peak to valley", cut.roughness_um(0.2, 0.8), 6.25, 0.005),
    ("milling speed", cut.surface_speed_m_min(125, 350), 137.4, 0.05),
    ("feed per tooth", cut.feed_mm_tooth(500, 10, 500), 0.1, 0.0005),
    ("feed per minute back", cut.feed_mm_min_of_teeth(0.1, 10, 500), 500, 0.5),
    ("face mill feed", cut.feed_mm_min_of_teeth(0.25, 16, 200), 800, 0.5),
    ("face mill time, s", cut.travel_time_s(300 + 200, 800), 37.5, 0.05),
    ("drill speed", cut.surface_speed_m_min(12, 1350), 50.9, 0.05),
    ("drill feed", cut.feed_mm_min(0.2, 1350), 270, 0.5),
    ("drill time, s", cut.turning_time_s(30, 0.15, cut.spindle_speed_rpm(50, 15)), 11.3, 0.05),
    ("drill time, min", cut.turning_time_s(30, 0.15, cut.spindle_speed_rpm(50, 15)) / 60, 0.188, 0.0005),
    ("five holes, s", cut.turning_time_s(5 * 30, 0.2, 1350), 33.3, 0.05),
    ("power", cut.turning_power_kw(3 * 0.2 * 3100, 120, 0.8), 4.65, 0.005),
    ("big mill speed", cut.spindle_speed_rpm(80, 250), 101.91, 0.005),
    ("big mill feed", cut.feed_mm_tooth(280, 12, cut.spindle_speed_rpm(80, 250)), 0.229, 0.0005),
]

feeds = st.floats(min_value=0.01, max_value=1)
diameters = st.floats(min_value=1, max_value=200)
speeds = st.floats(min_value=10, max_value=8000)


@pytest.mark.parametrize(("what", "got", "printed", "digit"), PRINTED, ids=[row[0] for row in PRINTED])
def test_published_examples(what: str, got: Number, printed: float, digit: float) -> None:
    """Each formula gives what the published page prints, within its rounding."""
    assert abs(got - printed) <= max(digit, 0.001 * printed), what


def test_a_truncated_print_is_not_followed() -> None:
    """One page prints 117 for D150 at 250 rpm: pi gives 117.81, cut off and not rounded there."""
    speed = cut.surface_speed_m_min(150, 250)
    assert speed == pytest.approx(117.81, abs=0.005)
    assert math.floor(speed) == 117


def test_spindle_speed_uses_pi() -> None:
    """663.15, 109.956 and 101.86 with pi; 3.14 would give 663.5, 109.9 and 101.91."""
    assert cut.spindle_speed_rpm(25, 12) == pytest.approx(663.15, abs=0.005)
    assert cut.surface_speed_m_min(50, 700) == pytest.approx(109.956, abs=0.0005)
    assert cut.spindle_speed_rpm(80, 250) == pytest.approx(101.86, abs=0.005)


def test_removal_rates() -> None:
    """120 x 3 x 0.2 = 72 cm3/min turning; 2 x 80 x 280 / 1000 = 44.8 cm3/min milling (computed)."""
    assert cut.turning_removal_cm3_min(3, 0.2, 120) == pytest.approx(72.0)
    assert cut.milling_removal_cm3_min(2, 80, 280) == pytest.approx(44.8)


def test_milling_power_is_force_times_removal() -> None:
    """44.8 cm3/min at 1800 N/mm2 takes 1.344 kW (computed: 44800 mm3/min x 1800 N/mm2 / 60e6)."""
    assert cut.milling_power_kw(44.8, 1800, 1) == pytest.approx(1.344)
    assert cut.milling_power_kw(44.8, 1800, 0.8) == pytest.approx(1.68)


# Computed closed form, integrated numerically to the same: from, to, vc, f, clamp, seconds.
FACES = [
    (FacingCut(60, 0, 200, 0.2, 3000), 4.7717),
    (FacingCut(50, 20, 180, 0.25, 4000), 2.1991),
    (FacingCut(40, 0, 250, 0.1, 5000), 3.4934),
    (FacingCut(100, 0, 150, 0.2, math.inf), 15.708),
]


@pytest.mark.parametrize(("face", "seconds"), FACES)
def test_facing_at_constant_surface_speed(face: FacingCut, seconds: float) -> None:
    """The closed form gives the integrated time, inwards and outwards."""
    outwards = replace(face, from_dia_mm=face.to_dia_mm, to_dia_mm=face.from_dia_mm)
    assert facing_time_s(face) == pytest.approx(seconds, abs=0.0005)
    assert facing_time_s(outwards) == pytest.approx(seconds, abs=0.0005)


@pytest.mark.parametrize(("surface", "clamp", "radius"), [(200, 3000, 10.6103), (180, 4000, 7.162), (250, 5000, 7.958)])
def test_radius_where_the_clamp_takes_hold(surface: float, clamp: float, radius: float) -> None:
    """r_c = 1000 vc / (2 pi n)."""
    assert cut.spindle_speed_radius_mm(surface, clamp) == pytest.approx(radius, abs=0.0005)


def test_facing_to_the_centre_takes_half_the_time_of_the_outer_speed() -> None:
    """A published calculator keeps the outer speed in its constant-surface-speed case: twice too long."""
    face = FacingCut(100, 0, 150, 0.2, math.inf)
    assert facing_time_at_outer_speed_s(face) == pytest.approx(31.416, abs=0.0005)
    assert facing_time_s(face) == pytest.approx(float(facing_time_at_outer_speed_s(face)) / 2)


def test_a_face_all_inside_the_clamped_radius_is_cut_at_the_clamp() -> None:
    """D20 at 500 m/min under 2000 rpm never reaches its surface speed: 10 mm / (0.1 x 2000) min = 3 s."""
    assert facing_time_s(FacingCut(20, 0, 500, 0.1, 2000)) == pytest.approx(3.0)


@given(
    st.floats(10, 200),
    st.floats(0, 0.95),
    st.floats(20, 500),
    st.floats(0.05, 0.5),
    st.floats(500, 8000),
)
def test_facing_time_equals_its_integral(outer: float, share: float, surface: float, feed: float, clamp: float) -> None:
    """Summing dr / (f n(r)) in many rings gives the closed form."""
    face = FacingCut(outer, outer * share, surface, feed, clamp)
    rings = 4000
    width = (outer - outer * share) / 2 / rings
    total = 0.0
    for ring in range(rings):
        radius = outer * share / 2 + (ring + 0.5) * width
        total += width / (feed * min(clamp, 1000 * surface / (2 * math.pi * radius)))
    assert facing_time_s(face) == pytest.approx(total * 60, rel=1e-5)


@given(st.floats(10, 200), st.floats(20, 500), st.floats(0.05, 0.5), st.floats(500, 7000))
def test_a_higher_clamp_never_takes_longer(outer: float, surface: float, feed: float, clamp: float) -> None:
    """Raising the speed clamp shortens a face or leaves it."""
    low = facing_time_s(FacingCut(outer, 0, surface, feed, clamp))
    high = facing_time_s(FacingCut(outer, 0, surface, feed, clamp + 500))
    assert high <= low * (1 + 1e-12)
    assert low <= facing_time_at_outer_speed_s(FacingCut(outer, 0, surface, feed, clamp)) * (1 + 1e-12)


def test_cusp_height_exact_and_by_approximation() -> None:
    """F 0.2, r 0.8: 6.2746 against 6.25 um (computed)."""
    assert cut.roughness_exact_um(0.2, 0.8) == pytest.approx(6.2746, abs=0.00005)
    assert cut.roughness_um(0.2, 0.8) == pytest.approx(6.25)


def test_cusp_height_needs_arcs_that_meet() -> None:
    """A feed over twice the nose radius leaves no cusp to measure."""
    with pytest.raises(ValueError, match="math"):
        cut.roughness_exact_um(1.7, 0.8)


def test_mean_roughness_of_the_ideal_profile() -> None:
    """f^2 / (31.18 r) = 1.6038 um; Rz is 3.897 times that; f^2 / (32 r), also printed, gives 1.5625."""
    mean = cut.mean_roughness_um(0.2, 0.8)
    assert mean == pytest.approx(1.6038, abs=0.0005)
    assert cut.roughness_um(0.2, 0.8) / mean == pytest.approx(3.897, abs=0.001)
    assert pytest.approx(8 * 9 * math.sqrt(3) / 4, abs=0.005) == 31.18


def test_roughness_in_inches() -> None:
    """A feed of .004 inch with a 1/32 inch nose leaves 64 microinch by f^2/8r; a published chart has .004 for 63."""
    height_microinch = cut.roughness_um(0.004, 1 / 32) * 1000
    assert height_microinch == pytest.approx(64.0)
    assert cut.feed_for_roughness_mm_rev(0.063, 1 / 32) == pytest.approx(0.004, abs=0.00005)


def test_feed_for_a_roughness() -> None:
    """Rz 6.3 with a 0.8 nose: f = 0.2008 (computed)."""
    assert cut.feed_for_roughness_mm_rev(6.3, 0.8) == pytest.approx(0.2008, abs=0.00005)


@given(feeds, st.floats(0.2, 2.4))
def test_feed_for_roughness_undoes_roughness(feed: float, nose: float) -> None:
    """Going there and back gives the feed again; the exact height is never below the approximation."""
    height = cut.roughness_um(feed, nose)
    assert cut.feed_for_roughness_mm_rev(height, nose) == pytest.approx(feed)
    if feed < 2 * nose:
        assert cut.roughness_exact_um(feed, nose) >= height * (1 - 1e-9)


@pytest.mark.parametrize(("angle", "share"), [(118, 0.3004), (135, 0.2071), (140, 0.1820), (90, 0.5)])
def test_drill_point_length(angle: float, share: float) -> None:
    """The cone's length as a share of the diameter (computed)."""
    assert cut.drill_point_length_mm(10, angle) == pytest.approx(10 * share, abs=0.0005)


@given(diameters, speeds)
def test_speed_and_surface_speed_undo_each_other(dia: float, speed: float) -> None:
    """n(vc(D, n), D) = n."""
    assert cut.spindle_speed_rpm(cut.surface_speed_m_min(dia, speed), dia) == pytest.approx(speed)


@given(st.floats(0.5, 20), speeds)
def test_torque_times_speed_is_power(power: float, speed: float) -> None:
    """P = M 2 pi n / 60000."""
    assert cut.torque_nm(power, speed) * 2 * math.pi * speed / 60000 == pytest.approx(power)


def test_results_remember_what_they_were_made_of() -> None:
    """A spindle speed knows the surface speed of the family and moves with it."""
    surface = sourced(180.0, Source("operations.turn.cutting.speed", "f", 4, 0, "180"))
    speed = cut.spindle_speed_rpm(surface, 25)
    assert "operations.turn.cutting.speed" in formula(speed)
    assert Source("operations.turn.cutting.speed", "f", 4, 0, "180") in leaves(speed)
    assert sensitivity(speed)[Source("operations.turn.cutting.speed", "f", 4, 0, "180")] == pytest.approx(speed / 180)


def test_facing_time_remembers_through_its_choices() -> None:
    """The derivative by the feed is -t/f on both sides of the clamp."""
    source = Source("feed", "f", 1, 0, "0.2")
    time = facing_time_s(FacingCut(60, 0, 200, sourced(0.2, source), 3000))
    assert sensitivity(time)[source] == pytest.approx(-float(time) / 0.2)


def test_plain_figures_give_numbers_too() -> None:
    """Also figures without an origin give a number that can show its formula."""
    assert formula(cut.feed_mm_min_of_teeth(0.1, 4, 3000)) == "0.1 * 4 * 3000"
