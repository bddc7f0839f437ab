"""The inspection list: drawing sizes, limits, gauges."""

from __future__ import annotations

import pytest

from gemel.reports.gauges import gauge
from gemel.reports.inspection import inspection
from gemel.reports.sizes import Size, exact, plain
from support.demo import IDS, demo, names


def _sizes(family: str, member: str) -> dict[str, Size]:
    found = inspection(demo("twin-turnmill", family, member).part)
    return {f"{size.what} | {size.text}": size for size in found}


@pytest.mark.parametrize(
    ("family", "member", "row", "smallest", "largest"),
    [
        # ISO 286-1: h9 over 10 to 18 mm is 0 -43 um; f9 over 3 to 6 is -10 -40, over 6 to 10 is -13 -49;
        # h9 over 30 to 50 is 0 -62; H8 over 18 to 30 is +33 0; h11 over 10 to 18 is 0 -110, over 18 to 30 0 -130.
        ("port-block", "35", "square, across flats | 15 h9 A/F", 14.957, 15.0),
        ("valve-stem", "60", "diameter | ⌀6 f9", 5.960, 5.990),
        ("valve-stem", "60", "diameter | ⌀10 f9", 9.951, 9.987),
        ("valve-stem", "60", "across flats | 13 h11 A/F", 12.890, 13.0),
        ("sensor-collar", "16", "diameter | ⌀34 h9", 33.938, 34.0),
        ("sensor-collar", "16", "bore | ⌀20 H8", 20.0, 20.033),
        ("hex-coupling", "30", "hexagon, across flats | 19 h11 A/F", 18.870, 19.0),
        # Given with the size.
        ("sensor-collar", "16", "width of the slot | 5 +0.2 +0.05 wide", 5.05, 5.2),
        # ISO 2768-1: class m over 30 to 120 is 0.3, over 6 to 30 is 0.2; class f over 6 to 30 is 0.1, over 3 to 6 0.05.
        ("port-block", "35", "length over all | 35", 34.7, 35.3),
        ("valve-stem", "60", "shoulder, from the front face | 12", 11.8, 12.2),
        ("sensor-collar", "16", "length over all | 16", 15.9, 16.1),
        # The nominal depth is (34 - 20) / 2 - 2, whatever the programs aim at.
        ("sensor-collar", "16", "depth of the full thread, from the surface | 5 deep", 4.95, 5.05),
        # ISO 965-1: core diameter of M5 6H 4.134 to 4.334, of M4 6H 3.242 to 3.422.
        ("port-block", "35", "core diameter of the thread | ⌀4.134 core", 4.134, 4.334),
        ("sensor-collar", "16", "core diameter of the thread | ⌀3.242 core", 3.242, 3.422),
    ],
)
def test_limits_are_those_of_the_standard(family: str, member: str, row: str, smallest: float, largest: float) -> None:
    """A size has the limits that its own tolerance, or the general class, gives at its nominal size."""
    size = _sizes(family, member)[row]
    assert size.smallest_mm == pytest.approx(smallest, abs=1e-9)
    assert size.largest_mm == pytest.approx(largest, abs=1e-9)


@pytest.mark.parametrize(("machine", "family", "member"), names(), ids=IDS)
def test_programs_aim_inside_the_limits(machine: str, family: str, member: str) -> None:
    """What the programs aim at lies within the limits of every size, and the numbers run from 1 without a gap."""
    sizes = inspection(demo(machine, family, member).part)
    assert [size.number for size in sizes] == list(range(1, len(sizes) + 1))
    for size in sizes:
        if size.smallest_mm is not None and size.largest_mm is not None:
            assert size.smallest_mm - 1e-9 <= size.aimed_mm <= size.largest_mm + 1e-9, size


def test_every_feature_of_the_drawing_is_inspected() -> None:
    """No feature that the finished part has is left out of the list."""
    part = demo("twin-turnmill", "valve-stem", "60").part
    listed = {size.feature for size in inspection(part)}
    unseen = {name for name in part.features if name not in listed}
    assert unseen == {"bar", "front", "back"}


@pytest.mark.parametrize(
    ("kind", "tolerance", "expected"),
    [
        ("outside", 0.4, "calliper"),
        ("outside", 0.2, "calliper"),
        ("outside", 0.043, "micrometer"),
        ("outside", 0.009, "comparator against gauge blocks"),
        ("inside", 0.033, "plug gauge, or bore micrometer"),
        ("inside thread", None, "thread plug gauge, GO and NO GO"),
    ],
)
def test_gauge_reads_a_tenth_of_the_tolerance(kind: str, tolerance: float | None, expected: str) -> None:
    """The coarsest gauge that still reads a tenth of the tolerance is suggested (rule of ten, common practice)."""
    assert gauge(kind, tolerance) == expected


def test_limits_are_spelled_half_up_to_a_thousandth() -> None:
    """A limit of 8.0985 reads 8.099 and lines up; a plain size loses zeros that say nothing."""
    assert exact(8.0985) == "8.099"
    assert exact(15) == "15.000"
    assert plain(15.0) == "15"
    assert plain(11.66666666) == "11.667"
