"""Toolpaths of every operation of the demo families: safe ends, origins, depths, and published values."""

from __future__ import annotations

from dataclasses import fields
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gemel.documents import compose, validate
from gemel.families.load import load_catalogues, load_family
from gemel.families.resolve import jobs_of, resolve
from gemel.findings import Findings
from gemel.machines.schema import Machine
from gemel.numbers import Number, leaves
from gemel.operations import PROCESSES, toolpath
from gemel.operations.steps import (
    Arc,
    Drill,
    Feed,
    Function,
    Home,
    Rapid,
    SlideMove,
    SpeedLimit,
    SpindleStart,
    Step,
    Tap,
    ThreadPass,
    ToolDrive,
    ToolpathState,
)

if TYPE_CHECKING:
    from gemel.families.part import Job

ROOT = Path(__file__).parents[2]
FAMILIES = sorted(file.stem for file in (ROOT / "families").glob("*.yaml"))


def _text(name: str) -> str:
    return (ROOT / name).read_text(encoding="utf-8")


@cache
def jobs(family: str, machine: str = "twin-turnmill") -> list[Job]:
    """Every job of every member, but those whose body is posted from elsewhere."""
    facts = validate(Machine, compose(_text(f"templates/{machine}/machine.yaml"), "machine.yaml"))
    catalogues = load_catalogues((_text("templates/tools.yaml"), "tools"), (_text("templates/materials.yaml"), "mats"))
    loaded = load_family(_text(f"families/{family}.yaml"), f"{family}.yaml", facts, catalogues)
    parts = [resolve(loaded, member) for member in loaded.members()]
    found = [job for part in parts for job in jobs_of(loaded, part).values()]
    return [job for job in found if getattr(job.operation, "body", None) is None]


def job(family: str, member: str, name: str) -> Job:
    return next(j for j in jobs(family) if j.part.member == member and j.id == name)


def spoiled(family: str, old: str, new: str, member: str, name: str) -> list[Step]:
    """The toolpath of one operation of a family whose text was changed."""
    facts = validate(Machine, compose(_text("templates/twin-turnmill/machine.yaml"), "machine.yaml"))
    catalogues = load_catalogues((_text("templates/tools.yaml"), "tools"), (_text("templates/materials.yaml"), "mats"))
    text = _text(f"families/{family}.yaml")
    assert old in text
    loaded = load_family(text.replace(old, new), "f.yaml", facts, catalogues)
    part = resolve(loaded, member)
    return toolpath(jobs_of(loaded, part)[name])


def numbers_of(step: Step) -> list[float]:
    values = [getattr(step, field.name) for field in fields(step)]
    return [value for value in values if isinstance(value, float)]


@pytest.mark.parametrize("machine", ["twin-turnmill", "inch-duplex"])
@pytest.mark.parametrize("family", FAMILIES)
def test_every_number_of_a_step_knows_where_it_came_from(family: str, machine: str) -> None:
    """No number reaches a program without a scalar of the YAML or a named rule behind it."""
    for one in jobs(family, machine):
        for step in toolpath(one):
            for value in numbers_of(step):
                assert isinstance(value, Number), (one.id, step)
                assert leaves(value), (one.id, step)


def test_the_demo_uses_nearly_every_process() -> None:
    """The shop shows the processes that it offers, but for five."""
    used = {one.operation.process for family in FAMILIES for one in jobs(family)}
    unused = set(PROCESSES) - used
    assert unused <= {
        "face_groove",
        "internal_thread",
        "bolt_circle_tap",
        "spot_axial",
        "rough_turn",
    }  # rough_turn: one body is posted


@pytest.mark.parametrize("family", FAMILIES)
def test_operations_begin_and_end_safe_and_state_everything_again(family: str) -> None:
    """State before the first move; at the end X stands at the clearance or the channel is home, drives stopped."""
    for one in jobs(family):
        steps = toolpath(one)
        kinds = [step.kind for step in steps]
        first_move = next((i for i, k in enumerate(kinds) if k in ("rapid", "feed", "slide")), len(kinds))
        assert "state" in kinds[:first_move], one.id
        for place, step in enumerate(steps):
            if isinstance(step, ToolDrive):
                assert Function("drive.stop") in steps[place:], one.id
            if isinstance(step, SpindleStart) and one.operation.process != "take_over":
                assert Function(f"spindle.{step.spindle}.stop") in steps[place:], one.id
        moves = [
            step for step in steps if (isinstance(step, Rapid | Feed) and step.x is not None) or isinstance(step, Home)
        ]
        last = moves[-1]
        assert isinstance(last, Home) or (last.x is not None and last.x >= one.clearance_mm), one.id


@pytest.mark.parametrize("family", FAMILIES)
def test_surface_speed_is_clamped_before_it_is_switched_on(family: str) -> None:
    """Common practice, no source: constant surface speed without a clamp runs away towards the centre."""
    for one in jobs(family):
        steps = toolpath(one)
        for place, step in enumerate(steps):
            if isinstance(step, SpindleStart) and step.surface_m_min is not None:
                assert any(isinstance(before, SpeedLimit) for before in steps[:place])


