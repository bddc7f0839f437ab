"""Kienzle's formula and the constants of material groups."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gemel.cutting.constants import DENSITY_KG_M3, GROUPS, TEXTBOOK
from gemel.cutting.formulas import (
    chip_thickness_mm,
    chip_width_mm,
    cutting_force_n,
    specific_force_n_mm2,
    turning_power_kw,
)

# Published table by VDI 3323 groups, three copies agree.
PUBLISHED = [
    ("non-alloy steel, below 0.25 % C, annealed", 1350, 0.21),
    ("non-alloy steel, from 0.25 % C, annealed", 1500, 0.22),
    ("non-alloy steel, below 0.55 % C, quenched and tempered", 1675, 0.24),
    ("non-alloy steel, from 0.55 % C", 1700, 0.24),
    ("low-alloy steel, annealed", 1775, 0.24),
    ("low-alloy steel, quenched and tempered, 275 HB", 1675, 0.24),
    ("low-alloy steel, quenched and tempered, 300 HB", 1725, 0.24),
    ("high-alloy steel, annealed", 2450, 0.23),
    ("stainless steel, ferritic or martensitic", 1875, 0.21),
    ("stainless steel, austenitic", 2150, 0.20),
    ("cast iron, grey, 180 HB", 1150, 0.20),
    ("cast iron, grey, 260 HB", 1350, 0.28),
    ("cast iron, nodular, 160 HB", 1225, 0.25),
    ("aluminium, wrought", 700, 0.25),
    ("aluminium, wrought, hardenable", 800, 0.25),
    ("aluminium, cast", 700, 0.25),
    ("brass and leaded copper alloys", 700, 0.27),
]


@pytest.mark.parametrize(("group", "unit", "exponent"), PUBLISHED)
def test_constants_are_the_published_ones(group: str, unit: float, exponent: float) -> None:
    """kc1.1 and mc of each group as printed."""
    assert GROUPS[group] == (unit, exponent)
    assert len(GROUPS) == len(PUBLISHED)


# Computed at edge angle 90, depth 2, feed 0.25, 200 m/min, efficiency 1.
@pytest.mark.parametrize(
    ("unit", "exponent", "specific", "force", "power"),
    [
        (1350, 0.21, 1806.2, 903.1, 3.010),
        (1500, 0.22, 2034.9, 1017.5, 3.392),
        (1675, 0.24, 2336.2, 1168.1, 3.894),
        (2150, 0.20, 2836.9, 1418.5, 4.728),
        (800, 0.25, 1131.4, 565.7, 1.886),
    ],
)
def test_specific_force_force_and_power(
    unit: float, exponent: float, specific: float, force: float, power: float
) -> None:
    """Kc = kc1.1 h^-mc, Fc = kc b h, P = Fc vc / 60000."""
    thickness, width = chip_thickness_mm(0.25, 90), chip_width_mm(2, 90)
    found = specific_force_n_mm2(unit, exponent, thickness)
    assert found == pytest.approx(specific, abs=0.05)
    assert cutting_force_n(found, width, thickness) == pytest.approx(force, abs=0.06)
    assert turning_power_kw(cutting_force_n(found, width, thickness), 200, 1) == pytest.approx(power, abs=0.0006)


FEEDS = (0.16, 0.25, 0.4, 0.63, 1.0, 1.6)


# Published table of specific force in kN/mm2 over feed at 45 degrees; the constants are from memory.
@pytest.mark.parametrize(
    ("material", "row"),
    [
        ("E295", (3.50, 3.10, 2.75, 2.45, 2.15, 1.95)),
        ("E335", (3.05, 2.80, 2.60, 2.40, 2.20, 2.05)),
        ("E360", (4.35, 3.80, 3.30, 2.90, 2.50, 2.20)),
        ("42CrMo4", (4.35, 3.90, 3.45, 3.10, 2.75, 2.45)),
        ("16MnCr5", (3.75, 3.30, 2.95, 2.60, 2.30, 2.05)),
        ("St42", (2.60, 2.40, 2.20, 2.05, 1.90, 1.80)),
    ],
)
def test_textbook_constants_agree_with_the_published_table(material: str, row: tuple[float, ...]) -> None:
    """Every entry of the row within 4 percent of Kienzle's formula; the table rounds to 0.05 kN/mm2."""
    constants = TEXTBOOK[material]
    for feed, published in zip(FEEDS, row, strict=True):
        thickness = chip_thickness_mm(feed, 45)
        found = specific_force_n_mm2(constants.force_unit_n_mm2, constants.exponent, thickness)
        assert found / 1000 == pytest.approx(published, rel=0.04)


def test_the_two_sets_are_not_mixed() -> None:
    """The same kind of steel differs by tens of percent between the sets: no name stands in both."""
    assert not set(GROUPS) & set(TEXTBOOK)


@given(st.floats(0.05, 1), st.floats(0.2, 5), st.floats(30, 90))
def test_chip_area_does_not_depend_on_the_edge_angle(feed: float, depth: float, angle: float) -> None:
    """B h = ap f at every edge angle."""
    assert chip_thickness_mm(feed, angle) * chip_width_mm(depth, angle) == pytest.approx(feed * depth)


@given(st.sampled_from([*GROUPS.values(), *TEXTBOOK.values()]), st.floats(0.05, 0.9))
def test_thin_chips_need_more_force_per_area_and_less_in_all(constants: tuple[float, float], thickness: float) -> None:
    """Kc falls with the thickness, force rises with it, and kc at 1 mm is kc1.1."""
    unit, exponent = constants
    thin = specific_force_n_mm2(unit, exponent, thickness)
    thick = specific_force_n_mm2(unit, exponent, thickness * 1.1)
    assert thick < thin
    assert cutting_force_n(thick, 1, thickness * 1.1) > cutting_force_n(thin, 1, thickness)
    assert specific_force_n_mm2(unit, exponent, 1.0) == pytest.approx(unit)
    assert math.isfinite(thin)


def test_densities_lie_in_the_published_ranges() -> None:
    """Rolled steel 7850, stainless 7480-8000, brass 8430-8730, aluminium about 2700 (tables of metal densities)."""
    assert DENSITY_KG_M3["steel"] == 7850
    assert 7480 <= DENSITY_KG_M3["stainless steel 1.4301"] <= 8000
    assert 8430 <= DENSITY_KG_M3["brass CuZn39Pb3"] <= 8730
    assert DENSITY_KG_M3["brass 60/40"] == 8520
    assert DENSITY_KG_M3["aluminium"] == 2712
    assert DENSITY_KG_M3["aluminium EN AW-6061"] == 2720
    assert DENSITY_KG_M3["aluminium EN AW-6082"] == pytest.approx(2700, abs=15)
