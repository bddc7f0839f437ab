"""Faults of templates are findings with the template's file and line."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from gemel.findings import Findings
from gemel.operations.steps import Function, Note, Step
from gemel.pairs import pair
from gemel.writing import Writer, WrittenPair, write_pair
from support.pairs import machine, part, placed, templates, toolpaths

if TYPE_CHECKING:
    from gemel.findings import Finding

MACHINE = machine()
STEPS = "steps.nc.j2"
PROGRAM = "program.nc.j2"


def write(texts: dict[str, str], *extra: Step) -> WrittenPair:
    paths = toolpaths()
    paths["face-front"] = (*paths["face-front"], *extra)
    return write_pair(part(), pair(part(), MACHINE, paths), MACHINE, texts)


def fault(texts: dict[str, str], *extra: Step) -> Finding:
    with pytest.raises(Findings) as caught:
        write(texts, *extra)
    return caught.value.findings[0]


def changed(name: str, old: str, new: str) -> dict[str, str]:
    texts = templates()
    assert old in texts[name]
    return texts | {name: texts[name].replace(old, new, 1)}


def row(texts: dict[str, str], finding: Finding) -> str:
    span = finding.labels[0].span
    name = span.source.removeprefix("templates/twin-turnmill/")
    return texts[name].split("\n")[span.line - 1]


@pytest.mark.parametrize(
    ("name", "old", "new", "code"),
    [
        (STEPS, "{{ codes.cycles.cancel }}\n", "{{ codes.cycles.cancle }}\n", "template:undefined"),
        (STEPS, "{{ codes.dwell }}", "{{ dwel }}", "template:undefined"),
        (PROGRAM, "{{ program.word }}", "{{ program.wrd }}", "template:undefined"),
        (PROGRAM, "{{ program.word }}", "{{ program.word ", "template:syntax"),
        (PROGRAM, "{{ program.word }}", "{{ program.word|defualt }}", "template:syntax"),
        (PROGRAM, "{{ codes.program.end }}", "{% if program.repeat %}M05{% endif %}", "template:fused-blocks"),
        (STEPS, "{{ codes.dwell }}", "{{ codes.dwell -}}\n", "template:fused-blocks"),
        (PROGRAM, "{{ program.word }}", "{{ program.word.__class__ }}", "template:fault"),
        (PROGRAM, "{{ program.word }}", "{{ program.word.upper() }}", "template:fault"),
        (PROGRAM, "{{ program.word }}", "{{ codes.model_dump() }}", "template:undefined"),
        (PROGRAM, "{{ program.word }}", "{{ [].append(1) }}", "template:fault"),
        (PROGRAM, "{{ program.word }}", "{{ 1 / 0 }}", "template:fault"),
        (STEPS, "{{ codes.dwell }}", "{{ feeds('F', s) }}", "template:fault"),
    ],
)
def test_a_faulty_template_line_is_named(name: str, old: str, new: str, code: str) -> None:
    """The finding's place is the line that was spoiled."""
    texts = changed(name, old, new)
    finding = fault(texts)
    assert finding.name == code
    assert new.split("\n", maxsplit=1)[0] in row(texts, finding)


def test_a_macro_that_does_not_end_its_line_is_found() -> None:
    """A dwell without its line end would stand in one line with the next block."""
    old = '{{ codes.dwell }}{{ seconds("X", s.seconds) }}\n{% endmacro %}'
    finding = fault(changed(STEPS, old, old.replace("\n{%", "\n{%-")))
    assert (finding.name, finding.labels[0].text) == ("template:unfinished-line", "G04 X1.5")


def test_a_form_of_the_machine_file_that_fits_no_number_is_found() -> None:
    """`M{nummer}` is no wait mark; the place in the machine file is told."""
    odd = machine(form=('"M{number}"', '"M{nummer}"'))
    with pytest.raises(Findings) as caught:
        Writer(odd, templates()).write(part(), pair(part(), odd, toolpaths()))
    (finding,) = caught.value.findings
    assert finding.name == "template:fault"
    assert finding.labels[0].span.source == "templates/twin-turnmill/machine.yaml"


def test_a_missing_macro_or_template_is_found() -> None:
    """A kind of step that the templates do not word is no silent gap."""
    assert fault(changed(STEPS, "{% macro dwell(s) %}", "{% macro dwel(s) %}")).name == "template:no-macro"
    assert fault({PROGRAM: templates()[PROGRAM]}).name == "template:missing"


