"""Toolpaths measured again from the text, with shapely: what the cutters leave, and where they go.

Only the text is cut with; sizes of tools come from the catalogue as plain YAML, wanted sizes from the family.
"""

from __future__ import annotations

import math
from functools import cache
from itertools import pairwise
from typing import Any, NamedTuple

import pytest
from ruamel.yaml import YAML
from shapely import affinity
from shapely.geometry import LineString, Polygon, box
from shapely.geometry import Point as Spot

from gemel.families.features import Bar, FeatureFace, Flats, Groove, ThreadFeature, Turned
from gemel.families.processes import MillFlats, RoughTurn
from gemel.families.threads import thread
from support.demo import IDS, ROOT, Demo, demo, names
from support.outside import CUTS, Block, Point, Reader, Section, facts, sections

Name = tuple[str, str, str]
DIGIT_MM = {"mm": 0.0005, "inch": 0.00005 * 25.4}
"""Half of the last digit that the programs write."""


@cache
def _tools() -> dict[str, dict[str, Any]]:
    text = (ROOT / "templates/tools.yaml").read_text(encoding="utf-8")
    tools: dict[str, dict[str, Any]] = YAML(typ="safe", pure=True).load(text)["tools"]
    return tools


@cache
def _sections(name: Name, channel: str) -> list[Section]:
    return sections(Reader(name[0], channel).read(demo(*name).texts[channel]))


def _digit(name: Name) -> float:
    return DIGIT_MM[facts(name[0])["unit"]]


def _of(made: Demo, kind: str) -> list[tuple[str, Section]]:
    """Operations of a process, each with its section of the text: the next one of its stage with its tool's call."""
    found = []
    for stage in made.part.stages:
        for channel, work in stage.work.items():
            rest = [s for s in _sections((made.machine, made.family, made.member), channel) if s.stage == stage.number]
            for operation in work:
                tool = made.part.operations[operation].tool
                place = next((i for i, s in enumerate(rest) if s.tool == _call(made, channel, tool)), None)
                if place is None:
                    continue
                section, rest = rest[place], rest[place + 1 :]
                if made.part.operations[operation].process == kind:
                    found.append((operation, section))
    return found


def _call(made: Demo, channel: str, tool: str) -> str:
    own = facts(made.machine)["channels"][channel]
    station = next(name for name, held in made.part.stations[channel].items() if held == tool)
    listed = own["stations"].get(station)
    call: str = listed["call"] if listed else own["more"]["call"].format(n=int(station))
    return call


def _with(kind: str) -> pytest.MarkDecorator:
    """Every demo pair that has an operation of a process."""
    chosen = [name for name in names() if any(_has(name, kind))]
    return pytest.mark.parametrize("name", chosen, ids=["-".join(name) for name in chosen])


def _has(name: Name, kind: str) -> list[bool]:
    text = (ROOT / f"families/{name[1]}.yaml").read_text(encoding="utf-8")
    return [o["process"] == kind for o in YAML(typ="safe", pure=True).load(text)["operations"].values()]


class _Known(NamedTuple):
    x: float
    y: float
    z: float
    c: float


def _known(point: Point) -> _Known:
    """The point, all of it known."""
    assert None not in point
    return _Known(*(float(value) for value in point if value is not None))


def _swept(section: Section, z: float, cutter: float, stock: float) -> Polygon:
    """What is left of round stock in the section at `z` when the end of a radial cutter has made its feed moves."""
    left = Spot(0, 0).buffer(stock / 2, quad_segs=256)
    for block in section.blocks:
        if block.mode != "feed":
            continue
        start, end = _known(block.start), _known(block.end)
        # The end face of the cutter is a disc in the plane of Y and Z; the section cuts it in a chord.
        away = abs(z - end.z)
        if away >= cutter / 2 or start.x != end.x or start.z != end.z:
            continue
        half = math.sqrt(cutter**2 / 4 - away**2)
        gone = box(end.x / 2, min(start.y, end.y) - half, stock, max(start.y, end.y) + half)
        left = left.difference(affinity.rotate(gone, end.c, origin=(0, 0)))
    return left


