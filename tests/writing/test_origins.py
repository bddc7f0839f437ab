"""Every word of a program knows where it came from."""

from __future__ import annotations

import pytest

from gemel.findings import Findings
from gemel.numbers import Source, sensitivity
from gemel.pairs import pair
from gemel.writing import TextMap, WordReason, WrittenPair, explain_line, write_pair
from support.pairs import machine, part, templates, toolpaths

MACHINES = {name: machine(name) for name in ("twin-turnmill", "inch-duplex")}


def written(name: str = "twin-turnmill") -> WrittenPair:
    facts = MACHINES[name]
    return write_pair(part(), pair(part(), facts, toolpaths()), facts, templates(name))


def origins(pair_: WrittenPair, channel: str = "upper") -> tuple[list[str], TextMap]:
    program = pair_.channels[channel]
    assert program.map is not None
    return program.text.splitlines(), program.map


def reason(pair_: WrittenPair, word: str) -> WordReason:
    lines, text_map = origins(pair_)
    for number in range(1, len(lines) + 1):
        for found in explain_line(text_map, number):
            if found.word == word:
                return found
    raise AssertionError(f"{word} is not in the program")


@pytest.mark.parametrize("name", MACHINES)
@pytest.mark.parametrize("channel", ["upper", "lower"])
def test_every_word_is_explained(name: str, channel: str) -> None:
    """Words tile the blanks-free text of every line, and each has leaves, a copied place or a template line."""
    lines, text_map = origins(written(name), channel)
    for number, line in enumerate(lines, 1):
        words = text_map.line(number)
        assert "".join(w.text for w in words).replace(" ", "") == line.replace(" ", "")
        assert all(line[w.start : w.end] == w.text for w in words)
        for found in explain_line(text_map, number):
            assert found.leaves or found.copied or found.template


@pytest.mark.parametrize("name", MACHINES)
def test_a_word_inside_an_operation_knows_stage_operation_and_step(name: str) -> None:
    """The first milling feed is step 7 of mill-flats in stage 2, whatever the dialect."""
    lines, text_map = origins(written(name))
    word = "F520." if name == "twin-turnmill" else "F20.47"
    number = next(n for n, line in enumerate(lines, 1) if line.endswith(word))
    assert {w.address for w in text_map.line(number)[-2:]} == {text_map.line(number)[-1].address}
    address = text_map.line(number)[-1].address
    assert (address.stage, address.operation, address.step, address.kind) == (2, "mill-flats", 7, "feed")


def test_a_formula_names_the_yaml_values_with_file_and_line() -> None:
    """An expression, arithmetic and a sign: every leaf and the derived value between are told."""
    found = reason(written(), "Z-19.5")
    assert found.formula == "-(values.half + operations.mill-flats.clear)"
    assert [(leaf.name, leaf.where, leaf.formula) for leaf in found.leaves] == [
        ("values.half", "families/block.yaml:10", "values.length / 2"),
        ("values.length", "families/block.yaml:8", ""),
        ("operations.mill-flats.clear", "families/block.yaml:20", ""),
    ]


def test_min_and_max_keep_all_their_arguments() -> None:
    """The start of facing is a maximum of bar size and another value, plus a clearance twice."""
    lines, text_map = origins(written(), "lower")
    number = lines.index("G00 X29.") + 1
    (_, x) = text_map.line(number)
    assert x.number is not None
    slopes = {leaf.name: slope for leaf, slope in sensitivity(x.number).items() if isinstance(leaf, Source)}
    assert slopes == {"stock.size": 1.0, "values.length": 0.0, "operations.mill-flats.clear": 2.0}


def test_rounding_for_the_text_keeps_the_value_behind() -> None:
    """14.9785 is written with three decimals; its reason keeps the value and the derivative 1."""
    lines, text_map = origins(written())
    number = lines.index("G01 X14.979 F520.") + 1
    word = text_map.line(number)[1]
    assert word.number is not None
    assert float(word.number) == 14.9785
    assert list(sensitivity(word.number).values()) == [1.0]


def test_conversion_to_inches_stands_in_the_formula() -> None:
    """On a machine in inches the formula says mm per inch, exactly 25.4 (agreement of 1959)."""
    found = reason(written("inch-duplex"), "X.5897")
    assert found.formula == "values.across / 25.4 (mm per inch)"
    assert found.value == pytest.approx(14.9785 / 25.4)


def test_a_code_tells_its_line_of_the_machine_file() -> None:
    """A code word is copied from the machine file."""
    found = reason(written(), "M103")
    assert found.copied.startswith("templates/twin-turnmill/machine.yaml:")
    row = int(found.copied.rpartition(":")[2])
    assert "drive:" in (templates_row := _machine_row("twin-turnmill", row)), templates_row


def _machine_row(name: str, row: int) -> str:
    from support.pairs import ROOT  # noqa: PLC0415 # this test alone reads the file

    return (ROOT / "templates" / name / "machine.yaml").read_text(encoding="utf-8").splitlines()[row - 1]


def test_literal_text_tells_its_template_line() -> None:
    """The zero of the home move stands in the template."""
    text = templates()["steps.nc.j2"].splitlines()
    found = reason(written(), "U0")
    file, _, row = found.template.rpartition(":")
    assert file == "templates/twin-turnmill/steps.nc.j2"
    assert text[int(row) - 1] == "{{ codes.home }} {{ codes.increments.x }}0"


def test_a_comment_explains_each_of_its_numbers() -> None:
    """A title tells count and size, each with its own origin."""
    lines, text_map = origins(written())
    number = lines.index("(4 FLATS ACROSS 14.979, END MILL 12)") + 1
    assert [found.formula for found in explain_line(text_map, number)] == ["features.body.count", "values.across"]


def test_at_finds_the_word_under_a_column_and_nothing_under_a_blank() -> None:
    """Columns are 0-based and half-open."""
    lines, text_map = origins(written())
    number = lines.index("G01 X14.979 F520.") + 1
    at = [text_map.at(number, column) for column in (0, 3, 4, 10)]
    assert [word.text if word else None for word in at] == ["G01", None, "X14.979", "X14.979"]
    assert text_map.line(len(lines) + 5) == ()


def check_without_origin(change: tuple[str, str]) -> str:
    texts = templates()
    assert change[0] in texts["steps.nc.j2"]
    texts["steps.nc.j2"] = texts["steps.nc.j2"].replace(*change)
    facts = MACHINES["twin-turnmill"]
    with pytest.raises(Findings) as caught:
        write_pair(part(), pair(part(), facts, toolpaths()), facts, texts)
    (finding,) = {found.name: found for found in caught.value.findings}.values()
    assert finding.name == "template:number-without-origin"
    span = finding.labels[0].span
    assert span.source == "templates/twin-turnmill/steps.nc.j2"
    return texts["steps.nc.j2"].split("\n")[span.line - 1]


@pytest.mark.parametrize(
    "words",
    ['{{ lengths("X", 3.5) }}', "{{ 3 + 4 }}", '{{ "12" }}', "{{ s.seconds + 0.5 if false else 2 }}"],
)
def test_a_number_without_origin_is_found_with_its_template_line(words: str) -> None:
    """A literal number in an expression cannot be traced, so the template is refused at that line."""
    row = check_without_origin(("{{ codes.dwell }}{{ seconds", words + "{{ codes.dwell }}{{ seconds"))
    assert words in row
