"""Arcs: NISTIR 6556, 3.5.3 and its worked figures; the turning plane by the right-hand rule; extremes on the way."""

# ruff: noqa: FBT001 # columns of tables and drawn values come by place
from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from gemel.reading.arcs import Arc, ArcError, arc_about, arc_by_radius
from support.rs274 import run_from

if TYPE_CHECKING:
    from gemel.reading import Motion

Point = tuple[float, float]
CW, CCW = True, False
_TIGHT = 0.002
"""3.5.3.2: more than that between the two radii is an error, mm."""


def about(start: Point, end: Point, offset: Point, clockwise: bool) -> Arc:
    """The arc about a centre, to the report's tolerance."""
    return arc_about(start, end, offset, (clockwise, _TIGHT))


def _length(motion: Motion) -> float:
    """Length of a straight motion in the plane XY."""
    ends = [(p.x_dia, p.y) for p in (motion.start, motion.end)]
    return math.dist(*([v or 0.0 for v in end] for end in ends))


def close(value: float, expected: float, within: float = 5e-5) -> bool:
    """As close as the report prints."""
    return math.isclose(value, expected, rel_tol=0, abs_tol=within)


@pytest.mark.parametrize(("off", "is_error"), [(0.0019, False), (0.0021, True), (-0.0019, False), (-0.0021, True)])
def test_radii_that_differ(off: float, is_error: bool) -> None:
    """3.5.3.2: 0.002 mm between the radius at the start and at the end is the limit."""
    if is_error:
        with pytest.raises(ArcError, match="at the end"):
            about((0, 0), (10 + off, 0), (5, 0), CW)
    else:
        assert about((0, 0), (10 + off, 0), (5, 0), CW).radius == 5


@pytest.mark.parametrize("distance", ["G90", "G91"])
def test_centre_offsets_are_increments(distance: str) -> None:
    """3.5.17: I J K count from the start of the arc, whatever the distance mode."""
    end = {"G90": "X20 Y0", "G91": "X10 Y0"}[distance]
    [step] = run_from((10, 0, 0), f"{distance} F1 G2 {end} I5 J0").steps
    assert step.motions[0].center == (15, 0)


def test_same_end_as_start_is_a_full_circle() -> None:
    """3.5.3.2: in centre form; an axis word of the plane is needed, else an offset alone makes one as well."""
    for words in ("X0 I5", "Y0 I5", "I5"):
        [motion] = run_from((0, 0, 0), f"F1 G2 {words}").steps[0].motions
        assert (motion.sweep_deg, motion.end[:2], motion.center) == (360, (0, 0), (5, 0))


@pytest.mark.parametrize(
    ("radius", "sweep_deg"), [(5.0, 180.0), (6.0, 112.885), (50.0, 11.478), (-6.0, 247.115), (-50.0, 348.522)]
)
def test_radius_form(radius: float, sweep_deg: float) -> None:
    """3.5.3.1: a positive radius turns half way at most, a negative one further (angles: 2 asin(chord / 2 R))."""
    for clockwise in (CW, CCW):
        arc = arc_by_radius((0, 0), (10, 0), radius, (clockwise, _TIGHT))
        assert close(math.degrees(arc.sweep), sweep_deg, 1e-3)


def test_radius_form_needs_two_points() -> None:
    """3.5.3.1: an end that is the start is an error."""
    with pytest.raises(ArcError, match="elsewhere"):
        arc_by_radius((3, 4), (3, 4), 5, (CW, _TIGHT))


def test_radius_too_small() -> None:
    """No circle of radius 4.9 goes through two points that are 10 apart."""
    with pytest.raises(ArcError, match="no centre"):
        arc_by_radius((0, 0), (10, 0), 4.9, (CW, _TIGHT))


def test_near_half_a_turn_the_centre_is_ill_conditioned() -> None:
    """3.5.3.1 calls 165 to 195 degrees bad practice: 0.01 mm of radius moves the centre by 0.3 mm. Read as written."""
    centres = [arc_by_radius((0, 0), (10, 0), radius, (CW, _TIGHT)).center[1] for radius in (5.0, 5.01)]
    assert abs(centres[0] - centres[1]) > 0.3


def test_worked_example_of_the_centre_form() -> None:
    """3.5.3.2: from (7, 7) to (10, 16) about I3 J4: centre (10, 11), radius 5; sweep and length computed."""
    arc = about((7, 7), (10, 16), (3, 4), CW)
    assert (arc.center, arc.radius) == ((10, 11), 5)
    assert close(math.degrees(arc.sweep), 143.1301)
    assert close(arc.length, 12.4905)


def test_worked_example_of_the_radius_form() -> None:
    """Table 10: from (3, 1, 0) clockwise to X0 with R7.01 and Z0.5: centre (1.5000, 7.8476), a helix."""
    [motion] = run_from((3, 1, 0), "F1 G2 X0 R7.01 Z0.5").steps[0].motions
    assert motion.center is not None
    assert close(motion.center[0], 1.5)
    assert close(motion.center[1], 7.8476)
    assert motion.end[:3] == (0, 1, 0.5)


def test_sagitta() -> None:
    """Radius 8 over a chord of 5 rises 0.4007."""
    arc = arc_by_radius((0, 0), (5, 0), 8, (CW, _TIGHT))
    assert close(arc.extremes(1)[1], 0.4007)


def test_turning_plane() -> None:
    """+X up and +Z to the right, Y towards the eye: counter-clockwise is G03 (right-hand rule; common practice).

    From Z0 X0 to Z-10 X20 (a diameter) about Z-10 X0: 90 degrees.
    """
    arc = about((0, 0), (-10, 10), (-10, 0), CCW)
    assert close(math.degrees(arc.sweep), 90)