def test_a_blank_line_in_the_program_is_found() -> None:
    """Lines and blocks count alike."""
    assert fault(changed(STEPS, "{{ codes.dwell }}", "\n{{ codes.dwell }}")).name == "template:blank-line"


def test_a_block_longer_than_the_control_takes_is_found() -> None:
    """84 characters are four too many on the demo machine."""
    assert fault(changed(STEPS, "{{ codes.dwell }}", "{{ codes.dwell }}" + " M08" * 19)).name == "writing:block-length"


def test_a_character_that_the_control_refuses_is_found() -> None:
    """A lower-case letter in a template's own text reaches no control that takes capitals only."""
    assert fault(changed(STEPS, "{{ codes.dwell }}", "{{ codes.dwell }} m08")).name == "writing:character"


def test_a_function_without_a_code_is_found() -> None:
    """An unknown path under `codes` is no empty word."""
    finding = fault(templates(), Function("catcher.sideways"))
    assert (finding.name, "catcher.sideways" in finding.cause) == ("writing:no-code", True)


@pytest.mark.parametrize("text", ["a\ue000b", "a\U000f0001b", "a\U00100000\U00108000b"])
@pytest.mark.parametrize("where", ["title", "note", "member"])
def test_private_use_characters_are_refused(text: str, where: str) -> None:
    """What gemel marks origins with may come from nowhere else; the place is told where there is one."""
    base, paths = part(), toolpaths()
    if where == "title":
        base = replace(base, title=placed(text, 2))
    elif where == "member":
        base = replace(base, member=text)
    else:
        paths["face-front"] = (*paths["face-front"], Note(text))
    with pytest.raises(Findings) as caught:
        write_pair(base, pair(base, MACHINE, paths), MACHINE, templates())
    (finding,) = caught.value.findings
    assert finding.name == "writing:private-character"
    assert where != "title" or finding.labels[0].span.line == 2


def test_private_use_characters_in_a_template_are_refused() -> None:
    """The line is told."""
    finding = fault(changed(STEPS, "{{ codes.dwell }}", "\ue123{{ codes.dwell }}"))
    assert (finding.name, finding.labels[0].span.start) == ("writing:private-character", 0)


def test_a_comment_cannot_end_early() -> None:
    """A closing bracket in a title would make program words of what follows."""
    base = replace(part(), title=placed("Block) M30 (", 2))
    with pytest.raises(Findings) as caught:
        write_pair(base, pair(base, MACHINE, toolpaths()), MACHINE, templates())
    assert caught.value.findings[0].name == "writing:character"


def test_a_template_that_sees_the_marks_loses_its_map_and_says_so() -> None:
    """The plain text is written, whole; only the origins are dropped."""
    texts = changed(STEPS, "{{ codes.dwell }}", '{{ "M08" if position(s|trim) == "" else codes.dwell }}')
    texts = changed(STEPS, "{% macro dwell(s) %}\n", "{% macro dwell(s) %}\n{% set w = seconds('X', s.seconds) %}\n")
    texts[STEPS] = texts[STEPS].replace("{{ codes.dwell }}{{", "{{ codes.dwell if w == ' X1.5' else codes.home }}{{", 1)
    result = write(texts)
    assert "G04 X1.5" in result.channels["upper"].text
    assert result.channels["upper"].map is None
    assert [finding.name for finding in result.findings] == ["writing:map-dropped"]
    assert result.channels["lower"].map is not None


def test_a_writer_is_made_once_and_writes_the_same_bytes() -> None:
    """No clock, no user: two writings are equal, also by different writers."""
    plan = pair(part(), MACHINE, toolpaths())
    first = Writer(MACHINE, templates()).write(part(), plan)
    second = Writer(MACHINE, templates())
    for _ in range(2):
        again = second.write(part(), plan)
        assert {c: w.text for c, w in again.channels.items()} == {c: w.text for c, w in first.channels.items()}
        assert again.stamp == first.stamp


def test_templates_are_compiled_once_for_a_machine_that_is_read_again() -> None:
    """A second reading of the same machine file needs no second compilation; a changed one does."""
    writer = Writer(MACHINE, templates())
    assert writer.is_for(machine(), templates())
    assert not writer.is_for(machine(longest=("longest: 80", "longest: 79")), templates())
    assert not writer.is_for(machine(line=("unit: mm\n", "unit: mm\n\n")), templates())
    assert not writer.is_for(MACHINE, changed(STEPS, "{{ codes.dwell }}", "{{ codes.home }}"))