def test_flats_go_down_in_equal_steps_to_the_middle_of_the_tolerance() -> None:
    """15 h9 ends at X14.9785; no step down is deeper than the depth of pass; the finish leaves 0.2 a side."""
    steps = toolpath(job("port-block", "35", "mill-flats"))
    levels = list(dict.fromkeys(float(s.x) for s in steps if isinstance(s, Rapid) and s.x is not None and s.x < 25))
    assert levels[-1] == pytest.approx(14.9785)
    assert levels[-2] - levels[-1] == pytest.approx(0.4)
    downs = [(a - b) / 2 for a, b in pairwise([25.0, *levels])]
    assert max(downs) <= 2.5 + 1e-9
    assert sum(downs) == pytest.approx((25 - 14.9785) / 2)


def test_rows_of_a_flat_leave_the_stock_by_the_cutter() -> None:
    """Half the chord 2 sqrt(2 r h - h^2) (geometry tables: r 12.5, h 2.5 gives 15.0), the cutter's radius and 2 mm."""
    steps = spoiled("port-block", "{depth: 2.5}", "{depth: 2.5, width: 7}", "35", "mill-flats")
    level = next(i for i, s in enumerate(steps) if isinstance(s, Rapid) and s.x is not None and s.x < 25)
    x = float(getattr(steps[level], "x", 0.0))
    h = (25 - x) / 2
    chord = 2 * (2 * 12.5 * h - h * h) ** 0.5
    row = steps[level + 1]
    assert isinstance(row, Feed)
    assert abs(row.y or 0) == pytest.approx(chord / 2 + 6 + 2)


def test_thread_passes_take_equal_areas_and_end_at_the_root() -> None:
    """M8: d3 6.466 (ISO 724), infeed d sqrt(i / N), one spring pass at full depth, feed 1.25 a revolution."""
    steps = toolpath(job("valve-stem", "60", "cut-thread"))
    passes = [i for i, s in enumerate(steps) if isinstance(s, ThreadPass)]
    depths = [(8 - float(steps[i - 1].x)) / 2 for i in passes]  # type: ignore[union-attr, arg-type]
    assert 8 - 2 * depths[-1] == pytest.approx(6.466, abs=0.001)
    assert depths[-1] == depths[-2]
    cutting = depths[:-1]
    areas = [b * b - a * a for a, b in pairwise([0.0, *cutting])]
    assert max(areas) == pytest.approx(min(areas))
    assert {float(s.lead) for s in steps if isinstance(s, ThreadPass)} == {1.25}


def test_a_drill_goes_deeper_by_its_point() -> None:
    """A 140 degree point is 0.1820 D long (published factor); the gallery of member 20 is 16 deep: Z-17.092."""
    drill = next(s for s in toolpath(job("port-block", "20", "drill-gallery")) if isinstance(s, Drill))
    assert drill.depth == pytest.approx(-(16 + 0.1820 * 6), abs=0.001)


def test_a_tap_feeds_its_pitch() -> None:
    """M5 taps 0.8 a revolution, along X to twice the thread's depth below the flat (X is a diameter)."""
    tap = next(s for s in toolpath(job("port-block", "35", "tap-ports")) if isinstance(s, Tap))
    assert tap.pitch == pytest.approx(0.8)
    assert tap.depth == pytest.approx(14.9785 - 2 * 6)


def test_the_cut_off_passes_the_centre_slowly() -> None:
    """The blade ends behind the centre, at half the feed below the diameter where it slows down."""
    cuts = [s for s in toolpath(job("port-block", "20", "cut-off")) if isinstance(s, Feed)]
    assert float(cuts[-1].x or 0) == pytest.approx(-0.4)
    assert float(cuts[-1].feed or 0) == pytest.approx(float(cuts[-2].feed or 0) / 2)


def test_a_pulled_bar_is_cut_off_where_it_then_stands() -> None:
    """Pull = length + back stock + blade + front stock; the blade's left corner then stands at the front stock."""
    pull = [s for s in toolpath(job("valve-stem", "60", "pull-bar")) if isinstance(s, SlideMove)]
    assert float(pull[0].position) == pytest.approx(-480 + 60 + 0.3 + 2 + 0.5)
    z = [float(s.z) for s in toolpath(job("valve-stem", "60", "cut-off")) if isinstance(s, Rapid) and s.z is not None]
    assert z[0] == pytest.approx(0.5)


def test_the_chamfer_on_the_second_side_allows_for_the_nose() -> None:
    """The path lies r (1 - tan 22.5 deg) = 0.5857864 r further in than the drawn chamfer (published value)."""
    one = job("port-block", "35", "chamfer-back")
    cut = next(s for s in toolpath(one) if isinstance(s, Feed))
    outer = 14.9785 * 2**0.5
    # On the path X / 2 + Z is constant: half the diameter less chamfer and shift.
    assert float(cut.x or 0) / 2 + float(cut.z or 0) == pytest.approx(outer / 2 - 0.5 - 0.5857864 * 0.4, abs=1e-4)


