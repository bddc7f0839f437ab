"""Cuts measured on program texts: depths, and published figures of force and power reproduced from a program."""

from __future__ import annotations

from math import asin, pi, sqrt

import pytest

from gemel.cutting.drives import TOOL, drive_of
from gemel.cutting.follow import Followed, follow
from gemel.families.cutting_facts import cutting_facts
from gemel.families.resolve import resolve
from gemel.shop import inputs
from gemel.shop.layout import Shop
from support.cuts import cuts, facts, followed
from support.demo import IDS, ROOT, demo, names
from support.proofs import demo_machine, models_of

_TURN = "T0101\nG54 G99 G50 S5000\nG96 S{vc} M03\nG00 Z2.\nG00 X{x}\nG01 Z-40. F{f}\nG00 X70.\nG00 X130.\nM05\n"


def _turned(stock: float, depth: float, feed: float, surface: float) -> str:
    return _TURN.format(vc=f"{surface:g}", x=f"{stock - 2 * depth:.3f}", f=f"{feed:g}")


@pytest.mark.parametrize(
    ("kc11", "mc", "specific", "force", "power"),
    [
        (1350, 0.21, 1806.2, 903.1, 3.010),
        (1500, 0.22, 2034.9, 1017.5, 3.392),
        (1675, 0.24, 2336.2, 1168.1, 3.894),
        (2150, 0.20, 2836.9, 1418.5, 4.728),
        (800, 0.25, 1131.4, 565.7, 1.886),
    ],
)
def test_force_and_power_of_published_constants(
    kc11: float, mc: float, specific: float, force: float, power: float
) -> None:
    """VDI 3323 constants at 90 degrees, depth 2, feed 0.25, 200 m/min: computed to the digits from a program."""
    [cut] = cuts(facts(60.0, kc11, mc), lower=_turned(60.0, 2.0, 0.25, 200))
    assert (cut.kind, cut.drive) == ("turning", "left")
    assert cut.depth_mm == pytest.approx(2.0)
    assert cut.load.specific_n_mm2 == pytest.approx(specific, abs=0.05)
    assert cut.load.force_n == pytest.approx(force, abs=0.06)
    assert cut.load.power_kw == pytest.approx(power, abs=0.0006)
    assert cut.load.torque_nm == pytest.approx(cut.load.power_kw * 60e3 / (2 * pi * cut.load.rpm))


def test_handbook_example_of_turning_power() -> None:
    """Depth 3, feed 0.2, 120 m/min, 3100 N/mm2, efficiency 0.8: 4.65 kW at the motor, 72 cm3/min (published)."""
    [cut] = cuts(facts(60.0, 3100.0, 0.0), lower=_turned(60.0, 3.0, 0.2, 120))
    left = demo_machine().spindles["left"]
    assert cut.load.removal_cm3_min == pytest.approx(72.0)
    assert left.efficiency == 0.8
    assert cut.power_share * left.power_kw == pytest.approx(4.65, abs=0.005)
    assert cut.roughness_um == pytest.approx(6.25), "feed 0.2 with a corner of 0.8 leaves 6.25 um (published)"


def test_edge_angle_thins_the_chip() -> None:
    """At 75 degrees the chip is f sin 75 thick, as handbooks draw it."""
    [cut] = cuts(facts(), lower=_turned(60.0, 2.0, 0.25, 200).replace("T0101", "T0202"))
    assert cut.load.chip_mm == pytest.approx(0.25 * 0.965926)


def test_depth_is_what_the_pass_before_has_left() -> None:
    """Two passes to 54 and 51 on a bar of 60 bite 3 and 1.5; a third along the same line bites nothing."""
    text = (
        "T0101\nG54 G99\nG97 S1000 M03\nG00 Z2.\nG00 X54.\nG01 Z-40. F0.2\nG00 X62.\nG00 Z2.\n"
        "G00 X51.\nG01 Z-30. F0.2\nG00 X62.\nG00 Z2.\nG00 X51.\nG01 Z-20. F0.2\nG00 X130.\nM05\n"
    )
    assert [cut.depth_mm for cut in cuts(facts(), lower=text)] == [pytest.approx(3.0), pytest.approx(1.5)]


