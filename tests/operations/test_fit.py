"""Tools that do not fit, holes of another size, and rooms that are too small: refused, with the sizes that clash."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest

from gemel.families.resolve import jobs_of, resolve
from gemel.findings import Findings
from gemel.operations import toolpath
from gemel.operations.steps import Drill, Dwell, Feed, Rapid, SlideMove, SpindleStart, Step, Tap, ToolDrive
from support.demo_family import demo_family

BLOCK, COLLAR, COUPLING, STEM = "port-block", "sensor-collar", "hex-coupling", "valve-stem"
SPOT = "{feature: gallery, process: spot_axial, channel: lower, spindle: left, tool: axial-spot-16}"


def steps(family: str, member: str, operation: str, *changes: tuple[str, str]) -> list[Step]:
    """The toolpath of one operation of a demo family with pieces of its text replaced."""
    loaded = demo_family(family, *changes)
    return toolpath(jobs_of(loaded, resolve(loaded, member))[operation])


CASES = [
    (BLOCK, "20", "drill-ports", ('upper: {"5": drill-4.2', 'upper: {"5": drill-5'), "wants 4.2"),
    (BLOCK, "20", "drill-gallery", ('lower: {"9": axial-drill-6}', 'lower: {"9": axial-drill-8}'), "wants 6"),
    (BLOCK, "20", "mill-flats", ("across: {size: 15, tolerance: h9}", "across: 18"), "stay round"),
    (BLOCK, "20", "cut-off", ("stick_out: length + 15", "stick_out: length + 4"), "chuck stands at Z"),
    (BLOCK, "20", "take-block", ("grip: 12", "grip: 19"), "no room for the blade"),
    (COLLAR, "16", "drill-bore", ("predrilled: 18", "predrilled: 16"), "predrilled to 16"),
    (COLLAR, "16", "drill-circle", ("circle: circle, diameter: 3.3", "circle: circle, diameter: 2.5"), "wants 2.5"),
    (COLLAR, "16", "tap-clamp-m4", ("thread: clamp,", "thread: clamp, hand: left,"), "left-hand"),
    (COLLAR, "16", "mill-mark", ("slot_depth: 2.5", "slot_depth: 12"), "12 deep"),
    (COUPLING, "30", "mill-hexagon", ("across: {size: 19, tolerance: h11}", "across: 22"), "stay round"),
    (COUPLING, "30", "tap-front", ("drill_depth: thread_depth + 4", "drill_depth: thread_depth + 1"), "run-out"),
    (BLOCK, "20", "mill-flats", ("{depth: 2.5}", "{depth: 0.001}"), "are 4811 passes"),
    (BLOCK, "20", "mill-flats", ("{depth: 2.5}", "{depth: 0.05, width: 0.1}"), "more than a program holds"),
    (BLOCK, "20", "spot-ports", ("count: ports}\n", "count: 999}\n    angle: {count: 99}\n"), "more than a program"),
    (STEM, "75", "cut-thread", ("spring_passes: 1", "first_depth: 0.00001"), "more than a program holds"),
    (STEM, "75", "finish-stem", ("chamfer: 0.4}\n  relief", "chamfer: 2.6}\n  relief"), "shoulder"),
]  # fmt: skip


def _changes(operation: str, change: tuple[str, str]) -> list[tuple[str, str]]:
    """A tool is exchanged in its station and in the operation alike."""
    old, new = (text.rpartition(": ")[2].strip("}") for text in change)
    tool = [(f"tool: {old}", f"tool: {new}")] if "drill-" in old and operation.startswith("drill") else []
    return [change, *tool]


@pytest.mark.parametrize(("family", "member", "operation", "change", "words"), CASES, ids=lambda v: str(v)[:18])
def test_what_does_not_fit_is_refused(
    family: str, member: str, operation: str, change: tuple[str, str], words: str
) -> None:
    """One finding for the operation, with its place and the sizes that clash."""
    steps(family, member, operation)
    with pytest.raises(Findings) as caught:
        steps(family, member, operation, *_changes(operation, change))
    [finding] = caught.value.findings
    assert finding.rule == "operation"
    assert words in finding.cause
    assert finding.labels[0].span.line > 0


def test_round_corners_are_allowed_where_the_family_says_so() -> None:
    """`corners: round` mills the hexagon that is sharper than its bar."""
    sharp = ("across: {size: 19, tolerance: h11}", "across: 22")
    assert steps(COUPLING, "30", "mill-hexagon", sharp, ("kind: hexagon,", "kind: hexagon, corners: round,"))


def test_a_smaller_drill_may_go_first() -> None:
    """A drill that is smaller than the hole is a pilot, not a mistake."""
    smaller = ('lower: {"9": axial-drill-6}', 'lower: {"9": axial-drill-5}')
    assert steps(BLOCK, "20", "drill-gallery", smaller, ("tool: axial-drill-6", "tool: axial-drill-5"))


def _tapped(family: str, member: str, operation: str, hand: str) -> tuple[list[str], list[tuple[bool, bool]]]:
    """Directions that a tapping operation starts, and whether its cycles are left-hand and driven."""
    loaded = demo_family(family, ("thread: clamp,", f"thread: clamp, hand: {hand},")) if family == COLLAR else None
    loaded = loaded or demo_family(family, ("thread: G1/8, depth", f"thread: G1/8, hand: {hand}, depth"))
    job = jobs_of(loaded, resolve(loaded, member))[operation]
    path = toolpath(replace(job, tool=job.tool.model_copy(update={"hand": hand})))
    started = [s.direction for s in path if isinstance(s, SpindleStart | ToolDrive)]
    return list(started), [(s.left_hand, s.driven) for s in path if isinstance(s, Tap)]


def test_a_left_hand_tap_goes_in_backwards() -> None:
    """Tool or work starts in reverse, and the cycle knows that the thread is left-hand."""
    assert _tapped(COLLAR, "16", "tap-clamp-m4", "right") == (["forward"], [(False, True)])
    assert _tapped(COLLAR, "16", "tap-clamp-m4", "left") == (["reverse"], [(True, True)])
    assert _tapped(COUPLING, "30", "tap-front", "left") == (["reverse"], [(True, False)])


def test_a_tap_feeds_its_pitch_times_whole_revolutions() -> None:
    """The control turns the whole number that S says; speed and feed must agree to the last digit."""
    for family, member, operation in ((COLLAR, "24", "tap-clamp-m5"), (BLOCK, "35", "tap-ports")):
        path = steps(family, member, operation)
        [drive] = [s for s in path if isinstance(s, ToolDrive)]
        tap = next(s for s in path if isinstance(s, Tap))
        assert float(drive.rpm) == round(drive.rpm) == float(tap.rpm)
    [start] = [s for s in steps(COUPLING, "30", "tap-front") if isinstance(s, SpindleStart)]
    assert start.rpm is not None
    assert float(start.rpm) == round(start.rpm)


def test_the_slide_feeds_over_the_whole_part() -> None:
    """It stops `approach` before the part's end and comes to the grip, 12 further on, under feed."""
    first, second = (s for s in steps(BLOCK, "35", "take-block") if isinstance(s, SlideMove))
    assert float(first.position - second.position) == pytest.approx(12 + 5)
    assert first.feed is None
    assert second.feed is not None


