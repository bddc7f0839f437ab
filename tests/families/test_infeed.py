"""Depths of threading passes."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gemel.cutting.formulas import feed_mm_min, lead_angle_deg
from gemel.families import threads
from gemel.families.infeed import infeed, infeed_phi
from gemel.families.threads import thread
from gemel.numbers import Number, Source, formula, sensitivity, sourced

depths = st.floats(min_value=0.05, max_value=5)
counts = st.integers(1, 40)


def test_constant_area_infeed_is_the_published_row() -> None:
    """0.92 mm in six passes, handbook row."""
    found = infeed(0.92, 6)
    assert found == pytest.approx([0.376, 0.531, 0.651, 0.751, 0.840, 0.920], abs=0.0005)
    steps = [after - before for before, after in pairwise([0.0, *found])]
    assert steps == pytest.approx([0.376, 0.156, 0.119, 0.101, 0.089, 0.080], abs=0.0006)


def test_phi_infeed_is_the_published_row() -> None:
    """0.94 mm in six passes by the published formula, phi = 0.3, 1, 2, 3, 4, 5."""
    assert infeed_phi(0.94, 6) == pytest.approx([0.2303, 0.4204, 0.5945, 0.7281, 0.8408, 0.9400], abs=0.00005)


@given(depths, counts)
def test_equal_area_passes_remove_equal_areas(depth: float, count: int) -> None:
    """Areas of a V groove go with the depth squared; each pass adds the same, and less depth than the one before."""
    found = [0.0, *infeed(depth, count)]
    areas = [after**2 - before**2 for before, after in pairwise(found)]
    assert areas == pytest.approx([depth**2 / count] * count, rel=1e-9)
    steps = [after - before for before, after in pairwise(found)]
    assert all(later < earlier for earlier, later in pairwise(steps))
    assert found[-1] == depth


@given(depths, counts)
def test_phi_passes_rise_to_the_whole_depth(depth: float, count: int) -> None:
    """Depths rise strictly, the first is lighter than an equal share of area after it, the last is the depth."""
    found = infeed_phi(depth, count)
    assert len(found) == count
    assert all(later > earlier for earlier, later in pairwise(found))
    assert found[-1] == pytest.approx(depth, rel=1e-12)


@pytest.mark.parametrize("cut", [infeed, infeed_phi])
@pytest.mark.parametrize("count", [0, -2])
def test_no_pass_is_no_thread(cut: object, count: int) -> None:
    """Fewer than one pass is refused."""
    assert callable(cut)
    with pytest.raises(ValueError, match="at least one pass"):
        cut(0.6, count)


def test_a_pass_remembers_its_depth() -> None:
    """The second of four passes is half the depth's root: it moves 0.7071 when the depth moves by one."""
    source = Source("operations.thread.depth", "f", 3, 0, "0.6")
    second = infeed(sourced(0.6, source), 4)[1]
    assert isinstance(second, Number)
    assert "operations.thread.depth" in formula(second)
    assert sensitivity(second)[source] == pytest.approx(0.5**0.5)


def test_depths_of_a_named_thread_name_the_thread() -> None:
    """The depth out of the table carries its thread into every pass."""
    assert threads.infeed is infeed
    assert all("of M8" in formula(one) for one in infeed(thread("M8").depth_external_mm, 5))


def test_feed_per_minute_of_a_thread_is_pitch_times_speed() -> None:
    """M8 at 600 rpm: 750 mm/min."""
    assert feed_mm_min(thread("M8").pitch_mm, 600) == pytest.approx(750)


@pytest.mark.parametrize(("name", "angle"), [("M8", 3.168), ("M10", 3.028)])
def test_lead_angle_on_the_pitch_diameter(name: str, angle: float) -> None:
    """atan(P / (pi d2)), computed."""
    assert lead_angle_deg(thread(name).pitch_mm, thread(name).pitch_dia_mm) == pytest.approx(angle, abs=0.0005)
