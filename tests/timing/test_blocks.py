"""What single blocks take: functions, spindles, tools, cycles, and what cannot be known."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from gemel.documents import compose, validate
from gemel.machines.schema import Machine
from gemel.timing.spin import SpinCurve
from gemel.timing.travel import AxisRate, rest_to_rest_s
from support.proofs import demo_machine
from support.timed import block_of, timeline, timeline_of

_INCH = Path(__file__).parents[2] / "templates" / "inch-duplex" / "machine.yaml"
_X = AxisRate(400.0, 4000.0)
_Z = AxisRate(500.0, 5000.0)
_SLIDE = AxisRate(400.0, 3000.0)


def _lower(*lines: str) -> str:
    return "\n".join(["G21 G40 G80 G97", *lines, "M30", ""])


def _left() -> SpinCurve:
    spindle = demo_machine().spindles["left"]
    return SpinCurve(spindle.inertia_kgm2, spindle.power_kw, spindle.torque)


def test_rapids_of_a_turret() -> None:
    """X counts along the radius, each axis at its own rate: the longer of both decides."""
    timed = timeline(lower=_lower("G00 X200. Z290."))
    spent = block_of(timed, "G00 X200. Z290.").spent
    assert spent.rapid_s == pytest.approx(max(rest_to_rest_s(100, _X), rest_to_rest_s(10, _Z)))
    assert spent.total_s == spent.rapid_s


def test_straight_rapids() -> None:
    """Where the machine file says that rapids are straight, both axes arrive together: one is fast, the other weak."""
    demo = demo_machine()
    weak = demo.channels["lower"].model_copy(update={"acceleration": {"x": 4.0, "z": 0.5, "c": 4000.0, "a": 3.0}})
    seconds = {}
    for path in ("dog-leg", "straight"):
        lower = weak.model_copy(update={"rapid_path": path})
        machine = demo.model_copy(update={"channels": {**demo.channels, "lower": lower}})
        timed = timeline_of({"lower": _lower("G00 X20. Z250.")}, machine)
        seconds[path] = block_of(timed, "G00 X20. Z250.").spent.rapid_s
    z = AxisRate(500.0, 500.0)
    assert seconds["dog-leg"] == pytest.approx(rest_to_rest_s(50, z))
    # The path as an axis of length 1: the rate of X over 190 mm, the acceleration of Z over 50 mm.
    assert seconds["straight"] == pytest.approx(rest_to_rest_s(1.0, AxisRate(400 / 190, 500 / 50)))
    assert seconds["straight"] > seconds["dog-leg"]


def test_functions_take_their_seconds_once() -> None:
    """A clamp that is open already opens in no time; what changes takes the seconds of the machine file."""
    times = demo_machine().durations
    timed = timeline(lower=_lower("M69", "M69 (AGAIN)", "M70", "M68", "M08", "M45", "M89"))
    seconds = [b.spent.function_s for b in timed.lanes[0].blocks][1:]
    expected = [times.clamp, 0.0, times.bar_feed, times.clamp, times.coolant, times.c_axis, times.c_brake]
    assert seconds == pytest.approx(expected)


def test_a_cut_waits_for_the_spindle() -> None:
    """The start code holds nobody, the tool moves meanwhile, and the cut begins when the spindle is at speed."""
    timed = timeline(lower=_lower("T0101", "G99 G97 S4000 M03", "G01 Z299. F0.1"))
    assert block_of(timed, "G99 G97 S4000 M03").spent.total_s == 0
    spent = block_of(timed, "G01 Z299. F0.1").spent
    assert spent.function_s == pytest.approx(_left().from_rest_s(4000))
    assert spent.cutting_s == pytest.approx(60 * 1 / (0.1 * 4000))
    moved = timeline(lower=_lower("T0101", "G99 G97 S4000 M03", "G00 Z100.", "G01 Z99. F0.1"))
    rapid_s = block_of(moved, "G00 Z100.").spent.rapid_s
    assert block_of(moved, "G01 Z99. F0.1").spent.function_s == pytest.approx(_left().from_rest_s(4000) - rapid_s)


def test_a_stop_waits_until_the_spindle_stands() -> None:
    """Stopping takes what starting takes; stopping what stands takes nothing."""
    timed = timeline(lower=_lower("G97 S3000 M03", "G04 X5.", "M05", "M05 (AGAIN)"))
    assert block_of(timed, "M05").spent.function_s == pytest.approx(_left().from_rest_s(3000))
    assert block_of(timed, "M05 (AGAIN)").spent.total_s == 0


def test_tool_changes() -> None:
    """Another station takes the seconds of the machine file; the one at work already, or a new offset of it, none."""
    change_s = demo_machine().channels["lower"].tool_change.seconds
    timed = timeline(lower=_lower("T0101", "T0111", "T0202"))
    assert [block_of(timed, t).spent.tool_change_s for t in ("T0101", "T0111", "T0202")] == [change_s, 0.0, change_s]


def test_drilling_peck_by_peck() -> None:
    """30 mm in pecks of 12: three strokes, each again from the gap above the depth, all the way out between them."""
    timed = timeline(lower=_lower("T0909", "G99 G97 S2000 M03", "G00 X0. Z2.", "G04 X5.", "G83 Z-28. Q12000 P500 F0.1"))
    spent = block_of(timed, "G83 Z-28. Q12000 P500 F0.1").spent
    assert spent.cutting_s == pytest.approx(60 * (30 + 2 * 0.5) / (0.1 * 2000))
    rapids = [12, 11.5, 24, 23.5, 30]
    assert spent.rapid_s == pytest.approx(sum(rest_to_rest_s(d, _Z) for d in rapids))
    assert spent.dwell_s == 0.5


def test_drilling_that_draws_back_by_the_gap() -> None:
    """Where the machine draws back by the gap only, each peck costs one short rapid."""
    demo = demo_machine()
    machine = demo.model_copy(update={"pecks": demo.pecks.model_copy(update={"back": "gap"})})
    text = _lower("T0909", "G99 G97 S2000 M03", "G00 X0. Z2.", "G04 X5.", "G83 Z-28. Q12000 F0.1")
    spent = block_of(timeline_of({"lower": text}, machine), "G83 Z-28. Q12000 F0.1").spent
    assert spent.rapid_s == pytest.approx(2 * rest_to_rest_s(0.5, _Z) + rest_to_rest_s(30, _Z))
    assert spent.cutting_s == pytest.approx(60 * (30 + 2 * 0.5) / (0.1 * 2000))


def test_tapping_reverses_twice() -> None:
    """Down and up at the feed of the pitch, and the drive turns round at the depth and at the top."""
    upper = "T6\nG19 G98 G97 S955 M103\nG00 X20. Z-10. Y0.\nG04 X1.\nG84 X4. F763.9\nM30\n"
    spent = block_of(timeline(upper=upper), "G84 X4. F763.9").spent
    motor = demo_machine().channels["upper"].drive
    assert motor.inertia_kgm2 is not None
    curve = SpinCurve(motor.inertia_kgm2, motor.power_kw, motor.torque)
    assert spent.cutting_s == pytest.approx(2 * 8 / 763.9 * 60)
    assert spent.function_s == pytest.approx(4 * curve.from_rest_s(955))


def test_a_thread_waits_for_the_start_mark() -> None:
    """Before each pass the spindle turns half a revolution on average until its start mark comes."""
    timed = timeline(lower=_lower("T0505", "G97 S600 M03", "G00 X8. Z0.", "G04 X1.", "G32 Z-30. F1.25"))
    assert block_of(timed, "G32 Z-30. F1.25").spent.function_s == pytest.approx(0.05)


def test_the_override_changes_feeds_alone() -> None:
    """Half the feed takes twice as long in feed moves; threads, rapids, dwells and functions are as before."""
    text = _lower(
        "T0101",
        "G99 G97 S2000 M03",
        "G00 X30. Z2.",
        "G01 Z-10. F0.2",
        "G32 Z-20. F1.",
        "G04 X1.",
        "G98",
        "G01 X40. F100.",
    )
    full, half = timeline(lower=text), timeline_of({"lower": text}, override=0.5)
    ratios = {}
    for a, b in zip(full.lanes[0].blocks, half.lanes[0].blocks, strict=True):
        ratios[a.step.block.text] = b.spent.cutting_s / a.spent.cutting_s if a.spent.cutting_s else None
        assert b.spent._replace(cutting_s=0) == pytest.approx(a.spent._replace(cutting_s=0))
    assert ratios["G01 Z-10. F0.2"] == pytest.approx(2)
    assert ratios["G01 X40. F100."] == pytest.approx(2)
    assert ratios["G32 Z-20. F1."] == pytest.approx(1)
    assert half.override == 0.5


def test_the_slide_moves_at_its_own_rate() -> None:
    """The slide goes 520 mm at its rapid and the last 5 at the feed."""
    timed = timeline(lower=_lower("G98", "G00 G53 A-520.", "G01 G53 A-525. F500.", "G28 A0."))
    assert block_of(timed, "G00 G53 A-520.").spent.rapid_s == pytest.approx(rest_to_rest_s(520, _SLIDE))
    assert block_of(timed, "G01 G53 A-525. F500.").spent.cutting_s == pytest.approx(0.6)
    assert not timed.unknown


def test_the_c_axis_starts_from_its_reference() -> None:
    """Engaging the C axis brings it to zero: the way to C90 is 90 degrees, whatever stood in the program before."""
    rate = AxisRate(600.0, 4000.0)
    timed = timeline(lower=_lower("M45", "G00 C270.", "M46", "M45 (AGAIN)", "G00 C90."))
    assert block_of(timed, "G00 C90.").spent.rapid_s == pytest.approx(rest_to_rest_s(90, rate))
    assert not timed.unknown


def test_another_offset_is_reached_by_way_of_home() -> None:
    """Z under another offset is placed by home, which is the same place under both: Z grows the other way there."""
    timed = timeline(lower=_lower("G54", "G00 Z100.", "G55", "G00 Z50."))
    assert block_of(timed, "G00 Z50.").spent.rapid_s == pytest.approx(rest_to_rest_s(200 + 250, _Z))
    assert not timed.unknown


def test_arcs() -> None:
    """A quarter of radius 10 at 100 mm/min takes 9.42 s, by centre and by radius."""
    for arc in ("G03 X20. Z-10. I-10. F100.", "G02 X20. Z-10. R10. F100."):
        timed = timeline(lower=_lower("T0101", "G98 G18", "G00 X40. Z0.", arc))
        assert block_of(timed, arc).spent.cutting_s == pytest.approx(10 * math.pi / 2 / 100 * 60)


@pytest.mark.parametrize(
    ("lines", "block", "reason"),
    [
        (("M00",), "M00", "person decides"),
        (("M333",), "M333", "M333"),
        (("G01 X100. F0.2",), "G01 X100. F0.2", "per minute or per revolution"),
        (("G99", "G01 X100. F0.2"), "G01 X100. F0.2", "nothing turns"),
        (("G99 G97 S500 M03", "G01 X100."), "G01 X100.", "without a feed"),
        (("G00 C90.",), "G00 C90.", "how far C moves"),
        (("G98", "G02 X100. Z0. R1. F100."), "G02 X100. Z0. R1. F100.", "centre"),
        (("G53 X-100.", "G00 X50."), "G00 X50.", "how far X moves"),
        (("M98 P7777",), "M98 P7777", "7777"),
        (("IF[#501GT1]GOTO10",), "IF[#501GT1]GOTO10", "cannot be decided"),
        (("T0909", "G99 G97 S2000 M03", "G00 X0. Z2.", "G83 Z-28. Q1 F0.1"), "G83 Z-28. Q1 F0.1", "pecks"),
    ],
)
def test_what_cannot_be_known_is_said(lines: tuple[str, ...], block: str, reason: str) -> None:
    """A block whose duration nobody can know is listed with its line and a reason."""
    timed = timeline(lower=_lower(*lines))
    said = {u.block: u for u in timed.unknown}
    assert block in said
    assert reason in said[block].reason
    assert said[block].span.line == 2 + lines.index(block)
    assert not timed.is_exact


def test_an_unknown_motor_is_said() -> None:
    """Where the machine file lacks the inertia of a tool drive, starting it is unknown."""
    demo = demo_machine()
    upper = demo.channels["upper"]
    drive = upper.drive.model_copy(update={"inertia_kgm2": None})
    machine = demo.model_copy(
        update={"channels": {**demo.channels, "upper": upper.model_copy(update={"drive": drive})}}
    )
    timed = timeline_of({"upper": "T1\nG97 S5000 M103\nM30\n"}, machine)
    assert ["tool drive" in u.reason for u in timed.unknown] == [True]


def test_fixed_speed_without_a_number_holds_the_speed() -> None:
    """Behind constant surface speed, `G97` alone keeps the spindle at the speed of that moment."""
    timed = timeline(
        lower=_lower("T0101", "G99 G50 S4000", "G00 X50.", "G96 S200 M03", "G97", "G00 X20.", "G01 Z290. F0.1")
    )
    cut = block_of(timed, "G01 Z290. F0.1")
    assert cut.rpm_low == cut.rpm_high == pytest.approx(200_000 / (math.pi * 50))


def test_a_feed_per_revolution_of_a_spindle_that_the_other_channel_started() -> None:
    """What a channel's feed goes by is the spindle of its offset, whoever started it."""
    upper = "G54\nG97 S1000 M03\nM701\nM702\nM30\n"
    lower = "T0101\nG54 G99\nM701\nG01 Z290. F0.1\nM702\nM30\n"
    timed = timeline(upper=upper, lower=lower)
    assert block_of(timed, "G01 Z290. F0.1").spent.cutting_s == pytest.approx(60 * 10 / (0.1 * 1000))
    assert not timed.unknown


