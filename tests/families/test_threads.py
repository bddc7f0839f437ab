"""Threads by name, against published tables."""

from __future__ import annotations

import math

import pytest

from gemel.families import threads
from gemel.families._thread_tables import METRIC_GRADES_UM
from gemel.families.infeed import full_thread_percent
from gemel.families.threads import known_threads, thread
from gemel.numbers import Number, formula

ROUNDING = 0.0005 + 1e-9

# Basic diameters: published ISO 724 tables (coarse: a tap maker's guide; fine: two tables). Drills: charts that follow
# ISO 2306. Columns: pitch, d2, d3, D1, h3, H1, drill.
BASIC = {
    "M3": (0.5, 2.675, 2.387, 2.459, 0.307, 0.271, 2.5),
    "M4": (0.7, 3.545, 3.141, 3.242, 0.429, 0.379, 3.3),
    "M5": (0.8, 4.480, 4.019, 4.134, 0.491, 0.433, 4.2),
    "M6": (1, 5.350, 4.773, 4.917, 0.613, 0.541, 5.0),
    "M8": (1.25, 7.188, 6.466, 6.647, 0.767, 0.677, 6.8),
    "M8x1": (1, 7.350, 6.773, 6.917, 0.613, 0.541, 7.0),
    "M10": (1.5, 9.026, 8.160, 8.376, 0.920, 0.812, 8.5),
    "M10x1.25": (1.25, 9.188, 8.466, 8.647, 0.767, 0.677, 8.8),
    "M10x1": (1, 9.350, 8.773, 8.917, 0.613, 0.541, 9.0),
    "M12": (1.75, 10.863, 9.853, 10.106, 1.074, 0.947, 10.2),
    "M12x1.5": (1.5, 11.026, 10.160, 10.376, 0.920, 0.812, 10.5),
    "M14": (2, 12.701, 11.546, 11.835, 1.227, 1.083, 12.0),
    "M16": (2, 14.701, 13.546, 13.835, 1.227, 1.083, 14.0),
    "M16x1.5": (1.5, 15.026, 14.160, 14.376, 0.920, 0.812, 14.5),
}

# Internal minor diameter, 6H: published size charts; M5 from memory, M6, M8, M8x1, M16, M16x1.5 by the same pitch.
MINOR_6H = {
    "M3": (2.459, 2.599),
    "M4": (3.242, 3.422),
    "M5": (4.134, 4.334),
    "M6": (4.917, 5.153),
    "M8": (6.647, 6.912),
    "M8x1": (6.917, 7.153),
    "M10": (8.376, 8.676),
    "M10x1.25": (8.647, 8.912),
    "M10x1": (8.917, 9.153),
    "M12": (10.106, 10.441),
    "M12x1.5": (10.376, 10.676),
    "M14": (11.835, 12.210),
    "M16": (13.835, 14.210),
    "M16x1.5": (14.376, 14.676),
}

# External major diameter, 6g: published charts after ASME B1.13M; M12 and M16 from memory.
MAJOR_6G = {
    "M3": (2.980, 2.874),
    "M4": (3.978, 3.838),
    "M5": (4.976, 4.826),
    "M6": (5.974, 5.794),
    "M8": (7.972, 7.760),
    "M8x1": (7.974, 7.794),
    "M10": (9.968, 9.732),
    "M10x1.25": (9.972, 9.760),
    "M10x1": (9.974, 9.794),
    "M12": (11.966, 11.701),
    "M16": (15.962, 15.682),
}

# ISO 228-1, published tables: threads per inch, pitch, h, major, pitch diameter, minor, drill.
PIPE = {
    "G1/16": (28, 0.907, 0.581, 7.723, 7.142, 6.561, 6.8),
    "G1/8": (28, 0.907, 0.581, 9.728, 9.147, 8.566, 8.8),
    "G1/4": (19, 1.337, 0.856, 13.157, 12.301, 11.445, 11.8),
    "G3/8": (19, 1.337, 0.856, 16.662, 15.806, 14.950, 15.25),
    "G1/2": (14, 1.814, 1.162, 20.955, 19.793, 18.631, 19.0),
}

