"""The finished part as a body."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon

from gemel.reports.envelope import Piece, envelope, height_at
from gemel.reports.solid import Body, Side, body_of
from support.demo import demo


def _area(body: Body, place: float) -> float:
    """Area of a cross-section: the polygon of its corners and a segment of the circle on every round stretch."""
    section = body.section(place)
    total = 0.0
    for index, ((x, y), is_round) in enumerate(section):
        (further, back), _ = section[(index + 1) % len(section)]
        total += (x * back - further * y) / 2
        if is_round:
            turn = (math.atan2(back, further) - math.atan2(y, x)) % (2 * math.pi)
            radius = math.hypot(x, y)
            total += radius**2 / 2 * (turn - math.sin(turn))
    return total


@given(
    radius=st.floats(3, 20),
    count=st.integers(1, 8),
    share=st.floats(0.3, 0.98),
    angle=st.floats(0, 359),
)
def test_section_is_the_round_less_what_the_flats_take(radius: float, count: int, share: float, angle: float) -> None:
    """A round cut by planes has the area that shapely's polygons give (a circle there has 4 x 512 corners)."""
    half = radius * share
    sides = tuple(Side(angle + 360 / count * i, half, 0, 10) for i in range(count))
    body = Body(((0.0, radius), (10.0, radius)), sides, 10.0)
    expected = Point(0, 0).buffer(radius, quad_segs=512)
    for side in sides:
        expected = expected.intersection(_half_plane(side))
    assert _area(body, 5) == pytest.approx(expected.area, rel=1e-4)


def _half_plane(side: Side) -> Polygon:
    """A large square on the inner hand of a flat."""
    turn = math.radians(side.angle_deg)
    out, along = (math.cos(turn), math.sin(turn)), (-math.sin(turn), math.cos(turn))
    far = 100.0
    corners = [(side.half_mm, far), (side.half_mm, -far), (-far, -far), (-far, far)]
    return Polygon([(a * out[0] + b * along[0], a * out[1] + b * along[1]) for a, b in corners])


def test_hexagon_is_as_wide_over_corners_as_the_handbook_says() -> None:
    """Across corners is 1.1547 times across flats (e = s / cos 30) when nothing cuts them."""
    sides = tuple(Side(60 * i, 9.5, 0, 10) for i in range(6))
    body = Body(((0.0, 30.0), (10.0, 30.0)), sides, 10.0)
    assert 2 * body.radius_mm == pytest.approx(1.1547 * 19, rel=1e-5)


def test_least_of_all_cuts_is_what_stays() -> None:
    """The envelope is the pointwise least of its pieces, also between their crossing points."""
    pieces = [Piece(0, 10, 20, 10), Piece(0, 4, 12, 16), Piece(14, 6, 16, 6)]
    line = envelope(pieces, 20)
    for place in (0.5, 3, 5.9, 6.1, 11, 13.9, 15, 16.5, 19):
        over = min(p.at(place) for p in pieces if p.start_mm <= place <= p.end_mm)
        assert height_at(line, place) == pytest.approx(over)


@pytest.mark.parametrize(
    ("family", "member", "place", "angle", "reach"),
    [
        ("port-block", "35", 20, 0, 7.48925),  # 15 h9 less half of 0.043, halved
        ("valve-stem", "60", 6, 0, 2.9875),  # 6 f9: -0.010 -0.040
        ("valve-stem", "60", 32, 0, 3.591),  # groove 7.2 h9: 0 -0.036
        ("valve-stem", "60", 49, 0, 6.4725),  # 13 h11 across flats: 0 -0.110
        ("valve-stem", "60", 49, 90, 7.8),  # the round between them
        ("sensor-collar", "16", 16, 0, 16.4845),  # 34 h9 less the back chamfer of 0.5
    ],
)
def test_demo_parts_have_the_drawn_sizes(family: str, member: str, place: float, angle: float, reach: float) -> None:
    """The surface lies where the drawing's size and the middle of its ISO 286 tolerance put it."""
    body = body_of(demo("twin-turnmill", family, member).part)
    assert body.reach_mm(place, angle) == pytest.approx(reach, abs=1e-6)
