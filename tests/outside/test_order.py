"""Trade rules of two-channel turning (CP: common practice, no source, except where said), held against the text alone.

The numbers are those of the list that the rules come from. Rules 13 (depth and feed against the nose) and 16 (time) are
the programmer's choice of cutting data; rule 18 (a mark in one channel only) is what rule 1 says of an edited program.
"""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from typing import Any

import pytest

from gemel.families.features import ThreadFeature
from support.demo import IDS, demo, names
from support.outside import CUTS, Block, Reader, Section, facts, sections

pytestmark = pytest.mark.parametrize("name", names(), ids=IDS)
Name = tuple[str, str, str]


@cache
def _channels(name: Name) -> dict[str, list[Block]]:
    return {channel: Reader(name[0], channel).read(text) for channel, text in demo(*name).texts.items()}


@cache
def _sections(name: Name) -> dict[str, list[Section]]:
    return {channel: sections(blocks) for channel, blocks in _channels(name).items()}


def _clearance_mm(name: Name) -> float:
    machine = facts(name[0])
    return float(machine["zones"]["clearance"]) * (25.4 if machine["unit"] == "inch" else 1.0)


def _station(name: Name, channel: str, tool: str) -> dict[str, Any]:
    stations: dict[str, dict[str, Any]] = facts(name[0])["channels"][channel]["stations"]
    return next((station for station in stations.values() if station["call"] == tool), {})


def _cuts(blocks: list[Block], clearance: float) -> list[Block]:
    return [b for b in blocks if b.mode in CUTS and b.low_x is not None and b.low_x < clearance]


def test_1_every_mark_stands_in_every_channel_once_and_rises(name: Name) -> None:
    """CP: the same marks in the same order in all channels, once per pass, numbers rising."""
    marks = [[b.wait for b in blocks if b.wait is not None] for blocks in _channels(name).values()]
    assert all(mark == marks[0] for mark in marks)
    assert marks[0] == sorted(set(marks[0]))
    assert len(marks[0]) >= 2


def test_2_first_mark_behind_the_safe_start_last_mark_before_the_end(name: Name) -> None:
    """CP: unit, compensation off, cycle off and home come first; behind the last mark nothing but the end."""
    for blocks in _channels(name).values():
        places = [place for place, b in enumerate(blocks) if b.wait is not None]
        said = {mean for b in blocks[: places[0]] for mean in b.means}
        assert {"compensation.none", "cycles.cancel", "home"} <= said
        assert said & {"unit.mm", "unit.inch"}
        assert not [b for b in blocks[: places[0]] if b.mode]
        assert [b.means for b in blocks[places[-1] + 1 :]] in ([("program.end",)], [("program.repeat",)])


def test_3_and_6_one_channel_owns_a_spindle_between_two_marks(name: Name) -> None:
    """CP: one channel alone commands a spindle, its C axis and its speed in a stage, and it alone cuts there."""
    clearance = _clearance_mm(name)
    for spindle in facts(name[0])["spindles"]:
        owners: dict[int, set[str]] = {}
        for channel, blocks in _channels(name).items():
            own = [b for b in blocks if b.modes.get("offset") == spindle]
            speaking = [b for b in own if "speed.clamp" in b.means or "speed.surface" in b.means]
            commanding = [b for b in blocks if any(_commands(mean, spindle) for mean in b.means)]
            for b in (*speaking, *commanding, *_cuts(own, clearance)):
                owners.setdefault(b.stage, set()).add(channel)
        assert owners
        assert all(len(owner) == 1 for owner in owners.values()), owners


def _commands(mean: str, spindle: str) -> bool:
    return mean.startswith((f"spindle.{spindle}.", f"c_axis.{spindle}.", f"c_brake.{spindle}."))


def test_4_surface_speed_only_for_a_tool_whose_diameter_moves(name: Name) -> None:
    """CP: drilling, tapping, threading and milling run at a fixed speed."""
    for blocks in _channels(name).values():
        for b in blocks:
            if b.mode in {"thread", "drill", "tap"} or (b.mode in CUTS and b.modes["plane"] != "zx"):
                assert b.modes["speed"] == "fixed", b.text


def test_5_a_speed_cap_stands_before_surface_speed_and_below_the_spindle_s_limit(name: Name) -> None:
    """CP: the cap is set in the same operation before the surface speed is switched on."""
    machine = facts(name[0])
    for found in _sections(name).values():
        for section in found:
            cap: float | None = None
            for b in section.blocks:
                if "speed.clamp" in b.means:
                    cap = b.value("S")
                if "speed.surface" in b.means:
                    assert cap is not None, b.text
                    assert 0 < cap <= machine["spindles"][b.modes["offset"]]["top_speed"]


def test_7_and_8_marks_and_tool_changes_stand_at_the_safe_place(name: Name) -> None:
    """CP: X is at or above the clearance where a channel waits and where a tool is called."""
    for blocks in _channels(name).values():
        for b in blocks:
            if b.wait is not None or b.tool:
                assert b.start.x is not None, b.text
                assert b.start.x >= _clearance_mm(name), b.text