# ASME B1.1, basic, inch: major, d2, D1, d3. UNC: published charts; UNF: a tap maker's guide.
UNIFIED = {
    "#6-32": (0.1380, 0.1177, 0.1042, 0.0997),
    "#8-32": (0.1640, 0.1437, 0.1302, 0.1257),
    "#10-24": (0.1900, 0.1629, 0.1449, 0.1389),
    "1/4-20": (0.2500, 0.2175, 0.1959, 0.1887),
    "5/16-18": (0.3125, 0.2764, 0.2524, 0.2443),
    "3/8-16": (0.3750, 0.3344, 0.3073, 0.2983),
    "#10-32 UNF": (0.1900, 0.1697, 0.1562, 0.1517),
    "1/4-28 UNF": (0.2500, 0.2268, 0.2113, 0.2062),
    "5/16-24 UNF": (0.3125, 0.2854, 0.2674, 0.2614),
    "3/8-24 UNF": (0.3750, 0.3479, 0.3299, 0.3239),
    "1/2-20 UNF": (0.5000, 0.4675, 0.4459, 0.4387),
    "1/2-13 UNC": (0.5000, 0.4500, 0.4167, 0.4056),
}

# The same guide in mm; its figures differ from 25.4 times the inch figure by at most 0.001.
UNIFIED_MM = {
    "#10-32 UNF": (4.826, 4.310, 3.967, 3.853),
    "1/4-28 UNF": (6.350, 5.761, 5.367, 5.237),
    "5/16-24 UNF": (7.938, 7.249, 6.792, 6.640),
    "3/8-24 UNF": (9.525, 8.837, 8.379, 8.227),
    "1/2-20 UNF": (12.700, 11.874, 11.326, 11.143),
}

every_thread = pytest.mark.parametrize("name", known_threads())


def test_profile_factors_follow_from_the_60_degree_triangle() -> None:
    """H = sqrt(3)/2 P; the published factors are 3/4, 5/4, 17/12 and 1/6 of it (ISO 68-1)."""
    height = math.sqrt(3) / 2
    assert height == pytest.approx(0.8660254, abs=5e-8)
    assert pytest.approx(3 / 4 * height, abs=5e-8) == threads._PITCH_DIA
    assert pytest.approx(5 / 4 * height, abs=5e-8) == threads._INTERNAL_MINOR
    assert pytest.approx(17 / 12 * height, abs=5e-8) == threads._EXTERNAL_MINOR
    assert pytest.approx(height / 6, abs=5e-8) == threads._ROOT
    assert pytest.approx(0.6134347, abs=6e-8) == threads._EXTERNAL_MINOR / 2
    assert pytest.approx(0.5412659, abs=6e-8) == threads._INTERNAL_MINOR / 2


def test_profile_factors_follow_from_the_55_degree_triangle() -> None:
    """H = 0.960491 P; the height of the thread is two thirds of it (ISO 228-1)."""
    height = 1 / (2 * math.tan(math.radians(27.5)))
    assert height == pytest.approx(0.960491, abs=5e-7)
    assert pytest.approx(2 / 3 * height, abs=5e-7) == threads._WHITWORTH
    assert thread("G1/2").root_radius_mm == pytest.approx(0.137329 * 25.4 / 14, abs=1e-6)


@pytest.mark.parametrize("name", BASIC)
def test_metric_basic_sizes_are_the_published_ones(name: str) -> None:
    """Pitch, d2, d3, D1, h3, H1 and drill as printed, to the printed 0.001 mm."""
    found = thread(name)
    got = (
        found.pitch_mm,
        found.pitch_dia_mm,
        found.external_minor_mm,
        found.internal_minor_mm,
        found.depth_external_mm,
        found.depth_internal_mm,
        found.tap_drill_mm,
    )
    assert got == pytest.approx(BASIC[name], abs=ROUNDING)


@pytest.mark.parametrize("name", MINOR_6H)
def test_internal_minor_limits_6h_are_the_published_ones(name: str) -> None:
    """Smallest and largest D1 of a 6H nut."""
    assert tuple(thread(name).minor_limits_mm) == pytest.approx(MINOR_6H[name], abs=ROUNDING)
    assert thread(name).internal_class == "6H"


@pytest.mark.parametrize("name", MAJOR_6G)
def test_external_major_limits_6g_are_the_published_ones(name: str) -> None:
    """Largest and smallest d of a 6g screw."""
    found = thread(name).major_limits_mm
    assert (found.largest_mm, found.smallest_mm) == pytest.approx(MAJOR_6G[name], abs=ROUNDING)


@pytest.mark.parametrize(
    ("size", "pitch"),
    [
        (3, 0.5),
        (4, 0.7),
        (5, 0.8),
        (6, 1),
        (8, 1.25),
        (10, 1.5),
        (12, 1.75),
        (14, 2),
        (16, 2),
        (20, 2.5),
        (24, 3),
    ],
)
def test_coarse_pitches(size: int, pitch: float) -> None:
    """The pitch list of ISO 261/262."""
    assert thread(f"M{size}").pitch_mm == pitch


