"""What is in force: feed, speed and its clamp, planes and arcs, dwell, threads, compensation, tools, waits."""

from __future__ import annotations

import pytest

from gemel.reading.run import Speed, Wait
from support.channels import causes, codes, path, run, run_from


def test_feed_lives_on_and_belongs_to_its_mode() -> None:
    """F holds until the next; a new feed mode forgets it, its own block's F is of the new mode."""
    done = run("G98 G1 X390. F100.\nX380.\nG99 X370. F.2\nG99 X360.\nG98 X350.\nX340. F50.")
    found = [(s.motions[0].feed, s.motions[0].feed_mode) for s in done.steps]
    assert found == [
        (100, "minute"),
        (100, "minute"),
        (0.2, "revolution"),
        (0.2, "revolution"),
        (None, "minute"),
        (50, "minute"),
    ]
    assert [(r.code, r.span.line) for r in done.remarks] == [("no-feed", 5)]


def test_a_missing_feed_is_said_once() -> None:
    """Until a feed comes; when one is forgotten, again. A rapid needs none, nor does a feed of nothing count."""
    done = run("G0 X390.\nG1 X380.\nX370.\nG99 F.1\nX360.\nG98\nX350.\nF0\nX340.")
    assert [(r.code, r.span.line) for r in done.remarks] == [("no-feed", 2), ("no-feed", 7)]


def test_rapids_carry_no_feed() -> None:
    """F in force does not make a rapid a feed move."""
    motion = run_from(50, 0, "G0 X40.").steps[0].motions[0]
    assert (motion.feed, motion.feed_mode, motion.cuts) == (None, "", False)


def test_speeds() -> None:
    """S is rpm or surface speed by the mode in force, its drive the one that starts; the clamp stays."""
    done = run("G50 S3000\nG96 S180 M3\nG97 S900\nM103\nM3 S500")
    assert [s.speed for s in done.steps] == [
        Speed("", None, surface=False, clamp_rpm=3000),
        Speed("left", 180, surface=True, clamp_rpm=3000),
        Speed("left", 900, surface=False, clamp_rpm=3000),
        Speed("tool", 900, surface=False, clamp_rpm=3000),
        Speed("left", 500, surface=False, clamp_rpm=3000),
    ]
    assert codes(done) == []


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("M3", ["no-speed"]),
        ("M3\nM5\nM3", ["no-speed"]),
        ("S500\nM3", []),
        ("G96 S100 M3", ["css-no-clamp"]),
        ("G96 S100 M3\nG50 S2000\nG96", ["css-no-clamp"]),
        ("G50 S2000\nG96 S100 M3", []),
        ("G50 S2000 M3", ["no-speed"]),
    ],
)
def test_speeds_that_are_missing(text: str, found: list[str]) -> None:
    """A spindle that starts without an S, constant surface speed without a clamp; a clamp is no speed."""
    assert codes(run(text)) == found


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("G4 X1.5", 1.5),
        ("G4 U.5", 0.5),
        ("G4 P250", 0.25),
        ("G4", 0),
        ("G4 X0.", 0),
    ],
)
def test_dwell(text: str, seconds: float) -> None:
    """X and U are seconds, P is milliseconds (common practice); X moves nothing there."""
    [step] = run_from(50, 0, text).steps
    assert (step.dwell_s, step.motions, step.remarks) == (seconds, (), ())


def test_no_time_is_less_than_nothing() -> None:
    """A dwell with a sign is said and takes no time."""
    [step] = run("G4 X-1.").steps
    assert step.dwell_s == 0
    assert "X has no use" in step.remarks[0].cause


@pytest.mark.parametrize(
    ("text", "centre", "sweep_deg", "clockwise"),
    [
        ("G3 X20. Z-10. I0. K-10.", (-10, 0), 90, False),
        ("G3 X20. Z-10. R10.", (-10, 0), 90, False),
        ("G3 X20. Z-10. K-10.", (-10, 0), 90, False),
        ("G2 X20. Z-10. R10.", (0, 10), 90, True),
        ("G2 X20. Z-10. I10. K0.", (0, 10), 90, True),
        ("G2 X20. Z-10. R-10.", (-10, 0), 270, True),
        ("G3 U20. W-10. R10.", (-10, 0), 90, False),
    ],
)
def test_arcs_of_the_turning_plane(
    text: str, centre: tuple[float, float], sweep_deg: float, clockwise: bool  # noqa: FBT001 # a column of the table
) -> None:  # fmt: skip
    """From X0 Z0, +Z right and +X up: centre as (Z, radius); I is a radius, whatever X is; increments name the end."""
    [motion] = run_from(0, 0, text).steps[0].motions
    assert motion.center == pytest.approx(centre, abs=1e-9)
    assert motion.sweep_deg == pytest.approx(sweep_deg)
    assert (motion.kind, motion.plane, motion.clockwise, motion.end[:3]) == ("arc", "zx", clockwise, (20, 0, -10))


@pytest.mark.parametrize(
    ("text", "centre", "plane"),
    [("G17 G3 X0. Y10. I-10. J0.", (0, 0), "xy"), ("G19 G2 Y5. Z-5. J5. K0.", (5, 0), "yz")],
)
def test_arcs_of_the_milling_planes(text: str, centre: tuple[float, float], plane: str) -> None:
    """X of the plane XY is halved: from X20 Y0 about the axis, the radius is 10, not 20."""
    done = run_from(20, 0, text)
    [motion] = done.steps[0].motions
    assert (motion.center, motion.plane) == (centre, plane)
    assert codes(done) == []