@_with("mill_flats")
def test_flats_measure_across_what_the_family_wants(name: Name) -> None:
    """Across, in sections at start, middle and end of all flats: within 0.001 mm, or half a last digit."""
    made = demo(*name)
    close = max(0.001, _digit(name))
    for operation, section in _of(made, "mill_flats"):
        work = made.part.operations[operation]
        assert isinstance(work, MillFlats)
        flats = made.part.features[work.feature]
        assert isinstance(flats, Flats)
        stock = float(made.part.stock.round_mm)
        cutter = float(_tools()[work.tool]["diameter"])
        for share in (0.02, 0.5, 0.98):
            z = -float(flats.from_mm + (flats.to_mm - flats.from_mm) * share)
            left = _swept(section, z, cutter, stock)
            for angle in flats.angles():
                turned = affinity.rotate(left, -float(angle), origin=(0, 0))
                assert turned.bounds[2] == pytest.approx(float(flats.across_mm) / 2, abs=close / 2), (
                    operation,
                    z,
                    angle,
                )
            if round(flats.count) % 2 == 0:
                width = turned.bounds[2] - turned.bounds[0]
                assert width == pytest.approx(float(flats.across_mm), abs=close), (operation, z)


@_with("mill_flats")
def test_flats_leave_the_area_that_geometry_gives(name: Name) -> None:
    """The section's area equals that of the stock cut by half planes at the wanted distance (no chord is missed)."""
    made = demo(*name)
    for operation, section in _of(made, "mill_flats"):
        flats = made.part.features[made.part.operations[operation].feature]
        assert isinstance(flats, Flats)
        stock = float(made.part.stock.round_mm)
        z = -float(flats.from_mm + flats.to_mm) / 2
        wanted = Spot(0, 0).buffer(stock / 2, quad_segs=256)
        for angle in flats.angles():
            outside = box(float(flats.across_mm) / 2, -stock, stock, stock)
            wanted = wanted.difference(affinity.rotate(outside, float(angle), origin=(0, 0)))
        left = _swept(section, z, float(_tools()[made.part.operations[operation].tool]["diameter"]), stock)
        assert left.area == pytest.approx(wanted.area, abs=0.05)


@_with("mill_flats")
def test_cutters_enter_and_leave_clear_of_the_stock(name: Name) -> None:
    """At both ends of every row, the cutter's edge is outside the round stock; no rapid goes through it."""
    made = demo(*name)
    for operation, section in _of(made, "mill_flats"):
        radius = float(_tools()[made.part.operations[operation].tool]["diameter"]) / 2
        stock = float(made.part.stock.round_mm)
        for block in section.blocks:
            if block.mode != "feed":
                continue
            for at in (block.start, block.end):
                assert at.x is not None
                assert at.y is not None
                chord = math.sqrt(max(stock**2 - at.x**2, 0.0)) / 2
                assert abs(at.y) >= chord + radius, block.text


@_with("rough_turn")
def test_roughing_passes_add_up_to_the_stock(name: Name) -> None:
    """From the bar's diameter to the smallest one plus its allowance, no pass deeper than the others by a digit."""
    made = demo(*name)
    for operation, section in _of(made, "rough_turn"):
        work = made.part.operations[operation]
        assert isinstance(work, RoughTurn)
        profile = made.part.features[work.feature]
        assert isinstance(profile, Turned)
        if work.body is not None:
            continue
        levels = [b.end.x for b in section.blocks if b.mode == "feed" and b.start.x == b.end.x and b.end.x is not None]
        levels = list(dict.fromkeys(levels))
        goal = float(profile.steps[0].dia_mm + work.leave_x_mm)
        depths = [
            before - after for before, after in zip([float(made.part.stock.round_mm), *levels], levels, strict=False)
        ]
        assert sum(depths) == pytest.approx(float(made.part.stock.round_mm) - goal, abs=2 * _digit(name))
        assert all(depth > 0 for depth in depths)


@_with("rough_turn")
def test_roughing_leaves_the_finished_profile_untouched(name: Name) -> None:
    """The polygon of the finished half section is not touched by any feed move or rapid of the roughing tool's tip."""
    made = demo(*name)
    for operation, section in _of(made, "rough_turn"):
        profile = made.part.features[made.part.operations[operation].feature]
        assert isinstance(profile, Turned)
        part = _half_section(profile).buffer(-2 * _digit(name))
        for block in section.blocks:
            ends = [(at.z, at.x / 2) for at in (block.start, block.end) if at.z is not None and at.x is not None]
            if block.mode in {"feed", "rapid"} and len(ends) == 2:
                path = LineString(ends)
                assert not path.intersects(part), (operation, block.text)