@pytest.mark.parametrize(
    ("pitch", "es", "minor"),
    [
        (0.5, -20, 140),
        (0.7, -22, 180),
        (0.8, -24, 200),
        (1, -26, 236),
        (1.25, -28, 265),
        (1.5, -32, 300),
        (1.75, -34, 335),
        (2, -38, 375),
    ],
)
def test_tolerances_by_pitch(pitch: float, es: int, minor: int) -> None:
    """6g stands off by about 15 + 11 P; 6H widths come from published limits (0.8: from memory)."""
    assert METRIC_GRADES_UM[pitch][:2] == (minor, -es)


@pytest.mark.parametrize("pitch", METRIC_GRADES_UM)
def test_distance_of_6g_follows_its_formula(pitch: float) -> None:
    """It is -(15 + 11 P) within its rounding (ISO 965-1, from memory)."""
    assert abs(METRIC_GRADES_UM[pitch][1] - (15 + 11 * pitch)) < 2


@pytest.mark.parametrize(
    ("name", "excess"), [(name, {"M8": 0.05, "M10x1.25": 0.05, "M12": -0.05}.get(name, 0)) for name in BASIC]
)
def test_metric_drill_is_size_less_pitch(name: str, excess: float) -> None:
    """Charts take D - P but for M8, M10x1.25 and M12."""
    found = thread(name)
    assert found.tap_drill_mm - (found.major_mm - found.pitch_mm) == pytest.approx(excess, abs=1e-9)


def test_m12_drill_may_be_any_of_the_published_ones() -> None:
    """10.2, 10.25 and 10.3 are all printed; any inside the limits will do."""
    limits = thread("M12").minor_limits_mm
    for printed in (10.2, 10.25, 10.3, thread("M12").tap_drill_mm):
        assert limits.smallest_mm <= printed <= limits.largest_mm


def test_m8_coarse_does_not_take_the_fine_minor_diameter() -> None:
    """A chart lists 6.917 for M8 coarse, which is M8x1; and 5.976, 7.974 for 6g majors that are 5.974, 7.972."""
    assert thread("M8").internal_minor_mm == pytest.approx(6.647, abs=ROUNDING)
    assert thread("M8x1").internal_minor_mm == pytest.approx(6.917, abs=ROUNDING)
    assert thread("M6").major_limits_mm.largest_mm == pytest.approx(5.974)
    assert thread("M8").major_limits_mm.largest_mm == pytest.approx(7.972)
    assert thread("M9x1").major_limits_mm.largest_mm == pytest.approx(8.974)


def test_minor_diameter_is_two_sizes() -> None:
    """M8: 6.466 at the root of the screw, 6.647 at the crest of the nut."""
    assert thread("M8").external_minor_mm == pytest.approx(6.466, abs=ROUNDING)
    assert thread("M8").internal_minor_mm == pytest.approx(6.647, abs=ROUNDING)


@pytest.mark.parametrize(("percent", "drill"), [(80, 2.48), (75, 2.51), (70, 2.55), (65, 2.58), (60, 2.61)])
def test_share_of_the_full_thread(percent: float, drill: float) -> None:
    """A published M3 chart, drills rounded to 0.01 mm, which is 0.8 percent of the thread."""
    assert full_thread_percent(3, 0.5, drill) == pytest.approx(percent, abs=0.8)


@pytest.mark.parametrize("name", PIPE)
def test_pipe_sizes_are_the_published_ones(name: str) -> None:
    """Threads per inch, pitch, height, diameters and drill of ISO 228-1 as printed."""
    found = thread(name)
    got = (
        found.threads_per_inch,
        found.pitch_mm,
        found.depth_external_mm,
        found.major_mm,
        found.pitch_dia_mm,
        found.internal_minor_mm,
        found.tap_drill_mm,
    )
    assert got == pytest.approx(PIPE[name], abs=ROUNDING)


@pytest.mark.parametrize(
    ("name", "published", "unrounded"),
    [("G1/2", 18.631, 18.632), ("G3/4", 24.117, 24.118), ("G1", 30.291, 30.292)],
)
def test_pipe_minor_diameter_uses_the_rounded_height(name: str, published: float, unrounded: float) -> None:
    """The standard rounds h to 0.001 before it subtracts: the last digit differs."""
    found = thread(name)
    assert found.internal_minor_mm == pytest.approx(published, abs=1e-9)
    plain = float(found.major_mm) - 2 * 0.640327 * float(found.pitch_mm)
    assert round(plain, 3) == unrounded


