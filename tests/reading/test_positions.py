"""Where a block moves to: diameters, increments, home, machine coordinates, offsets, and what cannot be known."""

from __future__ import annotations

from dataclasses import replace

import pytest

from support.channels import BY_MODE, HOME, LATHE, causes, codes, path, run, run_from


def test_x_is_a_diameter() -> None:
    """X and U are diameters both: U10. makes the part 10 larger, not the radius."""
    assert path(run_from(50, 0, "G0 X30. Z5.\nU10. W-2.")) == ["rapid 30 5", "rapid 40 3"]


@pytest.mark.parametrize(
    ("text", "end"),
    [
        ("G0 X30. Z5.", (30, 0, 5)),
        ("G0 U-20.", (30, 0, 7)),
        ("G0 V3. W-1.", (50, 3, 6)),
        ("G0 X30. W-1.", (30, 0, 6)),
        ("G0 Z-0.", (50, 0, 0)),
    ],
)
def test_absolute_and_incremental_letters(text: str, end: tuple[float, float, float]) -> None:
    """Each letter for itself; a block may mix them, one axis by X and the next by W."""
    assert run_from(50, 7, text).state.position[:3] == end


def test_c_and_its_increment() -> None:
    """C is absolute, H counts from where it stands; both are degrees, whatever the unit."""
    done = run_from(50, 0, "G20\nG0 C90.\nH-30.")
    assert done.state.position.c == 60


def test_absolute_and_incremental_modes() -> None:
    """G90 and G91 hold until the other comes, and act in their own block."""
    text = "G91 G0 X-10. Z-2.\nX-10.\nG90 X5. Z1.\nG91\nZ1."
    assert path(run_from(50, 0, text, BY_MODE)) == ["rapid 40 -2", "rapid 30 -2", "rapid 5 1", "rapid 5 2"]


def test_motion_modes_live_on() -> None:
    """A block without a motion code moves as the one before, one without axis words not at all."""
    assert path(run_from(50, 0, "G1 X40.\nZ-5.\nM8\nG0\nX60.")) == ["feed 40 0", "feed 40 -5", "rapid 60 -5"]


def test_before_any_motion_code_a_move_is_rapid() -> None:
    """The reader takes the more dangerous one."""
    assert path(run_from(50, 0, "X40.")) == ["rapid 40 0"]


@pytest.mark.parametrize(("unit", "x"), [("G20", 25.4), ("G21", 1.0)])
def test_units(unit: str, x: float) -> None:
    """Lengths and feeds are those of the dialect's unit, and another unit than the machine's is said."""
    done = run_from(50, 0, f"{unit}\nG1 X1. F.01")
    assert done.state.position.x_dia == x
    assert done.state.feed == pytest.approx(x / 100)
    assert codes(done) == (["unit"] if unit == "G20" else [])


def test_home_by_increments_of_nothing() -> None:
    """G28 U0 W0 goes straight home with the axes it names."""
    done = run_from(50, -5, "G28 U0.\nG28 W0.")
    assert path(done) == ["rapid 400 -5", "rapid 400 300"]
    assert done.state.homed == {"x", "z"}
    assert all(m.machine for step in done.steps for m in step.motions)


def test_home_by_way_of_a_point() -> None:
    """G28 X0 passes X0 on the way, which a tool in front of the bar will notice."""
    assert path(run_from(50, -5, "G28 X0.")) == ["rapid 0 -5", "rapid 400 -5"]


def test_home_with_an_incremental_mode() -> None:
    """G91 G28 X0 is what G28 U0 is elsewhere."""
    assert path(run_from(50, -5, "G91 G28 X0. Z0.", BY_MODE)) == ["rapid 400 300"]


def test_home_with_bare_letters() -> None:
    """G28 A sends the slide home; the letter needs no number there."""
    done = run_from(50, -5, "G0 A-300.\nG28 A")
    assert done.state.position.slide == 0
    assert codes(done) == []


def test_home_of_no_axis_is_said() -> None:
    """G28 alone names nothing to send home."""
    done = run_from(50, -5, "G28")
    assert (path(done), codes(done)) == ([], ["not-understood"])


def test_moving_away_from_home() -> None:
    """An axis that moves is not at home any more; the others are."""
    done = run("G0 Z5.")
    assert done.state.homed == {"x", "y"}
    assert done.state.position == HOME._replace(z=5)


def test_machine_coordinates() -> None:
    """G53 X0 is home; the slide's coordinates are the machine's own; another X has no place in the program's frame."""
    done = run_from(50, -5, "G53 A-300.\nG53 X0.\nG53 X-10.")
    assert [m.end.x_dia for step in done.steps for m in step.motions] == [50, 400, None]
    assert done.state.position.slide == -300
    assert codes(done) == ["position-unknown"]


def test_machine_coordinates_hold_for_their_block_only() -> None:
    """The next block is in the offset again, and moves at the kind of motion in force."""
    assert path(run_from(50, -5, "G53 G0 X0.\nX60.")) == ["rapid 400 -5", "rapid 60 -5"]


def test_an_offset_changes_the_frame_of_z() -> None:
    """Under another offset nobody knows Z until it is worded, unless it stood at home; X is the same distance."""
    done = run_from(50, -5, "G55\nG0 X60.\nZ3.")
    assert path(done) == ["rapid 60 ?", "rapid 60 3"]
    assert [step.offset for step in done.steps] == ["right", "right", "right"]
    assert [step.changes_offset for step in done.steps] == [True, False, False]
    assert path(run("G55 G0 X60.")) == ["rapid 60 300"]


def test_the_same_offset_again_changes_nothing() -> None:
    """G54 under G54 keeps Z."""
    done = run_from(50, -5, "G54\nG0 X60.")
    assert path(done) == ["rapid 60 -5"]
    assert not done.steps[0].changes_offset


def test_a_code_that_is_not_understood_loses_the_position() -> None:
    """Axis words in a block with a strange G code may go anywhere: said, and X is unknown until it is worded."""
    done = run_from(50, -5, "G200 X10.\nG0 U1.\nX20.")
    assert path(done) == ["rapid ? -5", "rapid 20 -5"]
    assert codes(done) == ["position-unknown", "not-understood"]


def test_a_number_that_cannot_be_known_loses_the_position() -> None:
    """X of a variable that nobody sets: the block moves, nobody knows where to."""
    done = run_from(50, -5, "G0 X#500 Z2.\nX20.")
    assert path(done) == ["rapid ? 2", "rapid 20 2"]
    assert codes(done) == ["not-understood", "position-unknown"]
    assert "#500" in causes(done)


def test_an_axis_of_another_channel_is_said() -> None:
    """A channel without Y says so."""
    assert codes(run("G0 Y5.")) == []
    assert "no axis Y" in causes(run("G0 Y5.", replace(LATHE, own_axes=LATHE.own_axes - {"y"})))


def test_data_moves_nothing() -> None:
    """G10 with axis letters sets offsets, G50 with X the frame: nothing moves, and of G50 it is said."""
    assert path(run_from(50, 0, "G10 P1 X3. Z4.")) == []
    done = run_from(50, 0, "G50 X10.")
    assert (path(done), done.state.position.x_dia, codes(done)) == ([], 50, ["not-understood"])


def test_lowest_x_of_a_block() -> None:
    """Of all its motions, ends and arcs' bulges included: what says whether a channel is inside a zone."""
    [step] = run_from(50, -5, "G28 X10.").steps
    assert step.low_x == 10
    [step] = run_from(20, 0, "G3 X20. Z-20. R10.").steps
    assert (step.low_x, step.motions[0].high_x) == (20, 40)