def test_facing_bites_the_allowance() -> None:
    """The raw front stands 1 mm before the finished one; two cuts of 0.6 and 0.4 across the face."""
    text = (
        "T0101\nG54 G99 G50 S3000\nG96 S200 M03\nG00 Z0.4\nG00 X66.\nG01 X-1.6 F0.2\nG00 Z2.\nG00 X66.\n"
        "G00 Z0.\nG01 X-1.6 F0.2\nG00 Z2.\nG00 X130.\nM05\n"
    )
    found = cuts(facts(), lower=text)
    assert [cut.depth_mm for cut in found] == [pytest.approx(0.6), pytest.approx(0.4)]
    # The torque is largest outside, where the spindle is slowest.
    assert found[0].load.rpm == pytest.approx(1000 * 200 / (pi * 60))


def test_blade_bites_its_width_and_what_is_left_of_it() -> None:
    """A groove 3 wide with a blade of 2: the second plunge takes the 1 mm that is left."""
    text = (
        "T0404\nG54 G99\nG97 S800 M03\nG00 Z-20.\nG00 X62.\nG01 X50. F0.1\nG00 X62.\nG00 Z-19.\nG01 X50. F0.1\n"
        "G00 X130.\nM05\n"
    )
    assert [cut.depth_mm for cut in cuts(facts(), lower=text)] == [pytest.approx(2.0), pytest.approx(1.0)]


def test_drill_then_bore() -> None:
    """A drill of 12 from solid by P = D/4 f vc kc; the bar behind it opens the hole by 1 on the radius."""
    text = (
        "T0909\nG54 G99\nG97 S1000 M03\nG00 Z5.\nG00 X0.\nG83 X0. Z-30. F0.2\nG80\nG00 X130.\nM05\n"
        "T1010\nG97 S1000 M03\nG00 Z5.\nG00 X14.\nG01 Z-25. F0.1\nG00 X12.\nG00 Z5.\nG00 X130.\nM05\n"
    )
    drill, bore = cuts(facts(), lower=text)
    kc = 1350 * 0.1**-0.21
    assert drill.load.power_kw == pytest.approx(12 / 4 * 0.2 * (pi * 12 * 1000 / 1000) * kc / 60e3)
    assert drill.load.removal_cm3_min == pytest.approx(pi * 36 * 200 / 1000)
    assert bore.kind == "boring"
    assert bore.depth_mm == pytest.approx(1.0)


def test_thread_passes_take_the_area_between_them() -> None:
    """Passes of equal area (depths as the root of their number) ask for equal areas of chip; a spring pass for none."""
    passes = [60 - 2 * 0.8 * sqrt(n / 4) for n in (1, 2, 3, 4, 4)]
    blocks = "".join(f"G00 X{x:.4f}\nG32 Z-20. F1.5\nG00 X64.\nG00 Z5.\n" for x in passes)
    found = cuts(facts(), lower=f"T0505\nG54 G99\nG97 S500 M03\nG00 X64.\nG00 Z5.\n{blocks}G00 X130.\nM05\n")
    areas = [cut.load.force_n / cut.load.specific_n_mm2 for cut in found]
    assert len(found) == 4
    assert areas == [pytest.approx(areas[0], rel=1e-3)] * 4
    assert areas[0] == pytest.approx(0.8**2 / sqrt(3) / 4, rel=1e-3)


def _mill(tool: str, *blocks: str, channel: str = "upper", speed: int = 1000) -> str:
    home = "G28 U0\nG28 V0 W0\n" if channel == "upper" else ""
    path = "\n".join(blocks)
    return f"{home}{tool}\nG54 G19 G98\nM05\nM45\nG97 S{speed} M103\nG00 C0.\nM89\n{path}\nG00 X130.\nM105\nM90\nM46\n"


