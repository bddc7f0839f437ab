"""Feed moves against closed forms, handbook figures and a numerical integral."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gemel.reading.run import Motion, Position
from gemel.timing.feeding import Turning, per_minute_s, per_revolution_s
from support.timed import block_of, timeline


def _at(x: float, z: float = 0.0) -> Position:
    return Position(x, None, z, None, None, None)


def _line(x0: float, x1: float, way_z: float = 0.0) -> tuple[Motion, float]:
    """A straight feed move, and its length."""
    motion = Motion("feed", _at(x0), _at(x1, way_z), min(x0, x1), max(x0, x1))
    return motion, math.hypot((x1 - x0) / 2, way_z)


def _facing_s(large: float, small: float, surface_m_min: float, feed: float, cap: float) -> float:
    motion, length = _line(large, small)
    seconds = per_revolution_s(motion, length, feed, Turning(cap, surface_m_min * 1000.0))
    assert seconds is not None
    return seconds


@pytest.mark.parametrize(
    ("large", "small", "surface_m_min", "feed", "cap", "seconds"),
    [
        (60, 0, 200, 0.2, 3000, 4.7717),
        (50, 20, 180, 0.25, 4000, 2.1991),
        (40, 0, 250, 0.1, 5000, 3.4934),
        (100, 0, 150, 0.2, 1e12, 15.708),
    ],
)
def test_facing_at_constant_surface_speed(
    large: float, small: float, surface_m_min: float, feed: float, cap: float, seconds: float
) -> None:
    """Facing time under a speed clamp is the closed form's, to the digits that it was integrated numerically to."""
    digits = 3 if cap > 1e6 else 4
    assert round(_facing_s(large, small, surface_m_min, feed, cap), digits) == seconds


def test_facing_to_the_centre_takes_half_of_the_time_at_the_outer_speed() -> None:
    """Without a clamp, constant surface speed halves the time: taking the outer speed throughout is twice too long."""
    outer = 150_000 / (math.pi * 100)
    motion, length = _line(100, 0)
    fixed = per_revolution_s(motion, length, 0.2, Turning(outer))
    assert fixed == pytest.approx(31.416, abs=5e-4)
    assert _facing_s(100, 0, 150, 0.2, 1e12) * 2 == pytest.approx(fixed, rel=1e-9)


def test_clamp_radius() -> None:
    """The clamp holds within the radius at which the surface speed asks for it: 10.6103 mm and 7.162 mm."""
    assert round(Turning(3000, 200_000).clamp_radius, 4) == 10.6103
    assert round(Turning(4000, 180_000).clamp_radius, 3) == 7.162


def test_turning_time_of_a_handbook() -> None:
    """100 mm at 0.2 mm/rev and 1000 rpm take 30 s (a tool maker's handbook: cutting time in turning)."""
    motion, length = _line(50, 50, -100)
    assert per_revolution_s(motion, length, 0.2, Turning(1000)) == pytest.approx(30.0)


def test_milling_and_drilling_times_of_a_handbook() -> None:
    """(300 + 200) mm at 800 mm/min take 37.5 s; five holes of 30 mm at 1350 rpm and 0.2 mm/rev 33.3 s (the same)."""
    assert per_minute_s(500, 800) == 37.5
    assert round(5 * per_minute_s(30, 1350 * 0.2), 1) == 33.3


def test_a_thread_feeds_its_lead() -> None:
    """An M8 thread at 600 rpm moves 750 mm/min: 30 mm of it take 2.4 s."""
    timed = timeline(lower="T0505\nG97 S600 M03\nG00 X8. Z0.\nG32 Z-30. F1.25\nM30\n")
    assert block_of(timed, "G32 Z-30. F1.25").spent.cutting_s == pytest.approx(30 / 750 * 60)


def test_a_program_faces_in_the_closed_form_time() -> None:
    """The same facing cut, read from a program: D60 to 0 at 200 m/min, 0.2 mm/rev, clamp 3000, in 4.7717 s."""
    timed = timeline(lower="T0101\nG99\nG50 S3000\nG96 S200 M03\nG00 X60. Z0.\nG01 X0. F0.2\nM30\n")
    assert round(block_of(timed, "G01 X0. F0.2").spent.cutting_s, 4) == 4.7717


_RADII = st.floats(-60, 60).filter(lambda r: abs(r) > 1e-3)


@given(_RADII, _RADII, st.floats(-40, 40), st.floats(500, 6000), st.floats(20_000, 400_000))
def test_a_line_equals_its_numerical_integral(x0: float, x1: float, way: float, cap: float, surface: float) -> None:
    """A straight cut, also across the centre, takes what adding up small pieces of it takes."""
    motion, length = _line(2 * x0, 2 * x1, way)
    turning = Turning(cap, surface)
    seconds = per_revolution_s(motion, length, 0.15, turning)
    assert seconds is not None
    pieces = 4000
    steps = (turning.at(x0 + (x1 - x0) * (i + 0.5) / pieces) for i in range(pieces))
    summed = sum(60.0 * length / pieces / (0.15 * n) for n in steps)
    assert seconds == pytest.approx(summed, rel=2e-4, abs=1e-9)


@given(
    st.floats(-30, 60),
    st.floats(0.5, 30),
    st.floats(0, 360),
    st.floats(5, 359),
    st.sampled_from(["G02", "G03"]),
    st.sampled_from(["zx", "xy"]),
)
def test_an_arc_equals_its_numerical_integral(
    cx: float, radius: float, begin_deg: float, sweep_deg: float, code: str, plane: str
) -> None:
    """An arc at constant surface speed takes what adding up small pieces of it takes, on both sides of the centre."""
    turning = Turning(3000, 150_000)
    clockwise = code == "G02"
    sense = -1.0 if clockwise else 1.0

    def point(share: float) -> tuple[float, float]:
        angle = math.radians(begin_deg + sense * sweep_deg * share)
        return radius * math.cos(angle), radius * math.sin(angle)

    def x_of(share: float) -> float:
        return cx + point(share)["xy".index("x") if plane == "xy" else 1]

    def position(share: float) -> Position:
        other = point(share)[1 if plane == "xy" else 0]
        x_dia = 2 * x_of(share)
        return Position(x_dia, other, 0.0, *[None] * 3) if plane == "xy" else Position(x_dia, None, other, *[None] * 3)

    centre = (cx, 0.0) if plane == "xy" else (0.0, cx)
    motion = Motion("arc", position(0), position(1), None, None, center=centre, plane=plane, clockwise=clockwise)
    length = radius * math.radians(sweep_deg)
    seconds = per_revolution_s(motion._replace(sweep_deg=sweep_deg), length, 0.1, turning)
    assert seconds is not None
    pieces = 4000
    speeds = (turning.at(x_of((i + 0.5) / pieces)) for i in range(pieces))
    assert seconds == pytest.approx(sum(60.0 * length / pieces / (0.1 * n) for n in speeds), rel=3e-4)


def test_nothing_turns() -> None:
    """A feed per revolution of something that stands has no duration, which is said and not taken as none."""
    motion, length = _line(50, 40)
    assert per_revolution_s(motion, length, 0.2, Turning(0)) is None
    unknown = motion._replace(start=Position(None, None, 0.0, None, None, None))
    assert per_revolution_s(unknown, length, 0.2, Turning(3000, 100_000)) is None
