"""The outline of a workpiece and what a line takes off it, held against polygons of the shapely library."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon, box

from gemel.cutting.profile import NOTHING, Profile, Run

_FLOOR = -50.0
_heights = st.integers(-20, 20).map(lambda n: n / 2)
_places = st.integers(-60, 0).map(lambda n: n / 2)


def _shape(profile: Profile) -> Polygon:
    """The material between a floor and the outline, from Z -40 to the front."""
    shape = Polygon()
    for run in profile.within(-40.0, 50.0):
        corners = [(run.low, _FLOOR), (run.low, run.at_low), (run.high, run.at_high), (run.high, _FLOOR)]
        shape = shape.union(Polygon(corners))
    return shape


def _above(line: Run) -> Polygon:
    return Polygon([(line.low, line.at_low), (line.low, 60), (line.high, 60), (line.high, line.at_high)])


@st.composite
def _lines(draw: st.DrawFn) -> Run:
    low, high = sorted((draw(_places), draw(_places)))
    return Run(low, high + 0.5, draw(_heights), draw(_heights))


@given(st.lists(_lines(), min_size=1, max_size=6))
def test_what_lines_take_is_what_polygons_lose(lines: list[Run]) -> None:
    """Line by line, the area said to be taken and the outline that is left are those of the polygons."""
    profile = Profile.bar(8.0, 0.5)
    shape = _shape(profile)
    for line in lines:
        taken = sum((run.high - run.low) * gap for run, gap in profile.over(line))
        left = shape.difference(_above(line))
        assert taken == pytest.approx(shape.area - left.area, abs=1e-6)
        profile.lower(line)
        assert _shape(profile).symmetric_difference(left).area == pytest.approx(0.0, abs=1e-6)
        shape = left


@given(st.lists(_lines(), max_size=4))
def test_stretches_stay_in_order_without_gaps(lines: list[Run]) -> None:
    """Whatever is cut, the outline goes on from stretch to stretch up to its front."""
    profile = Profile.bar(8.0, 0.5)
    for line in lines:
        profile.lower(line)
    assert all(abs(a.high - b.low) < 1e-9 for a, b in pairwise(profile.runs))
    assert profile.front == 0.5
    assert profile.at(0.6) == NOTHING


def test_reach_beyond_a_face() -> None:
    """In front of a face at Z -1 stands what is left of the bar, up to the first place that is lower."""
    profile = Profile.bar(10.0, 0.5)
    assert profile.beyond(-1.0, 9.0) == pytest.approx(1.5)
    profile.lower(Run(-0.5, 0.5, 5.0, 5.0))
    assert profile.beyond(-1.0, 9.0) == pytest.approx(0.5)
    assert profile.beyond(-1.0, 4.0) == pytest.approx(1.5)


def test_parted_and_turned_round() -> None:
    """A piece seen from its other end has its cut face where it is wanted, its steps in the other order."""
    profile = Profile.bar(10.0, 0.0)
    profile.lower(Run(-8.0, 0.0, 6.0, 6.0))
    piece = profile.copy()
    piece.begin_at(-30.0)
    seen = piece.turned_round(-30.0, 0.3)
    assert seen.front == pytest.approx(0.3)
    assert seen.at(-10.0) == 10.0
    assert seen.at(-25.0) == 6.0
    assert _shape(seen).bounds[0] == pytest.approx(0.3 - 30.0)
    assert box(*_shape(seen).bounds).area > _shape(seen).area


def test_a_bar_that_is_drawn_out_goes_on_behind() -> None:
    """What was cut moves along, raw bar follows it."""
    profile = Profile.bar(10.0, 0.0)
    profile.lower(Run(-8.0, 0.0, 6.0, 6.0))
    moved = profile.moved(20.0)
    assert (moved.front, moved.at(15.0), moved.at(11.0), moved.at(-500.0)) == (20.0, 6.0, 10.0, 10.0)
