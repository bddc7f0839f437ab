"""Rapid moves: one axis by its profile of speed over time, several by dog-leg and straight line."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gemel.timing.travel import AxisRate, axis_rates, rapid_s, rest_to_rest_s
from support.proofs import demo_machine

_RATES = st.builds(AxisRate, st.floats(10, 1000), st.floats(100, 10_000))


def _simulated_s(distance: float, axis: AxisRate) -> float:
    """The same by small steps: speed up, hold, slow down in time to stop."""
    step_s, speed, way, now_s = 1e-5, 0.0, 0.0, 0.0
    while way < distance and now_s < 100:
        braking = speed * speed / (2 * axis.acceleration)
        speed += axis.acceleration * step_s if way + braking < distance else -axis.acceleration * step_s
        speed = min(max(speed, axis.acceleration * step_s), axis.rate)
        way += speed * step_s
        now_s += step_s
    return now_s


@pytest.mark.parametrize("distance", [0.5, 20.0, 50.0, 400.0])
def test_one_axis_equals_a_simulation(distance: float) -> None:
    """Trapezoid and triangle take what a simulation by small steps takes."""
    axis = AxisRate(500.0, 5000.0)
    assert rest_to_rest_s(distance, axis) == pytest.approx(_simulated_s(distance, axis), rel=1e-2)


def test_known_figures() -> None:
    """At 30 m/min and 5 m/s2, 100 mm take 0.2 s + 0.1 s; 12.5 mm, where the rate is not reached, 0.1 s."""
    axis = AxisRate(500.0, 5000.0)
    assert rest_to_rest_s(100.0, axis) == pytest.approx(0.3)
    assert rest_to_rest_s(12.5, axis) == pytest.approx(0.1)
    assert rest_to_rest_s(50.0, axis) == pytest.approx(2 * math.sqrt(50 / 5000))


@given(_RATES, st.floats(0, 500), st.floats(0, 500))
def test_further_takes_longer(axis: AxisRate, one: float, more: float) -> None:
    """A longer way never takes less, and two ways never less than both in one."""
    assert rest_to_rest_s(one + more, axis) >= rest_to_rest_s(one, axis) - 1e-9
    assert rest_to_rest_s(one, axis) + rest_to_rest_s(more, axis) >= rest_to_rest_s(one + more, axis) - 1e-9


@given(_RATES, _RATES, st.floats(0, 400), st.floats(0, 400))
def test_straight_is_never_faster_than_dog_leg(x: AxisRate, z: AxisRate, way_x: float, way_z: float) -> None:
    """Each axis at its own rate is the fastest there is; a straight line takes as long or longer."""
    axes, ways = {"x": x, "z": z}, {"x": way_x, "z": way_z}
    dog_leg, straight = rapid_s(ways, axes, straight=False), rapid_s(ways, axes, straight=True)
    assert dog_leg is not None
    assert straight is not None
    assert dog_leg == max(rest_to_rest_s(way_x, x), rest_to_rest_s(way_z, z))
    assert straight >= dog_leg - 1e-9


def test_straight_with_equal_axes_takes_the_longer_way() -> None:
    """Two like axes going equally far arrive together in either manner."""
    axes = dict.fromkeys("xz", AxisRate(500.0, 5000.0))
    ways = {"x": 80.0, "z": 80.0}
    assert rapid_s(ways, axes, straight=True) == rapid_s(ways, axes, straight=False)


def test_an_axis_without_figures_is_unknown() -> None:
    """A way of an axis that the machine file says nothing of has no duration."""
    assert rapid_s({"b": 10.0}, {"x": AxisRate(1.0, 1.0)}, straight=False) is None
    assert rapid_s({"b": 0.0}, {}, straight=True) == 0.0


def test_units_of_the_machine_file() -> None:
    """Rates are per minute, accelerations in m/s2 whatever the unit, rotary ones in degrees."""
    machine = demo_machine()
    rates = axis_rates(machine, machine.channels["lower"])
    assert rates["z"] == AxisRate(500.0, 5000.0)
    assert rates["slide"] == AxisRate(400.0, 3000.0)
    assert rates["c"] == AxisRate(600.0, 4000.0)
    inch = machine.model_copy(update={"unit": "inch"})
    assert axis_rates(inch, machine.channels["lower"])["z"].acceleration == pytest.approx(5000 / 25.4)