@pytest.mark.parametrize(
    ("start", "end", "offset", "clockwise", "radius", "sweep_deg", "length"),
    [
        ((16, 2.5), (13.5, 0), (-2.5, 0), CCW, 2.5, 270, 11.7810),
        ((32.5, 0), (32.5, 0), (0, 2.5), CW, 2.5, 360, 15.7080),
        ((79.5, 0), (79.5, 5), (0, 2.5), CW, 2.5, 180, 7.8540),
        ((-2, -2), (-2.6, -0.2), (0, 1), CW, 1, 143.1301, None),
        ((1.4, 2.8), (2, 3), (0.6, -0.8), CW, 1, 36.8699, None),
        ((-2, -2.5), (-2.9, 0.2), (0, 1.5), CW, 1.5, 143.1301, None),
        ((1.1, 3.2), (2, 3.5), (0.9, -1.2), CW, 1.5, 36.8699, None),
    ],
)
def test_arcs_of_the_sample_programs(
    start: Point, end: Point, offset: Point, clockwise: bool, radius: float, sweep_deg: float, length: float | None
) -> None:
    """Annex C.1, Tables 12 and 13: radius, sweep and length; the two radii agree."""
    arc = arc_about(start, end, offset, (clockwise, 1e-9))
    assert close(arc.radius, radius)
    assert close(math.degrees(arc.sweep), sweep_deg)
    if length is not None:
        assert close(arc.length, length)


def test_arc_by_radius_of_the_sample_program() -> None:
    """Annex C.1: (64, 4) to (69, 4) with R4, clockwise."""
    arc = arc_by_radius((64, 4), (69, 4), 4, (CW, _TIGHT))
    assert close(arc.center[0], 66.5)
    assert close(arc.center[1], 0.8775)
    assert close(math.degrees(arc.sweep), 77.3644)
    assert close(arc.length, 5.4011)


@pytest.mark.parametrize(("grown", "length"), [(0.0, 18.2832), (0.5, 21.4248)])
def test_a_contour_and_its_parallel(grown: float, length: float) -> None:
    """Tables 12 and 13: corners of radius 1, and the same shape grown by 0.5, which is longer by 2 pi 0.5.

    The corners on the right are those that close the shapes to the report's lengths. All corners turn 360 degrees.
    """
    r = 1 + grown
    text = f"""F1 G1 X-2 Y{-1 - r}
        G2 X{-2 - 0.6 * r} Y{-1 + 0.8 * r} J{r}
        G1 X{2 - 0.6 * r} Y{2 + 0.8 * r}
        G2 X2 Y{2 + r} I{0.6 * r} J{-0.8 * r}
        G2 X{2 + r} Y2 I0 J{-r}
        G1 Y-1
        G2 X2 Y{-1 - r} I{-r} J0
        G1 X-2"""
    done = run_from((-2, -1 - r, 0), text)
    assert done.remarks == ()
    motions = [motion for step in done.steps[1:] for motion in step.motions]
    arcs = [math.radians(motion.sweep_deg) * r for motion in motions]
    lines = [_length(m) for m in motions if m.kind == "feed"]
    assert close(sum(arcs), 2 * math.pi * r, 1e-9)
    assert close(sum(arcs) + sum(lines), length)


_POINTS = st.tuples(st.floats(-50, 50), st.floats(-50, 50))


@settings(deadline=None, derandomize=True)
@given(start=_POINTS, offset=_POINTS, sweep=st.floats(0.05, 6.2), clockwise=st.booleans())
def test_an_arc_by_centre_is_the_circle_that_made_it(
    start: Point, offset: Point, sweep: float, clockwise: bool
) -> None:
    """Turning the start about the centre gives the end; sweep, points and extremes are those of the circle."""
    radius = math.hypot(*offset)
    assume(radius > 0.5)
    cx, cy = start[0] + offset[0], start[1] + offset[1]
    begin = math.atan2(-offset[1], -offset[0])
    sense = -1 if clockwise else 1

    def at(share: float) -> Point:
        angle = begin + sense * sweep * share
        return cx + radius * math.cos(angle), cy + radius * math.sin(angle)

    arc = arc_about(start, at(1), offset, (clockwise, 1e-6))
    assert close(arc.sweep, sweep, 1e-6)
    fine = [at(i / 2000) for i in range(2001)]
    for axis in (0, 1):
        low, high = arc.extremes(axis)
        assert close(low, min(p[axis] for p in fine), 1e-3)
        assert close(high, max(p[axis] for p in fine), 1e-3)
    chain = [start, *arc.points(0.01)]
    for first, second in itertools.pairwise(chain):
        middle = (first[0] + second[0]) / 2, (first[1] + second[1]) / 2
        assert radius - 0.0101 <= math.dist(middle, (cx, cy)) <= radius + 1e-6


@settings(deadline=None, derandomize=True)
@given(start=_POINTS, end=_POINTS, bulge=st.floats(1.001, 20), clockwise=st.booleans(), far=st.booleans())
def test_both_forms_name_the_same_arc(start: Point, end: Point, bulge: float, clockwise: bool, far: bool) -> None:
    """The centre that a radius gives, used as a centre, gives the same arc."""
    chord = math.dist(start, end)
    assume(chord > 0.5)
    radius = bulge * chord / 2 * (-1 if far else 1)
    first = arc_by_radius(start, end, radius, (clockwise, 1e-6))
    offset = first.center[0] - start[0], first.center[1] - start[1]
    second = arc_about(start, end, offset, (clockwise, 1e-6))
    assert close(first.sweep, second.sweep, 1e-6)
    assert (first.sweep > math.pi) == far