def test_the_turret_turns_away_from_the_chuck() -> None:
    """Behind a turning operation the turret draws back along Z, at the clearance; the blade when the slide is gone."""
    drilled = steps(BLOCK, "35", "drill-gallery")
    away = [s for s in drilled if isinstance(s, Rapid)][-2:]
    assert [(s.x, s.z) for s in away] == [(120, None), (None, 100)]
    cut = steps(BLOCK, "35", "cut-off")
    assert isinstance(cut[-2], SlideMove)
    assert cut[-1] == Rapid(z=100)


def test_a_cone_on_the_axis_leaves_its_mouth() -> None:
    """A 90 degree cone is as deep as half its mouth: 6 H11 (middle 6.0375) with chamfers of 0.5 goes 3.51875."""
    changes = [
        ("depth: length - 4}", "depth: length - 4, chamfer: 0.5}"),
        ('lower: {"9": axial-drill-6}', 'lower: {"9": axial-drill-6, "10": axial-spot-16}'),
        ("  drill-gallery:\n", f"  spot-gallery: {SPOT}\n  drill-gallery:\n"),
        ("face-front, drill-gallery", "face-front, spot-gallery, drill-gallery"),
    ]  # fmt: skip
    path = steps(BLOCK, "20", "spot-gallery", *changes)
    [cut] = [s for s in path if isinstance(s, Feed)]
    assert float(cut.z or 0) == pytest.approx(-3.51875)
    assert isinstance(path[path.index(cut) + 1], Dwell)
    with pytest.raises(Findings, match="larger than the tool"):
        steps(BLOCK, "20", "spot-gallery", *changes, ("chamfer: 0.5}", "chamfer: 6}"))