def test_a_machine_in_inches() -> None:
    """Inches per minute, feet per minute and inches per revolution: 1 inch at 0.01 and 500 rpm takes 12 s."""
    machine = validate(Machine, compose(_INCH.read_text(encoding="utf-8"), "machine.yaml"))
    fixed = "T51\nG95 G97 S500 M3\nG0 X2. Z1.\nG4 P9000\nG1 Z0. F.01\nM30\n"
    assert block_of(timeline_of({"lower": fixed}, machine), "G1 Z0. F.01").spent.cutting_s == pytest.approx(12)
    surface = "T51\nG92 S3000\nG0 X2. Z1.\nG95 G96 S500 M3\nG4 P9000\nG1 Z0. F.01\nM30\n"
    cut = block_of(timeline_of({"lower": surface}, machine), "G1 Z0. F.01")
    assert cut.rpm_high == pytest.approx(500 * 12 / (math.pi * 2))
    rapid = block_of(timeline_of({"lower": "G0 Z2.\nM30\n"}, machine), "G0 Z2.").spent.rapid_s
    assert rapid == pytest.approx(rest_to_rest_s(10, AxisRate(20.0, 5000 / 25.4)))


def test_a_run_without_an_end_is_said() -> None:
    """A program that goes round for ever is timed up to where reading gave it up, and that is said."""
    timed = timeline(lower="N10 G04 X1.\nGOTO 10\nM30\n")
    assert ["goes round for ever" in u.reason for u in timed.unknown] == [True]