@pytest.mark.parametrize(("name", "taper_drill"), [("G1/4", 11.5), ("G1/8", 8.6)])
def test_pipe_drill_is_not_the_taper_drill(name: str, taper_drill: float) -> None:
    """11.5 and 8.6 belong to the taper thread of the same size."""
    assert thread(name).tap_drill_mm > taper_drill + 0.1


@pytest.mark.parametrize("name", UNIFIED)
def test_unified_sizes_are_the_published_ones(name: str) -> None:
    """Basic diameters in inches as printed, to 0.0001 inch."""
    found = thread(name)
    got = (found.major_mm, found.pitch_dia_mm, found.internal_minor_mm, found.external_minor_mm)
    assert [one / 25.4 for one in got] == pytest.approx(UNIFIED[name], abs=0.00001)


@pytest.mark.parametrize("name", UNIFIED_MM)
def test_unified_sizes_in_mm_are_the_published_ones(name: str) -> None:
    """Printed mm figures differ by at most 0.001."""
    found = thread(name)
    got = (found.major_mm, found.pitch_dia_mm, found.internal_minor_mm, found.external_minor_mm)
    assert got == pytest.approx(UNIFIED_MM[name], abs=0.001)


@pytest.mark.parametrize("number", [0, 1, 2, 3, 4, 5, 6, 8, 10, 12])
def test_number_sizes(number: int) -> None:
    """A numbered size is 0.060 + 0.013 n inch."""
    name = next(name for name in known_threads() if name.startswith(f"#{number}-"))
    assert thread(name).major_mm / 25.4 == pytest.approx(0.060 + 0.013 * number)


@pytest.mark.parametrize(
    ("name", "nut", "screw"),
    [
        ("1/4-20", (0.1959, 0.2074), (0.2408, 0.2489)),
        ("#10-32", (0.1562, 0.1641), (0.1831, 0.1891)),
        ("1/2-13", (0.4167, 0.4336), (0.4876, 0.4985)),
        ("3/8-16", (0.3073, 0.3214), (0.3643, 0.3737)),
        ("#0-80", (0.0465, 0.0514), (0.0563, 0.0595)),
    ],
)
def test_unified_limits(name: str, nut: tuple[float, float], screw: tuple[float, float]) -> None:
    """Limits of 2B and 2A in inches (from memory; printed 2B minors are these at 0.001 inch)."""
    found = thread(name)
    assert [one / 25.4 for one in found.minor_limits_mm] == pytest.approx(nut, abs=0.00005)
    assert [one / 25.4 for one in found.major_limits_mm] == pytest.approx(screw, abs=0.00005)


@every_thread
def test_every_tap_drill_lies_inside_the_limits_of_the_nut(name: str) -> None:
    """6H, 2B or ISO 228: a hole of the drill's size is a good core hole."""
    found = thread(name)
    limits = found.minor_limits_mm
    assert limits.smallest_mm - 1e-9 <= found.tap_drill_mm <= limits.largest_mm + 1e-9


@every_thread
def test_diameters_are_nested(name: str) -> None:
    """Root below crest of the nut below pitch diameter below major; the screw's limits below or at the basic size."""
    found = thread(name)
    assert found.external_minor_mm <= found.internal_minor_mm < found.pitch_dia_mm < found.major_mm
    assert found.internal_minor_mm == pytest.approx(found.minor_limits_mm.smallest_mm)
    assert found.pitch_dia_mm < found.major_limits_mm.smallest_mm < found.major_limits_mm.largest_mm <= found.major_mm
    assert found.depth_internal_mm <= found.depth_external_mm
    assert found.major_mm - 2 * found.depth_external_mm == pytest.approx(found.external_minor_mm, abs=0.0026)
    assert found.threads_per_inch * found.pitch_mm == pytest.approx(25.4)


@every_thread
def test_every_size_remembers_thread_and_standard(name: str) -> None:
    """A number out of a thread says which thread it is of."""
    found = thread(name)
    for value in (found.pitch_mm, found.internal_minor_mm, found.tap_drill_mm, found.major_limits_mm.largest_mm):
        assert isinstance(value, Number)
        assert f"of {name}" in formula(value)


@every_thread
def test_a_name_names_itself(name: str) -> None:
    """thread(name).name is the name, and no two names mean one thread."""
    assert thread(name).name == name
    assert len(set(known_threads())) == len(known_threads())
