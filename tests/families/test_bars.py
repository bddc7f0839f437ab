"""Bar stock: mass, diameter tolerance, pieces."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gemel.families.bars import bright_bar_limits, hot_rolled_limits
from gemel.families.deviations import Limits, UnknownTolerance
from gemel.families.geometry import circle_area_mm2, mass_g, mass_kg_m, pieces_from_bar, polygon_area_mm2
from gemel.numbers import Number


# EN 10060 table 1 as printed, three figures, at 7.85 kg/dm3.
@pytest.mark.parametrize(
    ("dia", "printed"),
    [
        (6, 0.222),
        (8, 0.395),
        (10, 0.617),
        (12, 0.888),
        (16, 1.58),
        (18, 2.00),
        (20, 2.47),
        (22, 2.98),
        (25, 3.85),
        (28, 4.83),
        (30, 5.55),
        (32, 6.31),
        (35, 7.55),
        (40, 9.86),
        (45, 12.5),
        (50, 15.4),
        (60, 22.2),
        (65, 26.0),
        (70, 30.2),
        (80, 39.5),
        (100, 61.7),
    ],
)
def test_mass_of_round_bar(dia: float, printed: float) -> None:
    """Half a unit of the third figure; 40 mm is 9.865 and printed cut off."""
    digit = 10 ** (len(str(int(printed))) - 3) if printed >= 1 else 0.001
    assert mass_kg_m(circle_area_mm2(dia), 7850) == pytest.approx(printed, abs=digit * 0.55)


def test_mass_of_18_mm_is_not_the_misprint() -> None:
    """A copy prints 20.00 kg/m for 18 mm, and 4.91 cm2 for 24 mm, which is the row of 25 mm."""
    assert mass_kg_m(circle_area_mm2(18), 7850) == pytest.approx(2.00, abs=0.005)
    assert circle_area_mm2(24) / 100 == pytest.approx(4.52, abs=0.005)
    assert circle_area_mm2(25) / 100 == pytest.approx(4.91, abs=0.005)


def test_factor_of_round_bar() -> None:
    """0.00616538 d^2 kg/m at 7.85 (EN 10060 has 0.006165)."""
    assert mass_kg_m(circle_area_mm2(1), 7850) == pytest.approx(0.00616538, abs=5e-9)


@pytest.mark.parametrize(("across", "count", "mass"), [(17, 6, 1.965), (17, 4, 2.26865), (16, 4, 2.010)])
def test_mass_of_hexagon_and_square_bar(across: float, count: int, mass: float) -> None:
    """0.00679830 s^2 and 0.00785 s^2 kg/m (computed)."""
    assert mass_kg_m(polygon_area_mm2(across, count), 7850) == pytest.approx(mass, abs=0.0006)


def test_factors_of_hexagon_and_square_bar() -> None:
    """Per square of the size across flats (computed)."""
    assert mass_kg_m(polygon_area_mm2(1, 6), 7850) == pytest.approx(0.00679830, abs=5e-9)
    assert mass_kg_m(polygon_area_mm2(1, 4), 7850) == pytest.approx(0.00785, abs=5e-9)


@pytest.mark.parametrize(("density", "grams"), [(7850, 332.93), (2700, 114.51), (8500, 360.50)])
def test_mass_of_a_blank(density: float, grams: float) -> None:
    """D30 x 60 in steel, aluminium, brass (computed)."""
    assert mass_g(circle_area_mm2(30), 60, density) == pytest.approx(grams, abs=0.006)


def test_pieces_from_a_bar() -> None:
    """3000 mm, part 60 and cut-off 3, remnant 80: floor(2920 / 63) = 46."""
    pieces = pieces_from_bar(3000, 60, 3, 80)
    assert isinstance(pieces, Number)
    assert pieces == pytest.approx(46)


def test_a_bar_shorter_than_its_remnant_gives_nothing() -> None:
    """Never a negative number of parts."""
    assert pieces_from_bar(70, 60, 3, 80) == pytest.approx(0)


@given(st.integers(100, 6000), st.integers(5, 200), st.integers(1, 6), st.integers(0, 300))
def test_pieces_fit_and_no_more_would(bar: int, part: int, blade: int, remnant: int) -> None:
    """So many parts fit before the remnant, and one more would not."""
    pieces = int(pieces_from_bar(bar, part, blade, remnant))
    usable = max(bar - remnant, 0)
    assert pieces * (part + blade) <= usable < (pieces + 1) * (part + blade)


# EN 10060 table 1.
@pytest.mark.parametrize(
    ("low", "high", "deviation"), [(16, 25, 0.5), (26, 35, 0.6), (40, 50, 0.8), (52, 80, 1.0), (85, 100, 1.3)]
)
def test_hot_rolled_diameter(low: float, high: float, deviation: float) -> None:
    """Both ends of each printed range."""
    for dia in (low, high):
        assert hot_rolled_limits(dia) == Limits(-deviation, deviation, "hot rolled", "EN 10060")


@pytest.mark.parametrize("dia", [15.9, 100.1])
def test_hot_rolled_outside_the_table_is_refused(dia: float) -> None:
    """No row, no value."""
    with pytest.raises(UnknownTolerance):
        hot_rolled_limits(dia)


def test_bright_bar_is_h9() -> None:
    """EN 10278, from memory: D25 is 24.948 to 25."""
    assert bright_bar_limits(25) == Limits(-0.052, 0, "h9", "ISO 286-1")
