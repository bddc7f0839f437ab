"""What mills have cut away, held against polygons of the shapely library."""

from __future__ import annotations

from math import cos, radians, sin, sqrt

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon

from gemel.cutting.milled import NOTHING, Box, add, height


def _flat(angle: float, level: float, z: tuple[float, float] = (-10.0, 0.0)) -> Box:
    return Box(angle, level, -50.0, 50.0, *z)


def _section(radius: float, flats: list[Box], angle: float) -> Polygon:
    """The cross-section in the frame of a C angle: heights along the first coordinate, Y along the second."""
    shape = Point(0, 0).buffer(radius, quad_segs=2000)
    for flat in flats:
        turn = radians(flat.angle - angle)
        normal, along = (cos(turn), sin(turn)), (-sin(turn), cos(turn))
        base = flat.level * normal[0], flat.level * normal[1]
        far = 200.0
        corners = [
            (base[0] + a * far * along[0] + n * far * normal[0], base[1] + a * far * along[1] + n * far * normal[1])
            for a, n in ((-1, 0), (1, 0), (1, 1), (-1, 1))
        ]
        shape = shape.difference(Polygon(corners))
    return shape


@given(
    st.floats(3.0, 20.0),
    st.lists(st.tuples(st.sampled_from([0.0, 60.0, 90.0, 180.0, 270.0]), st.floats(0.5, 1.0)), max_size=4),
    st.floats(-0.95, 0.95),
    st.sampled_from([0.0, 30.0, 90.0]),
)
def test_height_is_where_a_ray_leaves_the_section(
    radius: float, cuts: list[tuple[float, float]], share: float, angle: float
) -> None:
    """For any flats and any place beside the axis, the height is the highest point of the section there."""
    flats = [_flat(at, level * radius) for at, level in cuts]
    y = share * radius
    # A ray along a side is on both sides of it.
    assume(all(abs(abs(y) - flat.level) > radius * 1e-3 for flat in flats))
    ray = _section(radius, flats, angle).intersection(LineString([(-100.0, y), (100.0, y)]))
    found = height(flats, angle, y, radius)
    if ray.is_empty or ray.length < 1e-3:
        return
    assert found == pytest.approx(ray.bounds[2], abs=radius * 1e-4)


def test_beside_a_flat_at_right_angles_there_is_nothing() -> None:
    """Beyond the flat at 90 degrees no material stands: a corner that a chamfer tool meets is a corner."""
    flats = [_flat(0.0, 7.5), _flat(90.0, 7.5)]
    assert height(flats, 0.0, 7.0, 12.5) == 7.5
    assert height(flats, 0.0, 8.0, 12.5) == NOTHING
    assert height([], 0.0, 8.0, 12.5) == pytest.approx(sqrt(12.5**2 - 64))


def test_a_narrow_slot_counts_at_its_own_angle_only() -> None:
    """A slot is no flat: seen from another angle the round is whole."""
    slot = Box(0.0, 8.0, -2.0, 2.0, -10.0, 0.0)
    assert height([slot], 0.0, 1.0, 12.5) == 8.0
    assert height([slot], 0.0, 3.0, 12.5) == pytest.approx(sqrt(12.5**2 - 9))
    assert height([slot], 30.0, 0.0, 12.5) == 12.5


def test_rows_of_one_level_become_one_box_and_deeper_ones_replace_it() -> None:
    """The list stays short however many rows a flat is cut in."""
    boxes: list[Box] = []
    for level in (9.0, 7.5):
        for row in range(5):
            add(boxes, _flat(0.0, level, (-6.0 * row - 6.0, -6.0 * row)))
    assert boxes == [_flat(0.0, 7.5, (-30.0, 0.0))]