def test_flat_is_milled_row_by_row() -> None:
    """Depth is from the round to the level, width what the row before has left (worked by hand)."""
    rows = ["G00 Y-45. Z1.", "G00 X56.", "G01 Y45. F400.", "G00 Z-11.", "G01 Y-45. F400."]
    first, second = cuts(facts(), upper=_mill("T1", *rows))
    assert [first.depth_mm, second.depth_mm] == [pytest.approx(2.0)] * 2
    assert [first.width_mm, second.width_mm] == [pytest.approx(10.0), pytest.approx(12.0)]
    # Q = ap ae vf; the mean chip of a half engaged mill is fz 2/pi.
    assert first.load.removal_cm3_min == pytest.approx(2 * 10 * 400 / 1000)
    assert first.load.chip_mm == pytest.approx(0.1 * 2 / pi)
    assert first.load.power_kw == pytest.approx(first.load.removal_cm3_min * first.load.specific_n_mm2 / 60e3)


def test_slot_along_the_axis_takes_the_segment_under_the_round() -> None:
    """A slot of 6 to a level of 25 in a round of 60: the area between circle and level over its width."""
    found = cuts(facts(), upper=_mill("T2", "G00 Y0. Z5.", "G00 X50.", "G01 Z-20. F100."))
    area = 3 * sqrt(900 - 9) + 900 * asin(0.1) - 6 * 25
    [cut] = found
    assert cut.width_mm == pytest.approx(6.0)
    assert cut.load.removal_cm3_min == pytest.approx(area * 100 / 1000, rel=1e-3)


def test_spot_is_as_wide_as_its_cone_at_the_surface() -> None:
    """A 90 degree spot 2 mm under the surface is 4 mm wide."""
    [cut] = cuts(facts(), upper=_mill("T3", "G00 Y0. Z-10.", "G00 X64.", "G83 X56. Z-10. F50.", "G80"))
    assert 2 * cut.depth_mm == pytest.approx(4.0)


def test_tap_by_the_handbook_formula() -> None:
    """M = kc p^2 D / 8000 N m (published): M8 with 1.25 asks for 1.5625e-3 of the specific force."""
    [cut] = cuts(facts(), upper=_mill("T5", "G00 Y0. Z-10.", "G00 X64.", "G84 X40. Z-10. F250.", "G80", speed=200))
    assert cut.load.torque_nm == pytest.approx(cut.load.specific_n_mm2 * 1.25**2 * 8 / 8000)
    assert cut.load.power_kw == pytest.approx(cut.load.torque_nm * 200 * 2 * pi / 60e3)


def test_chamfer_tool_takes_little_off_a_corner() -> None:
    """Between two flats the chamfer tool meets a corner, whatever the bar was before."""
    flats = [
        f"M90\nG00 C{angle}.\nM89\nG00 X66.\nG00 Y-45. Z1.\nG00 X40.\n"
        "G01 Y45. F400.\nG00 Z-17.\nG01 Y-45. F400.\nG00 X66."
        for angle in (0, 90, 180, 270)
    ]
    chamfer = "M90\nG00 C0.\nM89\nG00 Y21. Z5.\nG00 X39.\nG01 Z-20. F200."
    *_, last = cuts(facts(), upper=_mill("T1", *flats) + _mill("T6", chamfer))
    # Tip 0.5 under the flat and 1 beside the edge: the cone has 45 degrees, so nothing is cut; deeper it is a triangle.
    assert last.tool != "chamfer"
    deeper = chamfer.replace("X39.", "X37.")
    *_, last = cuts(facts(), upper=_mill("T1", *flats) + _mill("T6", deeper))
    assert last.tool == "chamfer"
    assert last.load.removal_cm3_min == pytest.approx(0.5 * 0.5**2 * 200 / 1000, rel=0.15)


