"""Bodies from elsewhere: what is taken over, what is taken away, and every fault that must stop them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from gemel.documents import compose, validate
from gemel.families.catalogue import Material, Tool
from gemel.families.cutting import Cutting
from gemel.families.part import Body, Job
from gemel.families.processes import DrillCross, RoughTurn
from gemel.findings import Findings
from gemel.operations.posted_body import posted_body
from gemel.operations.steps import Function, Note, Posted, Rapid, Step, ToolCall, ToolpathState
from support.pairs import machine, part

FILE = "families/posted/rough.nc"
MATERIAL = "{title: steel, density: 7850, force: 2000, force_exponent: 0.25, source: none}"
GOOD = b"""%
o0042 (ROUGH, POSTED ELSEWHERE)
n5 g21 g18 g54
n10 t0101
g50 s2500
n15 g96 s180 m3 (surface speed)
g0 z 2.
x 24.
G1Z-20.000F.25
x+28. z-21.5
m8
/ g1 x30.
g0 x130.
m9
m05
m30
%
"""


def _job(text: bytes, channel: str = "lower", name: str = "twin-turnmill") -> Job:
    shop = machine(name)
    turning = channel == "lower"
    kind = "{kind: turning, type: turning, title: rough}" if turning else "{kind: rotating, type: drill, title: drill}"
    process = "rough_turn" if turning else "drill_cross"
    written = (
        f"{{feature: body, process: {process}, channel: {channel}, spindle: left, tool: x, body: posted/rough.nc}}"
    )
    place = compose(written, "families/block.yaml")
    operation = validate(RoughTurn, place) if turning else validate(DrillCross, place)
    tool = validate(Tool, compose(kind, "templates/tools.yaml"))
    return Job(
        part=part(),
        id="rough",
        operation=operation,
        feature=part().features["body"],
        tool_id="x",
        tool=tool,
        station="1",
        call=shop.channels[channel].stations["1"].call,
        cutting=Cutting(),
        material=validate(Material, compose(MATERIAL, "templates/materials.yaml")),
        machine=shop,
        channel=shop.channels[channel],
        spindle=shop.spindles["left"],
        clearance_mm=120.0,
        body=Body(FILE, text),
    )


def _blocks(steps: list[Step]) -> list[str]:
    return [str(step.text) for step in steps if isinstance(step, Posted)]


def _faults(text: bytes, **words: str) -> list[tuple[str, int]]:
    """Code and line of every finding."""
    with pytest.raises(Findings) as caught:
        posted_body(_job(text, **words))
    for finding in caught.value.findings:
        assert finding.rule == "body"
        assert all(label.span.source == FILE for label in finding.labels)
    return [(f.code, f.labels[0].span.line if f.labels else 0) for f in caught.value.findings]


def _with(line: bytes, instead_of: bytes = b"m8\n") -> bytes:
    return GOOD.replace(instead_of, line + b"\n")


def test_wrapper_numbers_end_and_tool_are_stripped_and_every_other_word_is_kept_as_it_stands() -> None:
    """The blocks between head and end keep their numbers, letter by letter; case and blanks follow the control."""
    assert _blocks(posted_body(_job(GOOD))) == [
        "G21 G18 G54",
        "G50 S2500",
        "G96 S180 M3",
        "G0 Z2.",
        "X24.",
        "G1 Z-20.000 F.25",
        "X28. Z-21.5",
        "M8",
        "/ G1 X30.",
        "G0 X130.",
        "M9",
        "M05",
    ]


def test_comments_are_kept_as_notes_in_front_of_their_block() -> None:
    """What the poster wrote for people stays, with its place."""
    notes = [step.text for step in posted_body(_job(GOOD)) if isinstance(step, Note)]
    assert notes == ["ROUGH, POSTED ELSEWHERE", "surface speed"]
    assert notes[1].place.line == 6  # type: ignore[attr-defined] # notes of a body are placed


def test_gemels_own_start_and_end_stand_round_the_body() -> None:
    """Tool, state and clearance come first; the way out last, and nothing is stopped twice."""
    steps = posted_body(_job(GOOD))
    assert isinstance(steps[0], ToolCall)
    assert steps[1] == ToolpathState("zx", "per_revolution", "left")
    assert steps[2] == Rapid(x=120.0)
    assert steps[-1] == Rapid(x=120.0)


def test_what_the_body_leaves_on_is_stopped_behind_it() -> None:
    """Spindle and coolant of a body that stops neither are stopped by gemel's end, coolant first."""
    steps = posted_body(_job(GOOD.replace(b"m9\nm05\n", b"")))
    assert steps[-2:] == [Function("coolant.stop"), Function("spindle.left.stop")]


def test_words_know_file_and_line_they_came_from() -> None:
    """`why` shows the posted file, its line, and the line as it stood there."""
    step = next(s for s in posted_body(_job(GOOD)) if isinstance(s, Posted) and s.text == "X28. Z-21.5")
    place = step.text.place
    assert (place.name, place.file, place.line, place.text) == ("operations.rough.body", FILE, 10, "x+28. z-21.5")