def _half_section(profile: Turned) -> Polygon:
    """Z against radius of the finished profile, edges left sharp where they are broken."""
    corners: list[tuple[float, float]] = [(0.0, 0.0)]
    for step, (start, end) in zip(profile.steps, profile.spans(), strict=True):
        edge = float(max(step.chamfer_mm, step.radius_mm))
        dia = float(step.dia_mm)
        far = float(step.taper_to_mm) if step.taper_to_mm is not None else dia
        corners += [(-float(start), dia / 2 - edge), (-float(start) - edge, dia / 2), (-float(end), far / 2)]
    corners.append((corners[-1][0], 0.0))
    return Polygon(corners)


@_with("external_thread")
def test_thread_passes_add_up_to_the_depth_in_equal_areas(name: Name) -> None:
    """The last pass stands at d - 2 h3 (h3 = 0.61343 P, ISO 68-1); each pass takes the area of the first."""
    made = demo(*name)
    for operation, section in _of(made, "external_thread"):
        feature = made.part.features[made.part.operations[operation].feature]
        assert isinstance(feature, ThreadFeature)
        form = thread(feature.thread)
        pitch, major = float(form.pitch_mm), float(form.major_mm)
        cuts = [b.start.x for b in section.blocks if b.mode == "thread" and b.start.x is not None]
        assert cuts[-1] == pytest.approx(major - 2 * 0.61343 * pitch, abs=2 * _digit(name) + 1e-4 * pitch)
        depths = [(major - x) / 2 for x in dict.fromkeys(cuts)]
        areas = [b**2 - a**2 for a, b in pairwise([0.0, *depths])]
        assert areas == pytest.approx([areas[0]] * len(areas), rel=0.02)
        assert all(b.feed == pytest.approx(pitch, abs=2e-4) for b in section.blocks if b.mode == "thread")


@_with("groove")
def test_grooves_are_as_wide_and_deep_as_drawn(name: Name) -> None:
    """The union of the blade's plunges and its way along the bottom is the groove, corner to corner."""
    made = demo(*name)
    for operation, section in _of(made, "groove"):
        work = made.part.operations[operation]
        groove = made.part.features[work.feature]
        assert isinstance(groove, Groove)
        blade = float(_tools()[work.tool]["width"])
        right = _tools()[work.tool].get("side", "left") == "right"
        floor = min(b.end.x for b in section.blocks if b.mode == "feed" and b.end.x is not None)
        assert floor == pytest.approx(float(groove.dia_mm), abs=2 * _digit(name))
        deep = [b for b in section.blocks if b.mode == "feed" and b.end.x == floor]
        near = [z for b in deep for z in (b.start.z, b.end.z) if z is not None]
        shift = blade if right else 0.0
        assert min(near) - shift == pytest.approx(-float(groove.at_mm + groove.width_mm), abs=2 * _digit(name))
        assert max(near) - shift + blade == pytest.approx(-float(groove.at_mm), abs=2 * _digit(name))


@pytest.mark.parametrize("name", names(), ids=IDS)
def test_no_feed_block_ends_far_outside_its_feature(name: Name) -> None:
    """Along Z every cut ends between the part's ends, give or take the blade, the cutter's radius and the clearance."""
    made = demo(*name)
    bar = made.part.feature_of(Bar)
    front = float(bar.allowance_mm) if bar else 0.0
    for channel in made.texts:
        for section in _sections(name, channel):
            for block in section.blocks:
                if block.mode in CUTS and block.low_x is not None and block.low_x < 119.9:
                    _check_end(made, block, front)


def _check_end(made: Demo, block: Block, front: float) -> None:
    length, widest = float(made.part.length_mm), 10.0
    assert block.end.z is not None
    lowest = -length - widest if block.modes["offset"] == "left" else -length
    assert lowest <= block.end.z <= front + widest, block.text
    assert block.end.x is not None
    assert block.end.x <= float(made.part.stock.round_mm) + 2 * widest, block.text


def test_the_front_face_is_faced_past_the_centre() -> None:
    """A face to the centre ends beyond it by the nose radius, so that no pip stays."""
    for name in names():
        made = demo(*name)
        for operation, section in _of(made, "face"):
            face = made.part.features[made.part.operations[operation].feature]
            assert isinstance(face, FeatureFace)
            ends = [b.end.x for b in section.blocks if b.mode == "feed" and b.end.x is not None]
            nose = float(_tools()[made.part.operations[operation].tool].get("nose_radius", 0.2))
            assert min(ends) == pytest.approx(float(face.inner_dia_mm) - 2 * nose, abs=2 * _digit(name))
            last = [b.end.z for b in section.blocks if b.mode == "feed"][-1]
            assert last == pytest.approx(0.0, abs=1e-9)