def test_9_cut_off_only_when_the_part_is_held_or_caught(name: Name) -> None:
    """CP: when the blade reaches the axis, the other clamp holds the part and turns with it, or the catcher is out."""
    cut_offs = 0
    for channel, blocks in _channels(name).items():
        held = together = caught = False
        tool = ""
        for b in blocks:
            tool = b.tool or tool
            for mean in b.means:
                held = {"clamp.right.close": True, "clamp.right.open": False}.get(mean, held)
                together = {"synchronise.end": False}.get(mean, together or mean.startswith("synchronise"))
                caught = {"catcher.out": True, "catcher.in": False}.get(mean, caught)
            through = b.mode == "feed" and b.end.x is not None and b.end.x <= 0.0
            if through and _station(name, channel, tool).get("kind") == "cut-off":
                cut_offs += 1
                assert (held and together) or caught, b.text
    assert cut_offs >= 1


def test_11_feed_falls_near_the_axis_when_cutting_off(name: Name) -> None:
    """CP: speed or feed is about halved for the last 2 to 3 mm of radius."""
    for channel, found in _sections(name).items():
        for section in found:
            if _station(name, channel, section.tool).get("kind") != "cut-off":
                continue
            inward = [b for b in section.blocks if b.mode == "feed" and b.value("X") is not None and b.feed]
            through = [b for b in inward if b.end.x is not None and b.end.x <= 0.0]
            for b in through:
                assert b.feed is not None
                assert b.feed <= 0.65 * max(other.feed or 0.0 for other in inward), b.text
                assert b.start.x is not None
                assert 2.0 <= b.start.x <= 8.0, b.text


def test_12_threads_start_at_one_place_run_up_and_end_with_a_spring_pass(name: Name) -> None:
    """CP: one start for all passes, two or more pitches of run-up, one or two spring passes; depths never fall back."""
    for found in _sections(name).values():
        for section in found:
            passes = [b for b in section.blocks if b.mode == "thread"]
            if not passes:
                continue
            assert len({b.start.z for b in passes}) == 1
            assert len({b.end.z for b in passes}) == 1
            edges = [f.from_mm for f in demo(*name).part.features.values() if isinstance(f, ThreadFeature)]
            run_up = min((passes[0].start.z or 0.0) + edge for edge in edges)
            assert run_up >= 2 * (passes[0].feed or 0.0) - 1e-6
            assert passes[-1].start.x == passes[-2].start.x
            steps = [(b.start.x or 0.0) - (a.start.x or 0.0) for a, b in pairwise(passes)]
            assert all(step <= 0 for step in steps) or all(step >= 0 for step in steps)
            assert {b.feed for b in passes} == {passes[0].feed}


def test_14_every_operation_states_again_what_a_restart_needs(name: Name) -> None:
    """CP: plane, unit, feed mode, offset, compensation off and speed mode stand before the first move of each tool."""
    for found in _sections(name).values():
        for section in found:
            said: set[str] = set()
            for b in section.blocks:
                if b.mode:
                    break
                said |= {mean.partition(".")[0] for mean in b.means}
            assert {"plane", "unit", "feed", "offset", "compensation", "speed"} <= said, section.blocks[0].text


def test_15_compensation_switches_on_a_straight_move_longer_than_the_nose(name: Name) -> None:
    """NISTIR 6556, B.3.1.1: the entry line is longer than the tool's radius; no nose here is larger than 1.2 mm."""
    for blocks in _channels(name).values():
        before = "none"
        for b in blocks:
            now = b.modes.get("compensation", "none")
            if now != before and b.mode:
                assert b.mode in {"feed", "rapid"}, b.text
                assert None not in {b.start.x, b.start.z, b.end.x, b.end.z}, b.text
                way = ((b.end.x or 0) - (b.start.x or 0)) / 2, (b.end.z or 0) - (b.start.z or 0)
                assert (way[0] ** 2 + way[1] ** 2) ** 0.5 > 1.2, b.text
            before = now


def test_17_everything_is_off_at_the_end(name: Name) -> None:
    """CP: coolant, drives, C axes, brakes and spindles end stopped, whichever channel started them."""
    state: dict[str, bool] = {}
    stops = ("stop", "release", "end", "in")
    for channel, blocks in _channels(name).items():
        for b in blocks:
            for mean in b.means:
                group, _, last = mean.rpartition(".")
                if group.partition(".")[0] in {"coolant", "coolant_high", "air", "c_axis", "c_brake", "catcher"}:
                    state[f"{channel} {group}" if "coolant" in group else group] = last not in stops
                if group.startswith("drive"):
                    state[f"{channel} drive"] = last not in stops
    assert not [what for what, on in state.items() if on]


def test_no_two_channels_cut_at_one_spindle_between_two_marks(name: Name) -> None:
    """CP (10): simultaneous cuts on one diameter are for roughing with two turning tools only; the demo has none."""
    clearance = _clearance_mm(name)
    cutting: dict[tuple[int, str], set[str]] = {}
    for channel, blocks in _channels(name).items():
        for b in _cuts(blocks, clearance):
            cutting.setdefault((b.stage, b.modes["offset"]), set()).add(channel)
    assert all(len(channels) == 1 for channels in cutting.values())