def test_the_chamfer_of_a_bore_allows_for_the_nose() -> None:
    """The path lies r (1 - tan 22.5 deg) = 0.5857864 r deeper than the drawn chamfer (published value)."""
    path = steps(COLLAR, "16", "bore-out")
    [cut] = [s for s in path if isinstance(s, Feed) and s.x is not None and s.z is not None]
    assert float(cut.z or 0) == pytest.approx(-(0.4 + 0.5857864 * 0.4), abs=1e-6)


def _rows(width: float, depth: float = 2.5) -> tuple[list[float], list[float]]:
    """Offsets from the middle that the first and the last level of a slot run along, cutter 4."""
    changes = [
        ("slot: {size: 5, tolerance: +0.2 +0.05}", f"slot: {width}"),
        ("slot_depth: 2.5", f"slot_depth: {depth}"),
    ]
    levels: list[list[float]] = []
    for step in steps(COLLAR, "16", "mill-mark", *changes):
        if isinstance(step, Rapid) and step.x is not None and step.x < 34:
            levels.append([])
        elif levels and isinstance(step, Feed) and step.y is not None and step.y >= 0:
            levels[-1].append(float(step.y))
    return levels[0], levels[-1]


def test_a_wide_slot_is_cut_in_steps_no_wider_than_the_cutter() -> None:
    """From the middle outwards every row overlaps the one before, the last one is the wall, nothing is left between."""
    first, last = _rows(18)
    offsets = [0.0, *first[:-1]]
    assert all(0 < after - before <= 0.6 * 4 + 1e-9 for before, after in pairwise(offsets))
    assert last[-2] == pytest.approx((18 - 4) / 2)
    assert first[-2] == pytest.approx((18 - 4) / 2 - 0.1), "the walls keep their allowance until the last level"


def test_a_slot_as_wide_as_the_cutter_is_one_row() -> None:
    """No step to the side where there is no room for one."""
    assert _rows(4) == ([], [])


def test_a_groove_keeps_its_allowance_on_walls_and_bottom() -> None:
    """Plunges stay 0.05 off both walls and the bottom; the last pass runs down, along and up (blade 2, groove 2.4)."""
    path = steps(STEM, "75", "cut-ring")
    z: float = math.nan
    plunges = []
    for step in path:
        if isinstance(step, Rapid | Feed) and step.z is not None:
            z = float(step.z)
        if isinstance(step, Feed) and step.x is not None and step.z is None:
            plunges.append((round(z, 6), round(float(step.x), 3)))
    near, far = -(12 + 14 + 5 + 2), -(12 + 14 + 5 + 2.4)
    assert plunges == [(far + 0.05, 7.282), (near - 0.05, 7.282), (far, 7.182), (near, 9.969)]


def test_roughing_stops_before_a_cone() -> None:
    """On a cone from 8 to 14 over 20 mm a pass on X 11 ends half way (similar triangles)."""
    cone = (
        "- {diameter: seal, to: shoulder, chamfer: 0.6, fillet: 0.5}",
        "- {diameter: 8, taper_to: 14, to: shoulder}",
    )
    path = steps(STEM, "75", "rough-stem", cone, ("thread: {kind: thread", "thread: {kind: thread"))
    start, length = 26.0, 24.0
    lowest: dict[float, float] = {}
    x = math.nan
    for step in path:
        if isinstance(step, Rapid) and step.x is not None:
            x = float(step.x)
        if isinstance(step, Feed) and step.x is None and step.z is not None:
            lowest[x] = min(lowest.get(x, 0.0), float(step.z))
    inside = {x: z for x, z in lowest.items() if 8.5 < x < 14.5}
    assert inside
    for x, z in inside.items():
        assert z == pytest.approx(-(start + length * (x - 0.5 - 8) / 6) + 0.1, abs=1e-6)


def test_drills_on_a_circle_keep_their_depth() -> None:
    """The point of a 140 degree drill of 3.3 stands 0.6 behind a depth of 8 (0.1820 D, published factor)."""
    drill = next(s for s in steps(COLLAR, "16", "drill-circle") if isinstance(s, Drill))
    assert drill.depth == pytest.approx(-(8 + 0.1820 * 3.3), abs=0.001)
