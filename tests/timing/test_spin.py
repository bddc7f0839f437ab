"""Spindles between two speeds: closed forms, and a numerical integral of J dw / M(w)."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gemel.timing.spin import SpinCurve
from support.proofs import demo_machine

_W = 2 * math.pi / 60


def test_constant_torque() -> None:
    """Below the base speed t = J w / M: 0.12 kg m2 and 210 N m reach 1000 rpm in 0.0598 s."""
    curve = SpinCurve(0.12, 22, [[0, 210], [1000, 210], [5000, 42]])
    assert curve.from_rest_s(1000) == pytest.approx(0.12 * 1000 * _W / 210)
    assert round(curve.from_rest_s(1000), 4) == 0.0598


def test_constant_power() -> None:
    """Where the power holds, t = J (w1^2 - w0^2) / 2P: the kinetic energy over the power."""
    curve = SpinCurve(0.5, 10, [[0, 1000]])
    base = 10_000 / 1000 / _W
    assert curve.seconds(2 * base, 5 * base) == pytest.approx(
        0.5 * ((5 * base * _W) ** 2 - (2 * base * _W) ** 2) / 20_000
    )


_POINTS = st.lists(st.tuples(st.integers(0, 8000), st.floats(1, 300)), min_size=1, max_size=5, unique_by=lambda p: p[0])


@given(st.floats(0.001, 2), st.floats(1, 50), _POINTS, st.floats(10, 10_000))
def test_any_curve_equals_its_numerical_integral(
    inertia: float, power_kw: float, points: list[tuple[int, float]], rpm: float
) -> None:
    """The closed form over the pieces of a curve is the sum over small steps of speed."""
    points = sorted(points)
    seconds = SpinCurve(inertia, power_kw, points).from_rest_s(rpm)

    def torque(at: float) -> float:
        curve = points[0][1] if at <= points[0][0] else points[-1][1]
        for (n0, m0), (n1, m1) in pairwise(points):
            if n0 <= at <= n1 and n1 > n0:
                curve = m0 + (m1 - m0) * (at - n0) / (n1 - n0)
        return min(curve, power_kw * 1000 / (at * _W))

    summed, pieces = 0.0, 2000
    for low, high in pairwise(sorted({0.0, rpm, *(n for n, _ in points if 0 < n < rpm)})):
        step = (high - low) / pieces
        summed += sum(inertia * step * _W / torque(low + (i + 0.5) * step) for i in range(pieces))
    assert seconds == pytest.approx(summed, rel=5e-3)


@given(st.floats(1, 6000), st.floats(1, 6000))
def test_between_speeds(one: float, other: float) -> None:
    """Up and down take the same; turning the other way is stopping and starting; part ways add up."""
    curve = SpinCurve(0.12, 22, [[0, 210], [1000, 210], [5000, 42]])
    assert curve.seconds(one, other) == pytest.approx(curve.seconds(other, one))
    assert curve.seconds(one, -other) == pytest.approx(curve.from_rest_s(one) + curve.from_rest_s(other))
    assert curve.seconds(0, one) + curve.seconds(one, one + other) == pytest.approx(curve.from_rest_s(one + other))


def test_figures_that_cannot_be() -> None:
    """A drive without inertia, power or torque has no time to speed up in, and is refused."""
    for inertia, power, points in ((0, 1, [[0, 1]]), (1, 0, [[0, 1]]), (1, 1, []), (1, 1, [[0, 0]])):
        with pytest.raises(ValueError, match="above zero"):
            SpinCurve(inertia, power, points)


def test_demo_spindle() -> None:
    """The demo spindle is at 4000 rpm in less than a second, and in more than constant torque would need."""
    spindle = demo_machine().spindles["left"]
    seconds = SpinCurve(spindle.inertia_kgm2, spindle.power_kw, spindle.torque).from_rest_s(4000)
    assert 0.12 * 4000 * _W / 210 < seconds < 1.0
