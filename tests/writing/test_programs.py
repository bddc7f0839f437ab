"""Whole programs: wording, stamps, sequence numbers, and what a reader finds in them."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gemel.findings import Findings
from gemel.machines.dialect import dialect_of
from gemel.operations.steps import Arc, Drill, Feed, Posted, Rapid, Step, Tap, ToolCall, ToolpathState
from gemel.pairs import pair
from gemel.reading.blocks import read
from gemel.reading.channel import ChannelText
from gemel.reading.interpret import interpret
from gemel.writing import Writer, WrittenPair, body_of, explain_line, stamp_of
from support.pairs import machine, number, part, placed, templates, toolpaths, with_stages

if TYPE_CHECKING:
    from gemel.reading.run import Motion

NAMES = ("twin-turnmill", "inch-duplex")
MACHINES = {name: machine(name) for name in NAMES}
WRITERS = {name: Writer(MACHINES[name], templates(name)) for name in NAMES}
STATE = ToolpathState("zx", "per_revolution", "left")
HEAD: tuple[Step, ...] = (ToolCall(placed("T0202", 1), placed("tool", 1)), STATE)


def written(name: str, *steps: Step) -> WrittenPair:
    """The pair with these steps behind those of facing."""
    paths = toolpaths()
    paths["face-front"] = (*paths["face-front"], *steps)
    return WRITERS[name].write(part(), pair(part(), MACHINES[name], paths))


def lines_of_steps(result: WrittenPair) -> dict[int, int]:
    """Line of the last block of each step that was added to facing, by the step's place among them."""
    text_map = result.channels["lower"].map
    assert text_map is not None
    own = len(toolpaths()["face-front"])
    found: dict[int, int] = {}
    for number_ in range(1, len(result.channels["lower"].text.splitlines()) + 1):
        words = text_map.line(number_)
        address = words[-1].address
        if address.operation == "face-front" and address.step >= own:
            found[address.step - own] = number_
    return found


def body(name: str, *steps: Step) -> list[str]:
    """The blocks of these steps alone, without sequence numbers."""
    result = written(name, *steps)
    lines = result.channels["lower"].text.splitlines()
    found = lines_of_steps(result)
    return [re.sub(r"^N\d+ ", "", line) for line in lines[min(found.values()) - 1 : max(found.values())]]


def test_the_demo_machine_is_told_as_a_person_would_type_it() -> None:
    """Short aligned blocks, the wording of design.md section 9, the wait commented."""
    text = written("twin-turnmill").channels["upper"].text
    assert text.startswith("%\nO1202 (BLOCK 35 UPPER)\n(SQUARE BLOCK)\n(DRAWING KB-1042 REV C, MEMBER 35)\n")
    assert text.endswith("\nM30\n%\n")
    for block in ("G28 U0\nG28 V0 W0", "N200 M702 (WAIT FOR LOWER: FACE FRONT DONE)", "G97 S5200 M103", "\nM89\n"):
        assert block in text
    assert "G01 X14.979 F520.\nG01 Y-17.5\nG04 X1.5\n" in text


def test_the_second_dialect_differs_in_every_way() -> None:
    """Inch, G94/G95, G92, G90/G91, named waits, its own codes, numbers, comments, wrapper and line end."""
    text = written("inch-duplex").channels["lower"].text
    assert "\r\n" in text
    assert "\n" not in text.replace("\r\n", "")
    for block in (
        "N00001 G70 G90 G40 G80 G97",
        "N00002 G91 G28 X0",
        "N01000 M100 P12",
        "N01002 G70 G90 G18 G95 G56",
        "N01004 G92 S3000",
        "N01010 G1 X-.0630 F.00591",
        ";THE FAMILY IS IN MM, CONVERTED TO INCH",
    ):
        assert f"{block}\r\n" in text
    assert text.startswith(":1202\r\n")


