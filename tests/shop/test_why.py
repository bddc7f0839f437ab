"""`why` explains the words of a program that stands as gemel wrote it, and says so when it does not."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from gemel.cli import main as boundary
from gemel.findings import Findings
from gemel.shop.why import as_json, why

UPPER = "output/twin-turnmill/port-block-20/port-block-20.upper.nc"
LOWER = "output/twin-turnmill/port-block-20/port-block-20.lower.nc"


def line_of(file: str, start: str) -> int:
    """The first line that begins with `start`."""
    rows = Path(file).read_text().splitlines()
    return next(number for number, row in enumerate(rows, 1) if row.startswith(start))


def refused(place: str) -> str:
    with pytest.raises(Findings) as error:
        why(place)
    [finding] = error.value.findings
    return finding.name


def test_every_word_of_a_block_has_an_origin(real_shop: Path) -> None:
    """A feed move: its code is the machine file's, its coordinate the drawing's value, each with its line."""
    line = line_of(UPPER, "G01 Y")
    answer = why(f"{real_shop / UPPER}:{line}")
    assert (answer.file, answer.line) == (UPPER, line)
    assert [word.word for word in answer.words] == answer.block.split()
    code, y, feed = answer.words
    assert code.copied.startswith("templates/twin-turnmill/machine.yaml:")
    assert y.value is not None
    assert y.word == f"Y{y.value:.3f}"
    across = next(leaf for leaf in y.leaves if leaf.name == "values.across.size")
    assert across.value == 15
    row = Path("families/port-block.yaml").read_text().splitlines()[int(across.where.rpartition(":")[2]) - 1]
    assert row.strip().startswith("across: {size: 15")
    assert "tooth_feed" in feed.formula
    assert all(word.template.startswith("templates/twin-turnmill/") for word in answer.words)
    assert {word.address.operation for word in answer.words} == {"mill-flats"}


def test_every_line_of_both_programs_is_explained(real_shop: Path) -> None:
    """No line asks in vain: its words tile what stands there, and each has value, place or template."""
    assert real_shop.exists()
    for file in (UPPER, LOWER):
        for line, row in enumerate(Path(file).read_text().splitlines(), 1):
            if line % 7 and not row.startswith("G01"):
                continue  # each answer makes the pair again; a seventh of the lines and every tenth feed will do
            if row.startswith("G01") and line % 10:
                continue
            answer = why(f"{file}:{line}")
            assert answer.block == row
            assert answer.words
            assert all(word.value is not None or word.copied or word.template for word in answer.words), row


def test_a_column_names_one_word(real_shop: Path) -> None:
    """Columns count from 1; the word that covers the column is the answer."""
    assert real_shop.exists()
    line = line_of(UPPER, "G01 Y")
    assert [word.word for word in why(f"{UPPER}:{line}:1").words] == ["G01"]
    assert why(f"{UPPER}:{line}:5").words[0].word.startswith("Y")
    assert why(f"{UPPER}:{line}:4").words == ()


def test_the_answer_is_one_json_object(real_shop: Path) -> None:
    """For other programs: the same values, as plain JSON."""
    assert real_shop.exists()
    answer = why(f"{UPPER}:{line_of(UPPER, 'G01 Y')}")
    value = json.loads(as_json(answer))
    assert value["block"] == answer.block
    assert value["words"][1]["address"]["operation"] == "mill-flats"
    assert value["words"][1]["leaves"]


def test_the_command_prints_formula_and_lines(real_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """As a person reads it."""
    assert real_shop.exists()
    assert boundary.run(["why", f"{UPPER}:{line_of(UPPER, 'G01 Y')}:5"]) == 0
    out = capsys.readouterr().out
    assert "stage 2, operation mill-flats" in out
    assert "values.across.size = 15  (families/port-block.yaml:" in out


def test_a_program_out_of_date_is_not_explained(real_shop: Path) -> None:
    """After a value has changed, and before `write`, the text on disk is another one."""
    family = real_shop / "families/port-block.yaml"
    family.write_text(family.read_text().replace("{size: 15,", "{size: 14,"))
    assert refused(f"{UPPER}:30") == "shop:stale"


def test_a_program_changed_by_hand_is_not_explained(real_shop: Path) -> None:
    """The origins are those of another text."""
    assert real_shop.exists()
    with Path(UPPER).open("a") as file:
        file.write("M00\n")
    assert refused(f"{UPPER}:30") == "shop:stale"


@pytest.mark.parametrize(
    ("place", "code"),
    [
        ("42", "shop:no-place"),
        (UPPER, "shop:no-place"),
        (f"{UPPER}:0", "shop:no-place"),
        (f"{UPPER}:99999", "shop:no-place"),
        (f"{UPPER}:-1", "shop:no-place"),
        (f"{UPPER}:42:999", "shop:no-place"),
        ("families/port-block.yaml:3", "shop:not-ours"),
        ("output/twin-turnmill/port-block-20/record.json:3", "shop:not-ours"),
        ("output/twin-turnmill/port-block-20/none.nc:3", "shop:not-ours"),
        ("none/none.nc:3", "shop:not-ours"),
    ],
)
def test_what_is_no_place_of_a_program_is_said(real_shop: Path, place: str, code: str) -> None:
    """Each with the code that says what is wrong with it."""
    assert real_shop.exists()
    assert refused(place) == code


def test_a_pair_copied_elsewhere_is_not_ours(real_shop: Path) -> None:
    """The record must lie where its pair lies."""
    copy = real_shop / "output/twin-turnmill/copy"
    (real_shop / UPPER).parent.rename(copy)
    assert refused(f"{copy / 'port-block-20.upper.nc'}:30") == "shop:not-ours"