def test_cut_face_is_faced_on_the_other_spindle() -> None:
    """What the cut-off leaves behind the part is what the second side bites; the bar comes out for the next part."""
    over = "M205\nM146\nM169\nM131\nG01 G53 A-500. F500.\nM168\n"
    off = "T0303\nG54 G99\nG97 S800 M03\nG00 Z-43.3\nG00 X66.\nG01 X-0.4 F0.1\nG00 X130.\nM05\nM132\nG00 G53 A0.\n"
    face = "T0101\nG55 G99\nG97 S800 M203\nG00 Z0.\nG00 X66.\nG01 X-1.6 F0.2\nG00 X130.\nM205\n"
    found = cuts(facts(), lower=over + off + face)
    assert [(cut.kind, cut.drive) for cut in found] == [("cut-off", "left"), ("turning", "right")]
    assert found[0].depth_mm == 3.0
    assert found[1].depth_mm == pytest.approx(0.3)


def test_unknown_tool_is_a_gap_and_not_silence() -> None:
    """A station that the family does not fill is said once per block, and no figure is made up."""
    found = followed(facts(), lower=_turned(60.0, 2.0, 0.25, 200).replace("T0101", "T0606"))
    assert found.cuts == ()
    [gap] = found.gaps
    assert (gap.channel, gap.why) == ("lower", "the family has no tool in station 6 of lower")


def test_torque_curve_is_straight_between_its_points() -> None:
    """The turret's live drive: 30 N m to 1750 rpm, 8.7 at 6000, four fifths of which reach the cut (by hand)."""
    drive = drive_of(demo_machine(), "lower", TOOL)
    assert drive.torque_nm(500) == pytest.approx(24.0)
    assert drive.torque_nm(3875) == pytest.approx(0.8 * (30 + 8.7) / 2)
    assert drive.torque_nm(9000) == pytest.approx(0.8 * 8.7)
    assert drive.power_kw == pytest.approx(4.4)
    assert drive.can(4.4, 8.0, 5250)
    assert not drive.can(4.5, 8.0, 5250)
    assert not drive.can(1.0, 25.0, 1000)
    assert not drive.can(0.1, 0.1, 6001)


def _demo_cuts(machine: str, family: str, member: str) -> Followed:
    loaded = inputs.load(Shop(ROOT), family, machine)
    facts_of_demo = cutting_facts(loaded.family, resolve(loaded.family, member))
    models = models_of(loaded.machine, dict(demo(machine, family, member).texts))
    return follow({model.name: model.steps for model in models}, facts_of_demo, loaded.machine)


@pytest.mark.parametrize(("machine", "family", "member"), names(), ids=IDS)
def test_every_cut_of_the_demo_is_known_and_within_its_drive(machine: str, family: str, member: str) -> None:
    """No cut of the demo pairs is left out, and none takes more than half of what its drive has."""
    found = _demo_cuts(machine, family, member)
    assert found.gaps == ()
    assert len(found.cuts) > 10
    assert max(cut.share for cut in found.cuts) < 0.5


def test_programs_in_inches_ask_for_what_those_in_mm_ask() -> None:
    """The same part on a machine in inches: tool by tool the same power and depth, but for the last digit."""
    heaviest = []
    for machine in ("twin-turnmill", "inch-duplex"):
        by_tool: dict[tuple[str, str], tuple[float, float]] = {}
        for cut in _demo_cuts(machine, "port-block", "20").cuts:
            key = cut.tool, cut.kind
            by_tool[key] = max(by_tool.get(key, (0.0, 0.0)), (cut.load.power_kw, cut.depth_mm))
        heaviest.append(by_tool)
    assert heaviest[0].keys() == heaviest[1].keys()
    for key, (power, depth) in heaviest[0].items():
        assert heaviest[1][key][0] == pytest.approx(power, rel=0.02), key
        assert heaviest[1][key][1] == pytest.approx(depth, abs=0.02), key