def test_the_header_names_all_that_the_job_needs_and_no_clock() -> None:
    """Program, drawing, member, machine, channel, material, bar, tools, version, stamp, cautions."""
    header = written("twin-turnmill").channels["lower"].text.partition("\nG21")[0]
    for words in (
        "O1202",
        "KB-1042 REV C",
        "MEMBER 35",
        "TWIN-TURNMILL",
        "LOWER: TURRET",
        "ALUMINIUM-6082",
        "BAR ROUND 25 X 3000",
        "TOOL T0101  TURNING TOOL 80 DEGREES",
        "GEMEL ",
        "STAMP ",
        "SINGLE BLOCK",
        "DOORS CLOSED",
        "STARTING VALUES",
    ):
        assert words in header
    assert not re.search(r"\d\d:\d\d|20\d\d-\d\d", header)


def test_a_family_that_repeats_ends_with_the_repeat_code() -> None:
    """M99 instead of M30, in both channels."""
    again = replace(part(), repeat=True)
    result = WRITERS["twin-turnmill"].write(again, pair(again, MACHINES["twin-turnmill"], toolpaths()))
    assert all(program.text.endswith("\nM99\n%\n") for program in result.channels.values())


@pytest.mark.parametrize("name", NAMES)
def test_both_channels_bear_the_stamp_of_both_bodies(name: str) -> None:
    """The stamp can be taken again from the texts, and it does not cover the header."""
    result = written(name)
    texts = {channel: program.text for channel, program in result.channels.items()}
    assert stamp_of(texts, MACHINES[name]) == result.stamp
    assert all(f"STAMP {result.stamp}" in text for text in texts.values())
    other = {channel: text.replace("KB-1042", "KB-1043") for channel, text in texts.items()}
    assert stamp_of(other, MACHINES[name]) == result.stamp


@pytest.mark.parametrize("name", NAMES)
def test_a_change_of_one_word_or_comment_of_the_body_changes_the_stamp(name: str) -> None:
    """Line ends and blanks at line ends do not count; everything else of the body does."""
    result = written(name)
    texts = {channel: program.text for channel, program in result.channels.items()}
    lower = texts["lower"]
    spaced = lower.replace("\r\n", "\n").replace("\n", "  \r\n")
    assert stamp_of(texts | {"lower": spaced}, MACHINES[name]) == result.stamp
    line = next(row for row in lower.splitlines() if "WAIT FOR" in row)
    for edited in (lower.replace(line, line.replace("WAIT", "HOLD")), lower.replace("M30", "M02")):
        assert stamp_of(texts | {"lower": edited}, MACHINES[name]) != result.stamp


def test_the_body_begins_behind_wrapper_number_and_header() -> None:
    """The first block that does something is the first line of the body."""
    facts = MACHINES["twin-turnmill"]
    assert body_of("%\nO1202 (X)\n(A)\n\nG21\n(B)\nM30\n%\n\n", facts) == "G21\n(B)\nM30\n%"
    assert body_of("", facts) == ""


def test_stage_numbers_lead_every_stage_in_every_channel() -> None:
    """A restart by number finds stage k at k x 100 in both programs."""
    for program in written("twin-turnmill").channels.values():
        numbers = [int(n) for n in re.findall(r"^N(\d+)", program.text, re.MULTILINE)]
        assert numbers == sorted(numbers)
        assert [n for n in numbers if n % 100 == 0] == [100, 200, 300, 400]


def test_where_every_block_is_numbered_numbers_count_on_by_one() -> None:
    """N with five digits on every block of the second machine, none on comments."""
    for program in written("inch-duplex").channels.values():
        lines = program.text.split("\r\n")
        blocks = [line for line in lines[1:] if line and not line.startswith(";")]
        numbers = [int(line[1:6]) for line in blocks]
        steps = {b - a for a, b in pairwise(numbers) if b % 1000}
        assert steps == {1}


def test_more_blocks_than_numbers_in_a_stage_are_a_finding() -> None:
    """A stage of a thousand blocks would run into the next stage's numbers."""
    many = [Rapid(z=number("z", float(n % 7))) for n in range(1000)]
    with pytest.raises(Findings) as caught:
        written("inch-duplex", *HEAD, *many)
    assert caught.value.findings[0].name == "writing:sequence-full"


