"""Flats, polygons, segments, chamfers, nose radius, hole circles. Values are computed unless a source is named."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.affinity import rotate
from shapely.geometry import Point, box

from gemel.families import geometry as geo
from gemel.numbers import Source, formula, sensitivity, sourced


@pytest.mark.parametrize(
    ("count", "across", "corners"),
    [
        (6, 8, 9.2376),
        (6, 10, 11.5470),
        (6, 13, 15.0111),
        (6, 17, 19.6299),
        (6, 19, 21.9393),
        (6, 24, 27.7128),
        (4, 10, 14.1421),
        (4, 17, 24.0416),
        (8, 1, 1.0823922),
        (6, 1, 1.1547005),
        (4, 1, 1.4142136),
    ],
)
def test_across_corners(count: int, across: float, corners: float) -> None:
    """Hexagon 1.1547005 s, square 1.4142136 s, octagon 1.0823922 s."""
    assert geo.across_corners_mm(across, count) == pytest.approx(corners, abs=0.00006 if across > 1 else 6e-8)


@pytest.mark.parametrize(
    ("count", "dia", "across"),
    [
        (6, 12, 10.3923),
        (6, 16, 13.8564),
        (6, 20, 17.3205),
        (6, 25, 21.6506),
        (6, 30, 25.9808),
        (4, 16, 11.3137),
        (4, 20, 14.1421),
        (4, 25, 17.6777),
        (4, 30, 21.2132),
    ],
)
def test_largest_polygon_from_round(count: int, dia: float, across: float) -> None:
    """Hexagon 0.8660254 D, square 0.7071068 D."""
    assert geo.largest_across_mm(dia, count) == pytest.approx(across, abs=0.00006)


@pytest.mark.parametrize(
    ("radius", "depth", "chord"),
    [(10, 1.5, 10.5357), (10, 1, 8.7178), (12.5, 2.5, 15.0), (8, 0.5, 5.5678), (10, 2, 12.0)],
)
def test_width_of_a_flat(radius: float, depth: float, chord: float) -> None:
    """C = 2 sqrt(2 r h - h^2); D20 with s16 has flats 12 wide."""
    assert geo.chord_mm(radius, depth) == pytest.approx(chord, abs=0.00006)


def test_depth_of_a_flat() -> None:
    """(D - s) / 2: D20 s16 is 2 deep."""
    assert geo.flat_depth_mm(20, 16) == pytest.approx(2)
    assert geo.chord_mm(10, geo.flat_depth_mm(20, 16)) == pytest.approx(12)


@pytest.mark.parametrize(
    ("radius", "depth", "area"),
    [
        (10, 1, 5.8726),
        (10, 1.5, 10.7046),
        (10, 2, 16.3501),
        (10, 10, 157.0796),
        (10, 15, 252.7408),
        (12.5, 2.5, 25.5470),
    ],
)
def test_segment_area(radius: float, depth: float, area: float) -> None:
    """r^2/2 (t - sin t), also past the centre."""
    assert geo.segment_area_mm2(radius, depth) == pytest.approx(area, abs=0.00006)


@pytest.mark.parametrize(
    ("across", "count", "area"), [(18, 6, 278.924), (17, 6, 250.281), (16, 2, 281.459), (16, 4, 248.759)]
)
def test_round_with_flats(across: float, count: int, area: float) -> None:
    """D20 with two, four, six flats; s18 leaves rounded corners, s17 is a full hexagon."""
    assert geo.round_with_flats_area_mm2(20, across, count) == pytest.approx(area, abs=0.0006)


def test_overlapping_flats_are_not_subtracted_twice() -> None:
    """D20 s17: circle less six segments would give 249.932, which counts the overlaps twice."""
    naive = geo.circle_area_mm2(20) - 6 * geo.segment_area_mm2(10, 1.5)
    assert naive == pytest.approx(249.932, abs=0.001)
    assert geo.round_with_flats_area_mm2(20, 17, 6) - naive > 0.3


@pytest.mark.parametrize("count", [4, 6, 8])
def test_area_is_steady_where_the_flats_begin_to_meet(count: int) -> None:
    """At s = D cos(180/n) both forms are the same polygon."""
    switch = float(geo.largest_across_mm(20, count))
    below = geo.round_with_flats_area_mm2(20, switch - 1e-9, count)
    above = geo.round_with_flats_area_mm2(20, switch + 1e-9, count)
    assert geo.flats_meet(20, switch - 1e-9, count)
    assert not geo.flats_meet(20, switch + 1e-9, count)
    assert below == pytest.approx(float(above), abs=1e-6)


def test_two_flats_never_meet() -> None:
    """However close, two flats leave a rounded strip."""
    assert not geo.flats_meet(20, 0.001, 2)
    assert geo.round_with_flats_area_mm2(20, 0.001, 2) == pytest.approx(0.02, rel=1e-6)


@given(st.floats(5, 100), st.floats(0.3, 1.2), st.sampled_from([1, 2, 4, 6, 8]))
def test_round_with_flats_equals_the_cut_shape(dia: float, share: float, count: int) -> None:
    """A circle of many sides cut by half-planes in another geometry library has the same area."""
    shape = Point(0, 0).buffer(dia / 2, quad_segs=512)
    for flat in range(count):
        half_plane = box(-2 * dia, -2 * dia, share * dia / 2, 2 * dia)
        shape = shape.intersection(rotate(half_plane, 360 / count * flat, origin=(0, 0)))
    assert geo.round_with_flats_area_mm2(dia, share * dia, count) == pytest.approx(shape.area, rel=1e-5)


@pytest.mark.parametrize(("dia", "chamfer", "volume"), [(20, 1, 30.3687), (16, 0.5, 6.1523)])
def test_chamfer_volume(dia: float, chamfer: float, volume: float) -> None:
    """Pi c^2 (D/2 - c/3), which is a cylinder less a frustum."""
    assert geo.chamfer_volume_mm3(dia, chamfer) == pytest.approx(volume, abs=0.00006)
    large, small = dia / 2, dia / 2 - chamfer
    frustum = math.pi * chamfer / 3 * (large**2 + large * small + small**2)
    assert geo.chamfer_volume_mm3(dia, chamfer) == pytest.approx(math.pi * large**2 * chamfer - frustum)


@pytest.mark.parametrize(
    ("nose", "angle", "z", "x"),
    [
        (1, 45, 0.5857864, 0.5857864),
        (0.4, 45, 0.2343, 0.2343),
        (0.8, 45, 0.4686, 0.4686),
        (1, 30, 0.7320508, 0.4226497),
    ],
)
def test_nose_radius_on_a_cone(nose: float, angle: float, z: float, x: float) -> None:
    """DZ = r (1 - tan(t/2)), dX = r (1 - tan(45 - t/2))."""
    tolerance = 6e-8 if nose == 1 else 0.00006
    assert geo.nose_shift(nose, angle) == pytest.approx((z, x), abs=tolerance)


@given(st.floats(0.1, 2.4), st.floats(1, 89))
def test_nose_shift_puts_the_arc_on_the_cone(nose: float, angle: float) -> None:
    """Shifted along Z alone or along X alone, the nose's circle touches the cone's line."""
    # The programmed point is the corner of the square round the nose; the line goes through the wanted point. Its
    # normal on the tool's side is (sin t, cos t) in (Z, X), and the circle touches when its centre is one radius away.
    z, x = geo.nose_shift(nose, angle)
    sine, cosine = math.sin(math.radians(angle)), math.cos(math.radians(angle))
    assert (nose - z) * sine + nose * cosine == pytest.approx(nose)
    assert nose * sine + (nose - x) * cosine == pytest.approx(nose)


@pytest.mark.parametrize(
    ("large", "small", "length", "angle"),
    [(30, 20, 25, 11.3099), (1, 0, 10, 2.8624), (1, 0, 20, 1.4321)],
)
def test_taper_half_angle(large: float, small: float, length: float, angle: float) -> None:
    """atan((D - d) / (2 L)): 30 to 20 over 25, tapers 1:10 and 1:20."""
    assert geo.taper_half_angle_deg(large, small, length) == pytest.approx(angle, abs=0.00006)


@pytest.mark.parametrize(("circle", "count", "chord"), [(30, 6, 15.0), (30, 4, 21.2132)])
def test_spacing_on_a_hole_circle(circle: float, count: int, chord: float) -> None:
    """PCD sin(180/n)."""
    assert geo.hole_spacing_mm(circle, count) == pytest.approx(chord, abs=0.00006)


@given(st.floats(5, 100), st.sampled_from([4, 6, 8]))
def test_largest_polygon_has_the_round_s_diameter_over_corners(dia: float, count: int) -> None:
    """Across corners of the largest polygon is the round again."""
    assert geo.across_corners_mm(geo.largest_across_mm(dia, count), count) == pytest.approx(dia)


@given(st.floats(1, 50), st.floats(0, 1))
def test_a_segment_and_the_rest_are_the_round(radius: float, share: float) -> None:
    """Segments of h and 2r - h add up to the circle."""
    depth = 2 * radius * share
    both = geo.segment_area_mm2(radius, depth) + geo.segment_area_mm2(radius, 2 * radius - depth)
    assert both == pytest.approx(math.pi * radius**2, rel=1e-6)


def test_geometry_remembers() -> None:
    """The width of a flat knows the size across flats and moves with it."""
    source = Source("values.across", "f", 2, 0, "16")
    chord = geo.chord_mm(10, geo.flat_depth_mm(20, sourced(16.0, source)))
    assert "values.across" in formula(chord)
    assert sensitivity(chord)[source] == pytest.approx(-16 / 12, rel=1e-9)


def test_a_flat_deeper_than_the_round_is_refused() -> None:
    """There is no chord and no segment beyond the diameter."""
    with pytest.raises(ValueError, match="math"):
        geo.chord_mm(10, 21)
    with pytest.raises(ValueError, match="math"):
        geo.segment_area_mm2(10, 21)
