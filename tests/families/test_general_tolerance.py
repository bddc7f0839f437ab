"""ISO 2768-1: lengths, radii, angles."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gemel.families.deviations import UnknownTolerance
from gemel.families.general_tolerance import CLASSES, angle_deviation_deg, length_limits, radius_limits

# Upper ends of the steps; lower ends are over the one before, 0.5 mm included for the first.
ENDS = (3, 6, 30, 120, 400, 1000, 2000)
# DIN ISO 2768-1 copy; class c up to 6 mm from memory, the copy misprints it.
LENGTHS = {
    "f": (0.05, 0.05, 0.1, 0.15, 0.2, 0.3, 0.5),
    "m": (0.1, 0.1, 0.2, 0.3, 0.5, 0.8, 1.2),
    "c": (0.2, 0.3, 0.5, 0.8, 1.2, 2, 3),
    "v": (None, 0.5, 1, 1.5, 2.5, 4, 6),
}
CELLS = [
    (name, low, high, value)
    for name, row in LENGTHS.items()
    for low, high, value in zip((0.499, *ENDS), ENDS, row, strict=False)
    if value is not None
]


@pytest.mark.parametrize(("name", "low", "high", "value"), CELLS)
def test_length_deviation_is_the_published_one_at_both_ends(name: str, low: float, high: float, value: float) -> None:
    """Each cell holds over its lower end up to and including its upper end."""
    for size in (low + 0.001, high):
        found = length_limits(size, name)
        assert (found.lower_mm, found.upper_mm) == (-value, value)


@pytest.mark.parametrize(("size", "value"), [(6, 0.1), (6.001, 0.2), (30, 0.2), (120, 0.3), (120.001, 0.5)])
def test_boundaries_of_class_m(size: float, value: float) -> None:
    """120 mm is still 0.3: a published page reads it as 0.5."""
    assert length_limits(size, "m").upper_mm == value


@pytest.mark.parametrize(("size", "misprint", "value"), [(2, 0.15, 0.2), (5, 0.2, 0.3)])
def test_class_c_up_to_6_mm_is_not_the_misprint(size: float, misprint: float, value: float) -> None:
    """A copy prints 0.15 and 0.2 for class c; the standard has 0.2 and 0.3 (from memory)."""
    assert length_limits(size, "c").upper_mm == value != misprint


@pytest.mark.parametrize("size", [0.499, 0, -3, float("nan")])
def test_below_half_a_millimetre_the_drawing_must_say(size: float) -> None:
    """The standard begins at 0.5 mm."""
    with pytest.raises(UnknownTolerance, match=r"begins at 0\.5 mm"):
        length_limits(size, "m")


def test_above_the_table_the_drawing_must_say() -> None:
    """The standard ends at 4000 mm."""
    with pytest.raises(UnknownTolerance, match="ends at 4000 mm"):
        length_limits(4000.1, "m")


@pytest.mark.parametrize(("size", "name"), [(2, "v"), (3000, "f")])
def test_an_empty_cell_is_refused_with_the_classes_that_have_one(size: float, name: str) -> None:
    """Class v has no value up to 3 mm, class f none over 2000 mm."""
    with pytest.raises(UnknownTolerance, match="no value") as caught:
        length_limits(size, name)
    assert set(caught.value.known) == set(CLASSES) - {name}


def test_an_unknown_class_is_refused_with_the_four() -> None:
    """There is no class x."""
    with pytest.raises(UnknownTolerance) as caught:
        length_limits(10, "x")
    assert caught.value.known == CLASSES


@pytest.mark.parametrize(
    ("size", "fine", "coarse"),
    [(0.5, 0.2, 0.4), (3, 0.2, 0.4), (3.001, 0.5, 1), (6, 0.5, 1), (6.001, 1, 2), (80, 1, 2)],
)
def test_radii_and_chamfers(size: float, fine: float, coarse: float) -> None:
    """Classes f and m share one row, c and v the other (one thin published copy)."""
    assert [radius_limits(size, name).upper_mm for name in CLASSES] == [fine, fine, coarse, coarse]


@pytest.mark.parametrize(
    ("side", "minutes"),
    [(10, 60), (10.001, 30), (50, 30), (50.001, 20), (120, 20), (120.001, 10), (400, 10), (400.001, 5)],
)
def test_angles_of_class_f_and_m(side: float, minutes: int) -> None:
    """By the length of the shorter side (from memory)."""
    assert angle_deviation_deg(side, "f") == angle_deviation_deg(side, "m") == pytest.approx(minutes / 60)


def test_an_angle_without_a_side_is_refused() -> None:
    """A side of no length has no tolerance."""
    with pytest.raises(UnknownTolerance, match="shorter side"):
        angle_deviation_deg(0, "m")


@given(st.floats(min_value=3.001, max_value=2000))
def test_classes_widen_from_fine_to_very_coarse(size: float) -> None:
    """In order f <= m < c < v at every length, and each is centred."""
    found = [length_limits(size, name) for name in CLASSES]
    widths = [one.width_mm for one in found]
    assert widths == sorted(widths)
    assert all(one.middle_mm == 0 for one in found)


@given(st.sampled_from(CLASSES), st.floats(3.001, 2000), st.floats(3.001, 2000))
def test_a_longer_size_is_never_held_closer(name: str, one: float, other: float) -> None:
    """Deviations of lengths do not shrink, those of angles do not grow, with the length."""
    small, large = sorted((one, other))
    assert length_limits(small, name).width_mm <= length_limits(large, name).width_mm
    assert angle_deviation_deg(small, name) >= angle_deviation_deg(large, name)
