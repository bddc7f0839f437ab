"""What a member takes of its bar, held against the programs that cut it off."""

from __future__ import annotations

import re

import pytest

from gemel.families.bar_need import BarNeed, bar_need
from gemel.families.resolve import resolve
from support.demo import demo
from support.demo_family import demo_family

MACHINE = "twin-turnmill"


def _need(name: str, member: str, *changes: tuple[str, str]) -> BarNeed:
    family = demo_family(name, *changes)
    return bar_need(family, resolve(family, member))


@pytest.mark.parametrize("member", ["60", "75", "90"])
def test_pitch_is_what_the_program_pulls(member: str) -> None:
    """The slide of the valve stem's program draws the bar out by exactly one pitch."""
    program = demo(MACHINE, "valve-stem", member).texts["lower"]
    grip, pulled = (float(a) for a in re.findall(r"G01 G53 A(-[0-9.]+)", program))
    assert pulled - grip == pytest.approx(_need("valve-stem", member).pitch_mm)


@pytest.mark.parametrize(
    ("family", "member"),
    [("port-block", "20"), ("port-block", "65"), ("hex-coupling", "40"), ("sensor-collar", "24")],
)
def test_pitch_is_from_the_stop_to_the_cut_off(family: str, member: str) -> None:
    """Where the bar is fed to a stop, a part takes the bar from the stop to the blade's far corner."""
    program = demo(MACHINE, family, member).texts["lower"]
    [stop] = re.findall(r"G01 Z([0-9.]+) F1000", program)
    blade = re.search(r"T0303\n(?:.*\n)*?G00 Z(-[0-9.]+)", program)
    assert blade is not None
    assert float(stop) - float(blade[1]) == pytest.approx(_need(family, member).pitch_mm)


def test_parts_and_mass_of_a_bar() -> None:
    """Port block 35: (3000 - 120) / 37.8 = 76.19; round 25 of aluminium at 2700 kg/m3 is 1.3254 kg/m (by hand)."""
    need = _need("port-block", "35")
    assert need.parts == 76
    assert need.kg_m == pytest.approx(1.3254, abs=0.0001)
    assert need.kg == pytest.approx(3 * 1.3254, abs=0.0003)
    assert need.left_mm == pytest.approx(3000 - 76 * 37.8)
    assert need.parts_of(6000) == int((6000 - 120) / 37.8)


def test_published_example_of_pieces_per_bar() -> None:
    """A part of 60 with a cut-off of 3 from 3000 with a remnant of 80 gives 46 (floor(2920 / 63))."""
    sixty = _need(
        "valve-stem",
        "60",
        ("bar: 3000, remnant: 180", "bar: 3000, remnant: 80"),
        ("allowance: 0.5", "allowance: 0.2"),
        ("back_stock: 0.3", "back_stock: 0.8"),
    )
    assert sixty.pitch_mm == pytest.approx(63)
    assert sixty.parts == 46


@pytest.mark.parametrize(
    ("shape", "size", "kg_m", "digit"),
    [
        ("round", 18, 2.00, 0.01),
        ("round", 40, 9.865, 0.001),
        ("round", 25, 3.85, 0.01),
        ("hexagon", 17, 1.965, 0.001),
        ("square", 16, 2.010, 0.001),
    ],
)
def test_mass_of_steel_bars(shape: str, size: float, kg_m: float, digit: float) -> None:
    """Rounds by EN 10060 at 7850 kg/m3, 0.0067983 s2 and 0.00785 s2 for the others, to the printed digit.

    A copy of the standard misprints 18 mm as 20.00.
    """
    need = _need(
        "port-block",
        "20",
        ("shape: round, size: 25", f"shape: {shape}, size: {size}"),
        ("material: aluminium-6082", "material: steel-11smn30"),
    )
    assert need.kg_m == pytest.approx(kg_m, abs=0.55 * digit)


def test_a_given_pull_is_the_pitch() -> None:
    """Where the family says how far the bar is pulled, that is what a part takes."""
    pulled = _need("valve-stem", "60", ("tool: cut-off-2, by: spindle", "tool: cut-off-2, by: spindle, pull: 64"))
    assert pulled.pitch_mm == 64
    assert pulled.parts == 44
