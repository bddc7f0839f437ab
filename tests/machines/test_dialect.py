"""The machine files as reading understands them: every code has its meaning, whatever the dialect."""

from __future__ import annotations

from pathlib import Path

import pytest

from gemel.documents import compose, validate
from gemel.machines.dialect import dialect_of
from gemel.machines.schema import Machine
from gemel.proving import prove
from gemel.reading.dialect import Axis, Function, ToolKind

_TEMPLATES = Path(__file__).parents[2] / "templates"


def _machine(name: str) -> Machine:
    return validate(Machine, compose((_TEMPLATES / name / "machine.yaml").read_text(), f"{name}.yaml"))


TWIN, INCH = _machine("twin-turnmill"), _machine("inch-duplex")


@pytest.mark.parametrize(
    ("machine", "key", "function"),
    [
        (TWIN, "M203", Function("spindle", "right", "forward")),
        (TWIN, "M105", Function("spindle", "tool", "stop")),
        (TWIN, "M69", Function("clamp", "left", "open")),
        (TWIN, "M145", Function("c-axis", "right", "on")),
        (TWIN, "M190", Function("brake", "right", "off")),
        (TWIN, "M133", Function("synchronisation", "", "phase")),
        (TWIN, "G50", Function("speed-clamp")),
        (TWIN, "G10", Function("data")),
        (TWIN, "G55", Function("offset", "right", "G55")),
        (INCH, "M43", Function("spindle", "right", "forward")),
        (INCH, "M45", Function("spindle", "right", "stop")),
        (INCH, "M11", Function("clamp", "left", "open")),
        (INCH, "G92", Function("speed-clamp")),
        (INCH, "G70", Function("unit", "", "inch")),
        (INCH, "G95", Function("feed-mode", "", "revolution")),
        (INCH, "G33", Function("motion", "", "thread")),
        (INCH, "G91", Function("distance", "", "incremental")),
    ],
)
def test_code_means_what_the_machine_file_says(machine: Machine, key: str, function: Function) -> None:
    """One word means different things on two machines, and each is looked up in its own file."""
    assert dialect_of(machine, "lower").codes[key] == function


def test_functions_behind_the_motion_are_known() -> None:
    """Every code listed as acting behind the motion is one of the dialect's functions."""
    for machine in (TWIN, INCH):
        assert len(dialect_of(machine, "lower").after_motion) == len(machine.codes.after_motion)


def test_letters_of_the_slide_and_of_increments() -> None:
    """W is an increment of Z on one machine and the slide of the other."""
    assert dialect_of(TWIN, "lower").axes["W"] == Axis("z", incremental=True)
    assert dialect_of(INCH, "lower").axes["W"] == Axis("slide")
    assert "slide" not in dialect_of(TWIN, "upper").own_axes


def test_tools_by_station() -> None:
    """Stations of four digits carry an offset, others do not; a magazine holds its kind throughout."""
    lower, upper, inch = dialect_of(TWIN, "lower"), dialect_of(TWIN, "upper"), dialect_of(INCH, "lower")
    assert lower.tools[303 // lower.tool_divisor].kind is ToolKind.CUT_OFF
    assert lower.tools[1111 // lower.tool_divisor].kind is ToolKind.BAR_PULLER
    assert {upper.tools[n // upper.tool_divisor].kind for n in range(1, 41)} == {ToolKind.ROTATING}
    assert inch.tools[62 // inch.tool_divisor].kind is ToolKind.BAR_STOP


def test_waits_name_channels_where_the_machine_wants_it() -> None:
    """`M100 P12` names both channels by their digits; the demo machine's waits are for all."""
    named, plain = dialect_of(INCH, "upper").wait, dialect_of(TWIN, "upper").wait
    assert named is not None
    assert plain is not None
    assert (named.letter, named.channels_letter, named.channels) == ("M", "P", {"1": "upper", "2": "lower"})
    assert (plain.first, plain.last, plain.shop_first, plain.channels_letter) == (700, 799, 701, "")


def test_a_pair_of_the_other_dialect_is_proved() -> None:
    """Bar feed on a closed clamp is found in the codes of the inch machine, and the right order is not."""
    upper = "G70 G90\nG28 X0. Z0.\nM100 P12\nM30\n"
    lower = "G70 G90\nM100 P12\n{}M30\n"
    for blocks, found in (("M25\n", {"holding:8-clamp"}), ("M11\nM25\nM10\n", set())):
        programs = {"upper": ("a_1.iso", upper.encode()), "lower": ("a_2.iso", lower.format(blocks).encode())}
        verdict = prove(programs, INCH)
        assert {f.name for f in verdict.findings if f.is_error} - {"zones:left"} == found