def test_a_milling_body_gets_the_c_axis_unless_it_engages_it_itself() -> None:
    """A body of bare moves runs with the C axis on; one with its own code is not given a second one."""
    bare = b"G19\nG0 Z-10.\nS2000 M103\nX40.\nG1 X20. F300.\nG0 X130.\nM105\n"
    steps = posted_body(_job(bare, channel="upper"))
    assert Function("c_axis.left.engage") in steps
    assert steps[-1] == Function("c_axis.left.release")
    own = posted_body(_job(b"M05\nM45\n" + bare + b"M46\n", channel="upper"))
    assert not [s for s in own if isinstance(s, Function)]


@pytest.mark.parametrize(
    ("line", "code"),
    [
        (b"g20", "unit"),
        (b"g17", "plane"),
        (b"g55", "offset"),
        (b"t0202", "tool"),
        (b"t0100", "tool"),
        (b"m701", "forbidden"),
        (b"m69", "forbidden"),
        (b"m203", "forbidden"),
        (b"m145", "forbidden"),
        (b"m131", "forbidden"),
        (b"m73", "forbidden"),
        (b"m70", "forbidden"),
        (b"g50 x100. z100.", "forbidden"),
        (b"g10 p1 z0.1", "forbidden"),
        (b"a-50.", "forbidden"),
        (b"m98 p100", "macro"),
        (b"#1=5", "macro"),
        (b"if [#1 gt 5] goto 10", "macro"),
        (b"g71 p10 q20 u.4 w.1 f.2", "macro"),
        (b"m777", "forbidden"),
        (b"m12", "word"),
        (b"z-3", "word"),
        (b"x25.00001", "word"),
        (b"g0 g1 x25.", "word"),
        (b"x25. x26.", "word"),
        (b"?", "word"),
        (b"(open", "word"),
    ],
)
def test_a_word_that_has_no_business_in_a_body_is_found_in_its_line(line: bytes, code: str) -> None:
    """Each is named by its code, at the line of the posted file."""
    assert (code, 11) in _faults(_with(line))


def test_a_body_must_not_go_in_from_a_z_that_nobody_knows() -> None:
    """The first move below the clearance needs a Z that the file has named before."""
    assert ("unsafe-start", 7) in _faults(GOOD.replace(b"g0 z 2.\nx 24.\n", b"g0 x 24. z 2.\n"))
    assert ("unsafe-start", 8) in _faults(GOOD.replace(b"g0 z 2.\nx 24.\n", b"g0 w-200.\nx 24.\n"))


def test_a_body_must_end_at_the_clearance_in_both_settings_of_block_skip() -> None:
    """Ending inside is found; so is a way out that stands in a skipped block."""
    assert ("unsafe-end", 12) in _faults(GOOD.replace(b"g0 x130.\n", b""))
    assert ("unsafe-end", 12) in _faults(
        GOOD.replace(b"g0 x130.\n", b"/g0 x130.\n").replace(b"/ g1 x30.\n", b"g1 x30.\n")
    )


def test_compensation_and_cycles_must_be_cancelled_by_the_body_itself() -> None:
    """Gemel's way out would be bent, or drill once more."""
    assert ("left-on", 13) in _faults(GOOD.replace(b"x 24.", b"g42 x 24."))
    cycle = b"G19\nG0 Z-10.\nS2000 M103\nX40.\nG83 X20. Q2000 F300.\nX130.\n"
    assert "left-on" in {code for code, _ in _faults(cycle, channel="upper")}


def test_blocks_behind_the_end_and_second_programs_are_found() -> None:
    """Nothing of a file is dropped in silence."""
    assert _faults(GOOD + b"g0 x1.\n") == [("behind-end", 18)]
    assert ("behind-end", 11) in _faults(_with(b"o43"))


def test_a_body_without_moves_is_refused() -> None:
    """A file of comments, or an empty one, does no job."""
    assert _faults(b"%\n(nothing)\nM30\n%\n") == [("empty", 2)]
    assert _faults(b"") == [("empty", 0)]


def test_any_bytes_give_findings_and_no_traceback() -> None:
    """A picture or a text in another language is refused with its lines."""
    assert _faults(bytes(range(256)))
    assert _faults("Größe: 5 mm\n".encode())


def test_all_faults_of_a_file_are_found_in_one_run() -> None:
    """One look at the message is enough to mend the file."""
    codes = {code for code, _ in _faults(_with(b"g20 g55\nm69\nz-3"))}
    assert {"unit", "offset", "forbidden", "word"} <= codes


def test_a_body_for_another_machine_is_refused() -> None:
    """On the machine in inches the file calls a tool that stands elsewhere, and says codes that are not known there."""
    job = replace(_job(GOOD, name="inch-duplex"), clearance_mm=127.0)
    with pytest.raises(Findings) as caught:
        posted_body(job)
    assert {finding.code for finding in caught.value.findings} >= {"tool", "word"}
