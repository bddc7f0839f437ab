"""NISTIR 6556, Table 4 (modal groups) and Table 8 (order of execution inside a block; 1, the comment, does nothing)."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

import pytest

from support.rs274 import GROUPS, run_from

if TYPE_CHECKING:
    from gemel.reading import Motion, Run, Step

_PAIRS = [pair for codes in GROUPS.values() for pair in itertools.combinations(codes.split(), 2)]
_ACROSS = [(first.split()[0], second.split()[0]) for first, second in itertools.combinations(GROUPS.values(), 2)]


def run(text: str) -> Run:
    """What a program does that starts at the origin with a feed."""
    return run_from((0, 0, 0), text)


def only_step(text: str) -> Step:
    """The last block's step."""
    return run("F100 S500\n" + text).steps[-1]


def only_motion(text: str) -> Motion:
    """The last block's only motion."""
    [motion] = only_step(text).motions
    return motion


def groups_said(text: str) -> bool:
    """Whether the program is said to hold two codes of one group in a block."""
    return "modal-group" in {remark.code for remark in run(text).remarks}


@pytest.mark.parametrize(("first", "second"), _PAIRS)
def test_two_codes_of_one_group_in_a_block(first: str, second: str) -> None:
    """Table 4, 3.3.5: an error, for every pair of every group; M7 with M8 too, though both may be active."""
    assert groups_said(f"{first} {second}")
    assert not groups_said(f"{first}\n{second}")


@pytest.mark.parametrize(("first", "second"), _ACROSS)
def test_codes_of_two_groups_in_a_block(first: str, second: str) -> None:
    """Table 4: none, for a code of every two groups.

    That G28 and a motion code may not both use the axis words is not asked: turning programs write `G00 G28 U0`.
    """
    assert not groups_said(f"{first} {second}")


@pytest.mark.parametrize("text", ["M0 M30", "M3 M5", "G0 G1", "G90 G91"])
def test_the_reports_own_faulty_lines(text: str) -> None:
    """Section 3.3.5 and appendix E."""
    assert groups_said(text)


def test_2_and_3_feed_mode_then_feed() -> None:
    """Table 8, 2 and 3: the feed of the line is one of the line's mode, and its motion has both."""
    motion = only_motion("X5 F2 G1 G93")
    assert (motion.feed_mode, motion.feed) == ("inverse", 2)


def test_4_and_7_speed_then_spindle() -> None:
    """4 and 7: a spindle starts at the speed of its line, before the motion."""
    step = only_step("G1 X5 M4 S300")
    assert (step.speed.drive, step.speed.value) == ("tool", 300)
    assert [(f.kind, f.state) for f in step.functions] == [("spindle", "reverse")]
    assert step.late == ()


def test_5_and_6_tool() -> None:
    """5 and 6: the tool is selected and changed before the motion."""
    step = only_step("G1 X5 M6 T2")
    assert step.tool is not None
    assert (step.tool.station, [f.which for f in step.functions]) == (2, ["tool change"])


@pytest.mark.parametrize(("code", "which"), [("M8", "flood"), ("M7", "mist"), ("M9", "all"), ("M49", "override off")])
def test_8_and_9_coolant_and_override(code: str, which: str) -> None:
    """8 and 9: before the motion; coolant off and a move on one line is coolant off first."""
    step = only_step(f"G1 X5 {code}")
    assert [f.which for f in step.functions] == [which]
    assert (len(step.motions), step.late) == (1, ())


def test_10_dwell() -> None:
    """10: a dwell and a motion on one line are both carried out."""
    step = only_step("G1 X5 G4 P0.5")
    assert step.dwell_s == 0.5
    assert [m.end.x_dia for m in step.motions] == [5]


def test_11_plane() -> None:
    """11: an arc lies in the plane of its own line: (0, 0) to X10 Z0 about X5 in the plane ZX, by way of Z5 or Z-5."""
    motion = only_motion("G2 X10 Z0 I5 K0 G18")
    assert (motion.plane, motion.center) == ("zx", (0, 5))


def test_12_units() -> None:
    """12: the lengths of the line are in its own unit, the feed too."""
    motion = only_motion("G1 X1 F10 G20")
    assert (motion.end.x_dia, motion.feed) == (25.4, 254)


@pytest.mark.parametrize(("code", "side"), [("G41", "left"), ("G42", "right"), ("G40", "off")])
def test_13_radius_compensation(code: str, side: str) -> None:
    """13: switched before the motion of its own line."""
    assert only_step(f"G42\nG1 X5 {code}").compensation == side


def test_15_offset() -> None:
    """15: the motion is in the offset of its own line, where nobody knows Z unless it stood at home."""
    step = only_step("G1 X5 G55")
    assert (step.offset_name, step.changes_offset) == ("G55", True)
    assert step.motions[0].end.z is None


@pytest.mark.parametrize("code", ["G43", "G49", "G61", "G64", "G61.1"])
def test_14_and_16_length_offset_and_path(code: str) -> None:
    """14 and 16: understood. Neither moves the frame of what is proved: lengths are set up at the machine."""
    step = only_step(f"G1 X5 {code}")
    assert (step.remarks, len(step.motions)) == ((), 1)


def test_17_distance() -> None:
    """17: `G91 G1 X` on one line moves by X."""
    assert only_motion("G1 X5\nX2 G91").end.x_dia == 7


@pytest.mark.parametrize(("code", "z"), [("G98", 0), ("G99", -1)])
def test_18_retract(code: str, z: float) -> None:
    """18: a cycle goes back to the level that its own line asks for."""
    assert only_step(f"G81 X5 Z-3 R-1 {code}").motions[-1].end.z == z


@pytest.mark.parametrize("code", ["G28", "G92"])
def test_19_home_and_origin(code: str) -> None:
    """19: what they do with axis words is done instead of a motion of the mode in force."""
    step = only_step(f"G1 X5\nX7 {code}")
    assert not any(m.kind == "feed" for m in step.motions)


@pytest.mark.parametrize("code", ["M0", "M1"])
def test_21_stop(code: str) -> None:
    """21: a stop comes behind the motion of its line."""
    step = only_step(f"{code} G1 X5")
    assert [f.kind for f in step.late] == ["stop"]
    assert (len(step.motions), step.functions) == (1, ())


@pytest.mark.parametrize("code", ["M2", "M30"])
def test_21_end(code: str) -> None:
    """21: a move on the line of the end is made. What the control resets then, no later block of ours can see."""
    done = run(f"F1\n{code} G1 X5\nX6")
    assert (done.ending, done.state.position.x_dia) == ("end", 5)
