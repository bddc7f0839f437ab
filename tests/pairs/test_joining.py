"""Operations in a row: ends that the next beginning takes back are left out, and nothing else."""

from __future__ import annotations

import pytest

from gemel.documents import PlacedText
from gemel.numbers import rule
from gemel.numbers.origin import Source
from gemel.operations.steps import (
    Feed,
    Function,
    Home,
    Posted,
    Rapid,
    SpeedLimit,
    SpindleStart,
    Step,
    ToolCall,
    ToolDrive,
    ToolpathState,
)
from gemel.pairs.joining import joined

RPM = rule(1000.0, "a speed", "for a test")
STATE = ToolpathState("zx", "per_revolution", "left")
START = SpindleStart(spindle="left", rpm=RPM)
STOP = Function("spindle.left.stop")
OFF = Function("coolant.stop")
TURNING: list[Step] = [ToolCall("T0101", ""), STATE, SpeedLimit(rpm=RPM), START, Function("coolant.start"), Rapid(x=0)]
MILLING: list[Step] = [
    Home(),
    ToolCall("T1", ""),
    ToolpathState("yz", "per_minute", "left"),
    STOP,
    Function("c_axis.left.engage"),
    ToolDrive(rpm=RPM),
    Rapid(c=0),
]
MILLED: list[Step] = [Function("drive.stop"), OFF, Function("c_axis.left.release"), Home()]


def ends(*operations: list[Step]) -> list[list[Step]]:
    """What is left of the steps behind the last move of each operation."""
    found = []
    for steps in joined(operations):
        last = max(i for i, step in enumerate(steps) if isinstance(step, Rapid | Feed | Posted))
        found.append(list(steps[last + 1 :]))
    return found


def test_a_spindle_goes_on_turning_from_one_turning_operation_to_the_next() -> None:
    """The same spindle in the same direction is not stopped between; coolant is; behind the last one all stops."""
    turned = [*TURNING, OFF, STOP]
    assert ends(turned, turned) == [[OFF], [OFF, STOP]]


@pytest.mark.parametrize(
    "following",
    [
        MILLING,
        [ToolCall("T0202", ""), STATE, SpindleStart(spindle="left", direction="reverse", rpm=RPM), Rapid(x=0)],
        [ToolCall("T0202", ""), STATE, SpindleStart(spindle="right", rpm=RPM), Rapid(x=0)],
        [ToolCall("T1212", ""), STATE, STOP, Rapid(x=0)],
        [STATE, Function("clamp.right.open"), START, Rapid(x=0)],
        [ToolCall("T0202", ""), STATE, Rapid(x=0), START],
    ],
    ids=["milling", "the other way", "the other spindle", "a stop", "a clamp", "a move first"],
)
def test_a_spindle_stops_before_anything_else(following: list[Step]) -> None:
    """Whatever needs it standing, or turns it otherwise, finds it standing."""
    assert ends([*TURNING, OFF, STOP], following)[0] == [OFF, STOP]


def test_the_head_goes_home_once_and_the_c_axis_stays_on() -> None:
    """Between two milling operations the way home is the one that the second begins with."""
    milled = [*MILLING, *MILLED]
    first, second = ends(milled, milled)
    assert first == [Function("drive.stop"), OFF]
    assert second == MILLED
    assert joined([milled, milled])[1][:7] == tuple(MILLING), "a beginning is never shortened"


def test_the_c_axis_of_the_other_spindle_is_let_go() -> None:
    """What the next operation engages is another axis: this one is released."""
    right = [step if step != Function("c_axis.left.engage") else Function("c_axis.right.engage") for step in MILLING]
    assert Function("c_axis.left.release") in ends([*MILLING, *MILLED], right)[0]


def test_blocks_from_elsewhere_are_left_as_they_end() -> None:
    """Nobody knows here which way a posted body turned the spindle."""
    posted = Posted(PlacedText("M4", Source("", "", 0, 0, "")))
    assert ends([*TURNING, posted, STOP], TURNING)[0] == [STOP]


def test_the_turret_stays_for_the_next_job_of_the_same_tool() -> None:
    """The way to the place of tool changes is for a change; without one the tool waits at the clearance."""
    turned = [*TURNING, Rapid(x=120), Rapid(z=100), OFF, STOP]
    other = [ToolCall("T0202", ""), *TURNING[1:]]
    assert joined([turned, turned])[0][-2:] == (Rapid(x=120), OFF)
    assert Rapid(z=100) in joined([turned, other])[0]
    assert Rapid(z=100) in joined([turned])[0]