def test_drilling_starts_at_its_level_and_names_depth_peck_dwell_and_feed() -> None:
    """Along Z the level is approached first; a hole that starts where the tool stands needs no approach."""
    hole = Drill(
        along="z", depth=number("d", -20.0), clear=number("c", 2.0), peck=number("p", 5.0), dwell_s=number("s", 0.2),
        feed=number("f", 0.1),
    )  # fmt: skip
    assert body("twin-turnmill", *HEAD, Rapid(x=number("x", 0.0)), hole, hole)[2:] == [
        "G00 X0.",
        "G00 Z2.",
        "G83 Z-20. Q5000 P200 F0.1",
        "G83 Z-20. Q5000 P200 F0.1",
    ]
    assert body("inch-duplex", *HEAD, Rapid(z=number("z", 2.0)), hole)[-1] == "G83 Z-.7874 Q.1969 P200 F.00394"


def test_tapping_feeds_the_pitch_per_revolution_or_pitch_times_speed_per_minute() -> None:
    """F is 0.8 mm/rev, or 0.8 x 500 = 400 mm/min (checks.md 4.1: feed = speed x pitch)."""
    tap = Tap(
        along="x", depth=number("d", 4.0), clear=number("c", 20.0), pitch=number("p", 0.8), rpm=number("n", 500.0)
    )
    level = Rapid(x=number("c", 20.0))
    minute = ToolpathState("yz", "per_minute", "left")
    assert body("twin-turnmill", HEAD[0], STATE, level, tap)[-1] == "G84 X4. F0.8"
    assert body("twin-turnmill", HEAD[0], minute, level, tap)[-1] == "G84 X4. F400."


def test_each_machine_has_its_words_for_taps() -> None:
    """Left-hand threads and taps that turn by themselves have cycles of their own where the control wants them."""

    def cycles(name: str) -> list[str]:
        taps = [
            Tap(
                along="z", depth=number("d", -9.0), clear=number("c", 2.0), pitch=number("p", 0.8),
                rpm=number("n", 500.0), driven=driven, left_hand=left,
            )
            for driven in (False, True)
            for left in (False, True)
        ]  # fmt: skip
        return re.findall(r"G\d+(?= Z-)", "\n".join(body(name, *HEAD, Rapid(z=number("z", 2.0)), *taps)))

    assert cycles("twin-turnmill") == ["G84", "G74", "G84", "G74"]
    assert cycles("inch-duplex") == ["G84", "G74", "G184", "G174"]


def test_compensation_switches_in_a_feed_block_and_arcs_go_by_radius() -> None:
    """G42 stands with its move; arcs name R and the sense."""
    steps = (
        Feed(x=number("x", 10.0), z=number("z", 1.0), feed=number("f", 0.2), compensation="right"),
        Arc(x=number("x", 12.0), z=number("z", 0.0), radius=number("r", 1.0), clockwise=True),
        Arc(x=number("x", 14.0), z=number("z", -1.0), radius=number("r", 1.0), clockwise=False),
        Feed(x=number("x", 20.0), compensation="none"),
    )
    assert body("twin-turnmill", *HEAD, *steps)[2:] == [
        "G01 G42 X10. Z1. F0.2",
        "G02 X12. Z0. R1.",
        "G03 X14. Z-1. R1.",
        "G01 G40 X20.",
    ]


def test_a_block_from_elsewhere_stands_as_it_came_and_tells_its_file() -> None:
    """Every word of it is marked as coming from that file and line."""
    result = written("twin-turnmill", *HEAD, Posted(placed("G1 X10.5 Z-3.25 F0.1", 77)))
    text_map = result.channels["lower"].map
    assert text_map is not None
    lines = result.channels["lower"].text.splitlines()
    reasons = explain_line(text_map, lines.index("G1 X10.5 Z-3.25 F0.1") + 1)
    assert [reason.copied for reason in reasons] == ["families/block.yaml:77"] * 4


def ends(name: str, text: str) -> dict[int, Motion]:
    """The last motion of each line, as the reader finds it."""
    run = interpret(ChannelText(dialect_of(MACHINES[name], "lower"), (read(text.encode(), name),)))
    return {step.block.line: step.motions[-1] for step in run.steps if step.motions}