def test_a_fillet_runs_clockwise_and_a_rounding_does_not() -> None:
    """Seen with +X up and +Z to the right; a quarter from X0 Z0 to X20 Z-10 about X0 Z-10 is counter-clockwise."""
    arcs = [s for s in toolpath(job("valve-stem", "60", "finish-stem")) if isinstance(s, Arc)]
    assert [(arc.clockwise, float(arc.radius)) for arc in arcs] == [(True, 0.5)]
    steps = spoiled("valve-stem", "to: tip_length, chamfer: 0.5", "to: tip_length, radius: 0.5", "60", "finish-stem")
    assert [arc.clockwise for arc in steps if isinstance(arc, Arc)] == [False, True]


def test_the_plane_follows_the_tool() -> None:
    """Turning in zx, radial tools in yz, axial milling in xy."""
    planes = {
        one.operation.process: next(s.plane for s in toolpath(one) if isinstance(s, ToolpathState))
        for family in FAMILIES
        for one in jobs(family)
    }
    assert planes["face"] == planes["bore"] == "zx"
    assert planes["mill_flats"] == planes["tap_cross"] == planes["mill_slot"] == "yz"
    assert planes["bolt_circle_drill"] == "xy"


IMPOSSIBLE = [
    ("valve-stem", "width: ring_width", "width: 1.8", "60", "cut-ring", "tool-does-not-fit", "wider than the groove"),
    ("valve-stem", "fillet: 0.5", "fillet: 0.3", "60", "finish-stem", "tool-does-not-fit", "corner"),
    ("valve-stem", "{diameter: tip, to", "{diameter: 9, to", "60", "finish-stem", "impossible", "falls"),
    ("valve-stem", "head: 16", "head: 18", "60", "finish-stem", "impossible", "larger than the bar"),
    (
        "valve-stem",
        "wrench: {size: 13, tolerance: h11}",
        "wrench: 17",
        "60",
        "mill-wrench",
        "impossible",
        "leave nothing",
    ),
    (
        "valve-stem",
        "to: shoulder + 11",
        "to: shoulder + 7",
        "60",
        "mill-wrench",
        "tool-does-not-fit",
        "wider than the flat",
    ),
    (
        "sensor-collar",
        "{size: 5, tolerance: +0.2 +0.05}",
        "3.5",
        "16",
        "mill-mark",
        "tool-does-not-fit",
        "wider than the slot",
    ),
    ("sensor-collar", "circle: 27\n", "circle: 34\n", "16", "drill-circle", "impossible", "reach out"),
    ("sensor-collar", "predrilled: 18", "predrilled: 14", "16", "bore-out", "tool-does-not-fit", "enters holes"),
    ("port-block", "drill_depth: 8.5", "drill_depth: 6.5", "20", "tap-ports", "impossible", "run-out"),
    (
        "port-block",
        "across: {size: 15, tolerance: h9}",
        "across: 18.5",
        "20",
        "break-edges",
        "impossible",
        "do not meet",
    ),
    ("port-block", "corner: 0.4 ", "corner: 4.4 ", "20", "break-edges", "tool-does-not-fit", "flank"),
]


@pytest.mark.parametrize(("family", "old", "new", "member", "name", "code", "words"), IMPOSSIBLE)
def test_what_cannot_be_made_is_said(
    family: str, old: str, new: str, member: str, name: str, code: str, words: str
) -> None:
    """Each contradiction is a finding that names the operation, the sizes and their place."""
    with pytest.raises(Findings) as caught:
        spoiled(family, old, new, member, name)
    [finding] = caught.value.findings
    assert finding.code == code
    assert words in finding.cause
    assert finding.cause.startswith(name)
    assert finding.labels[0].span.line > 0


@settings(max_examples=40, deadline=None)
@given(count=st.integers(1, 8), across=st.floats(12, 24), angle=st.floats(-90, 90), depth=st.floats(0.5, 4))
def test_any_flats_end_on_their_size_and_never_below(count: int, across: float, angle: float, depth: float) -> None:
    """Whatever the number, angle and depth of pass, the lowest X is the size, and every angle is met once."""
    steps = spoiled(
        "port-block",
        "body: {kind: square, across: across, from: 0,",
        f"body: {{kind: flats, count: {count}, across: {across!r}, angle: {angle!r}, from: 0,",
        "20",
        "mill-flats",
    )
    assert depth > 0
    lowest = min(float(s.x) for s in steps if isinstance(s, Rapid) and s.x is not None)
    assert lowest == pytest.approx(across)
    angles = [float(s.c) for s in steps if isinstance(s, Rapid) and s.c is not None]
    assert angles == pytest.approx([angle + i * 360 / count for i in range(count)])