@pytest.mark.parametrize(
    ("text", "cause"),
    [
        ("G3 X20. Z-12. K-10.", "at the end"),
        ("G3 X50. Z0. R10.", "no centre"),
        ("G3 X0. Z0. R10.", "elsewhere"),
        ("G3 X20. Z-10.", "the centre is the start"),
    ],
)
def test_arcs_that_do_not_exist(text: str, cause: str) -> None:
    """Said with the figures; the motion then goes straight to its end."""
    done = run_from(0, 0, text)
    assert codes(done) == ["arc-radius"]
    assert cause in causes(done)
    assert done.steps[0].motions[0].center is None


def test_an_arc_within_the_tolerance() -> None:
    """0.019 mm between the radii is what posted programs carry; 0.021 is not."""
    assert codes(run_from(0, 0, "G3 X20. Z-10.019 K-10.")) == []
    assert codes(run_from(0, 0, "G3 X20. Z-10. K-9.97")) == ["arc-radius"]


def test_an_arc_from_nobody_knows_where() -> None:
    """Its bulge cannot be known; that it comes to X40 at its end is, and a zone may rest on that."""
    done = run_from(50, 0, "G55\nG3 X40. Z-5. R10.\nG3 X20. Z-15. R10.")
    first, second = (step.motions[0] for step in done.steps[1:])
    assert (first.low_x, first.center) == (40, None)
    assert second.low_x == 20


def test_threads() -> None:
    """G32 lives on; F is the lead, and the motion is one that cuts."""
    done = run_from(30, 2, "G32 Z-20. F1.5\nX32. Z-21.")
    assert path(done) == ["thread 30 -20", "thread 32 -21"]
    assert [m.feed for s in done.steps for m in s.motions] == [1.5, 1.5]
    assert all(m.cuts for s in done.steps for m in s.motions)
    assert codes(run_from(30, 2, "G32 Z-20. F1.5 Q90.")) == []


def test_compensation() -> None:
    """Nose-radius compensation is in force from its own block on; positions are those of the program."""
    done = run_from(50, 0, "G42 G1 X20.\nZ-5.\nG40 X50.")
    assert [s.compensation for s in done.steps] == ["right", "right", "off"]
    assert path(done) == ["feed 20 0", "feed 20 -5", "feed 50 -5"]


@pytest.mark.parametrize(
    ("text", "station", "found"),
    [
        ("T0101", 1, []),
        ("T101", 1, []),
        ("T0112", 1, []),
        ("T1200", 12, []),
        ("T1301", 13, ["tool-unknown"]),
        ("T0", 0, ["tool-unknown"]),
        ("T-101", 1, ["tool-unknown"]),
        ("T101.5", 1, ["tool-unknown"]),
    ],
)
def test_tools(text: str, station: int, found: list[str]) -> None:
    """Station and offset are in one number; a station that holds nothing, and a number that is none, is said."""
    [step] = run(text).steps
    assert step.tool is not None
    assert (step.tool.station, codes(run(text))) == (station, found)
    assert (step.tool.tool is None) == (station not in range(1, 13))


@pytest.mark.parametrize(
    ("text", "wait"),
    [
        ("M701", Wait(701, None)),
        ("m 7 0 1", Wait(701, None)),
        ("M0701", Wait(701, None)),
        ("M700", Wait(700, None)),
        ("M701 P12", Wait(701, frozenset({"upper", "lower"}))),
        ("M701 P3", Wait(701, frozenset({"rear"}))),
        ("G0 X390. M799", Wait(799, None)),
        ("M800", None),
        ("M701.5", None),
    ],
)
def test_waits(text: str, wait: Wait | None) -> None:
    """A number that the control takes as a wait, with the channels it names; others are codes not understood."""
    [step] = run(text).steps
    assert step.wait == wait
    assert (codes(run(text)) == ["not-understood"]) == (wait is None)


def test_functions_before_and_behind_the_motion() -> None:
    """What stops or takes in acts when its block has moved; the order of the words changes nothing."""
    for text in ("M8 M5 G0 X390.", "G0 X390. M5 M8"):
        [step] = run(text).steps
        assert [f.state for f in step.functions] == ["on"]
        assert [f.state for f in step.late] == ["stop"]


def test_a_run_ends() -> None:
    """By M30, by M99, or by the end of the text, which is another matter."""
    assert [run(text).ending for text in ("M30\nM3", "M99\nM3", "G0 X1.", "")] == ["end", "repeat", "text", "text"]


def test_skipped_blocks() -> None:
    """With the switch on, `/` blocks are left out, whatever their level; else each is marked."""
    text = "/G0 X390.\n/2 X380.\nG0 Z5.\nN5/X370."
    assert [s.block.line for s in run(text, skip=True).steps] == [3]
    assert [s.skippable for s in run(text).steps] == [True, True, False, True]


def test_spelling_of_blocks_that_do_nothing() -> None:
    """An unclosed comment and a strange character are said of lines without a word, too."""
    assert codes(run("(OPEN\n(~)\nO1 (A\n")) == ["comment", "comment"]
    assert codes(run("~")) == ["character", "not-understood"]