_MM = st.decimals(-50, 100, places=3).map(float)
_MOVE = st.builds(lambda x, z: Rapid(x=number("x", x), z=number("z", z)), _MM, _MM) | st.builds(
    lambda x, z, f: Feed(x=number("x", x), z=number("z", z), feed=number("f", f)), _MM, _MM, st.floats(0.01, 1.5)
)


@given(st.lists(_MOVE, min_size=1, max_size=8), st.sampled_from(NAMES))
@settings(max_examples=80, deadline=None)
def test_a_reader_finds_the_positions_that_the_steps_asked_for(moves: list[Step], name: str) -> None:
    """Read back, every move ends within half a unit of the last place of where its step goes, on either machine."""
    result = written(name, *HEAD, *moves)
    assert not result.findings
    found, lines = ends(name, result.channels["lower"].text), lines_of_steps(result)
    unit = 25.4 if name == "inch-duplex" else 1.0
    near = 0.5 * 10 ** -MACHINES[name].numbers.length.decimals + 1e-9
    for index, move in enumerate(moves, len(HEAD)):
        assert isinstance(move, Rapid | Feed)
        end = found[lines[index]].end
        for wanted, got in ((move.x, end.x_dia), (move.z, end.z)):
            assert wanted is not None
            assert got is not None
            assert abs(got - wanted / unit) <= near


def test_a_stage_without_work_is_said() -> None:
    """A member that skips all of a stage still meets its mark, and says why nothing happens."""
    base = with_stages({"lower": ("face-front",)}, {}, {"upper": ("mill-flats",)})
    result = WRITERS["twin-turnmill"].write(base, pair(base, MACHINES["twin-turnmill"], toolpaths()))
    assert "N300 M703 (WAIT FOR UPPER: STAGE 2 IS EMPTY FOR THIS MEMBER)" in result.channels["lower"].text


@pytest.mark.parametrize("name", NAMES)
def test_equal_blocks_keep_the_origins_of_their_own_numbers(name: str) -> None:
    """A block that has been written before is remembered by its text, never by where its numbers came from."""
    same = number("values.same", 5.0)
    steps = (
        Rapid(x=same, z=same),
        Rapid(x=number("values.a", 5.0), z=number("values.b", 5.0)),
        Feed(x=number("values.c", 7.0), feed=number("values.d", 0.25)),
        Feed(x=number("values.e", 7.0), feed=number("values.f", 0.25)),
        Rapid(x=number("values.g", 5.0), z=number("values.h", 5.0)),
    )
    result = written(name, *HEAD, *steps)
    text_map, lines = result.channels["lower"].map, lines_of_steps(result)
    assert text_map is not None
    told = [
        [leaf.name for reason in explain_line(text_map, lines[index]) for leaf in reason.leaves[:1]]
        for index in range(len(HEAD), len(HEAD) + len(steps))
    ]
    assert told == [
        ["values.same", "values.same"],
        ["values.a", "values.b"],
        ["values.c", "values.d"],
        ["values.e", "values.f"],
        ["values.g", "values.h"],
    ]
    fresh = Writer(MACHINES[name], templates(name))
    paths = toolpaths()
    paths["face-front"] = (*paths["face-front"], *HEAD, *steps)
    again = fresh.write(part(), pair(part(), MACHINES[name], paths))
    assert {c: w.text for c, w in again.channels.items()} == {c: w.text for c, w in result.channels.items()}


def test_the_same_step_under_another_feed_mode_is_worded_anew() -> None:
    """F0.25 a revolution, F0.3 a minute: equal steps, other texts, since the form differs."""
    step = Feed(x=number("x", 7.0), feed=number("f", 0.25))
    minute = ToolpathState("zx", "per_minute", "left")
    found = body("twin-turnmill", *HEAD, step, minute, step, STATE, step)
    assert [line for line in found if line.startswith("G01")] == ["G01 X7. F0.25", "G01 X7. F0.3", "G01 X7. F0.25"]


def test_a_number_without_origin_in_a_repeated_block_is_found() -> None:
    """That an equal block was in order before excuses nothing."""
    with pytest.raises(Findings) as caught:
        written("twin-turnmill", *HEAD, Rapid(x=number("x", 33.0)), Rapid(x=33.0))
    assert {finding.name for finding in caught.value.findings} == {"template:number-without-origin"}
