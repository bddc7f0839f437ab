"""Bad input gets a clear error with its place, and everything stays as it was."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from gemel.cli import main as boundary
from support.repositories import git

if TYPE_CHECKING:
    from pathlib import Path

FAMILY = "families/port-block.yaml"
STEPS = "templates/twin-turnmill/steps.nc.j2"
PROGRAM = "templates/twin-turnmill/program.nc.j2"
ALIASES = "title: &a [1, 2]\nx: &b [*a, *a, *a, *a, *a, *a, *a, *a, *a, *a]\n" + "".join(
    f"x{n}: &{chr(99 + n)} [{', '.join(['*' + chr(98 + n)] * 10)}]\n" for n in range(9)
)


def state_of(root: Path) -> dict[str, bytes]:
    """Every file of the shop but git's own and gemel's lock."""
    files = (p for p in root.rglob("*") if p.is_file() and not {".git", ".gemel"} & set(p.relative_to(root).parts))
    return {p.relative_to(root).as_posix(): p.read_bytes() for p in files}


def refused(root: Path, capsys: pytest.CaptureFixture[str], status: int = 2) -> str:
    """What `write` says; it must end with a finding and change nothing, neither in the shop nor outside nor in git."""
    before, outside = state_of(root), sorted(p.name for p in root.parent.iterdir())
    tip = git(root, "rev-parse", "HEAD")
    capsys.readouterr()
    assert boundary.run(["write"]) == status
    said = capsys.readouterr().err
    assert "Traceback" not in said
    assert "fault of gemel" not in said
    assert "remedy: " in said
    assert state_of(root) == before
    assert sorted(p.name for p in root.parent.iterdir()) == outside
    assert git(root, "rev-parse", "HEAD") == tip
    return said


CASES = [
    pytest.param("general: m", "general: m\ncoolnat: high", "document:unknown-key", id="unknown key"),
    pytest.param("[take-block, cut-off]", "[take-blok, cut-off]", "family:stage-unknown", id="misspelt in a stage"),
    pytest.param("[feed-bar, face-front,", "[feed-bar,", "family:stage-missing", id="in no stage"),
    pytest.param("[block-away]", "[block-away, face-back]", "family:stage-twice", id="in two stages"),
    pytest.param('"6": tap-m5', '"6": tap-m4', "family:unknown", id="a tool that the channel lacks"),
    pytest.param(
        "drill_depth: 8.5", "drill_depth: 85", "operation:tool-does-not-fit", id="deeper than the drill reaches"
    ),
    pytest.param("{size: 15, tol", "{size: 25, tol", "operation:impossible", id="flats larger than the bar allows"),
    pytest.param("thread: M5", "thread: M5.5", "family:unknown-thread", id="unknown thread"),
    pytest.param("tolerance: h9", "tolerance: hh9", "family:unknown-tolerance", id="unknown tolerance"),
    pytest.param("corner: 0.4", "corner: bore / corner", "family:circular", id="circular value"),
    pytest.param("corner: 0.4", "corner: 1 / (ports - ports)", "family:division", id="division by zero"),
    pytest.param("corner: 0.4", 'corner: "().__class__"', "family:", id="reaches for attributes"),
    pytest.param("corner: 0.4", 'corner: "open(1)"', "family:", id="reaches for builtins"),
    pytest.param("corner: 0.4", "corner: 0,4", "family:decimal-comma", id="decimal comma"),
    pytest.param('"20": {length', '"../x": {length', "family:member-name", id="leaves the folder"),
    pytest.param("program: 1202", "program: 1201", "family:program-twice", id="two members with one number"),
    pytest.param("program: 1202", "program: 9999", "family:program-range", id="number out of range"),
    pytest.param(
        "Square port block", "Square port block; 50 € each (big)", "family:comment", id="characters that are refused"
    ),
    pytest.param("unit: mm", "unit: mm\nunit: mm", "document:duplicate-key", id="duplicate key"),
    pytest.param("  corner: 0.4", "\tcorner: 0.4", "document:not-yaml", id="tab"),
    pytest.param("title: Square port block", "title: yes", "document:word", id="yes for a text"),
    pytest.param("values:\n", "values: {a: [\n", "document:not-yaml", id="no YAML"),
    pytest.param("    depth: 6\n", "    depth: -6\n", "family:out-of-bounds", id="a depth below zero"),
    pytest.param("{depth: 2.5}", "{depth: 0}", "family:out-of-bounds", id="a pass of no depth"),
    pytest.param("count: ports}", "count: ports / 8}", "family:out-of-bounds", id="an eighth of a hole"),
    pytest.param("corner: 0.4", "corner: 1e400", "family:arithmetic", id="a number too large"),
    pytest.param("stick_out: length + 15", "stick_out: length", "operation:impossible", id="a tool in the chuck"),
    pytest.param("family: port-block", "family: port-blok", "shop:other-name", id="another name inside"),
    pytest.param("machine: twin-turnmill", "machine: twin-turnmil", "shop:no-machine", id="unknown machine"),
    pytest.param("material: aluminium-6082", "material: aluminum-6082", "family:unknown", id="unknown material"),
]


@pytest.mark.parametrize(("before", "after", "code"), CASES)
def test_a_fault_of_a_family(
    real_shop: Path, capsys: pytest.CaptureFixture[str], before: str, after: str, code: str
) -> None:
    """One fault in the family: its code and line are said, nothing is written, nothing is lost."""
    text = (real_shop / FAMILY).read_text()
    assert before in text
    (real_shop / FAMILY).write_text(text.replace(before, after, 1))
    said = refused(real_shop, capsys)
    assert f"[{code}" in said, said
    assert f"{FAMILY}:" in said, said
    assert re.search(r"^ +[0-9]+ \| ", said, re.MULTILINE), said


def test_all_faults_of_a_file_in_one_run(real_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Three faults in one file are all named, each with its line."""
    text = (real_shop / FAMILY).read_text()
    text = text.replace("thread: M5", "thread: M55").replace("[block-away]", "[away]")
    (real_shop / FAMILY).write_text(text)
    said = refused(real_shop, capsys)
    assert {"[family:unknown-thread]", "[family:stage-unknown]", "[family:stage-missing]"} <= set(said.split()), said


def test_a_stage_table_longer_than_the_wait_numbers(real_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A hundred stages use up the shop's 99 wait numbers."""
    with (real_shop / FAMILY).open("a") as file:
        file.write("  - {lower: []}\n" * 95)
    assert "[family:waits-used-up]" in refused(real_shop, capsys)


def test_a_hundred_megabytes_of_yaml(real_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Refused by its size, without being read."""
    with (real_shop / "families/big.yaml").open("wb") as file:
        file.truncate(100_000_000)
    git(real_shop, "add", "-N", "families/big.yaml")
    capsys.readouterr()
    assert boundary.run(["write", "big"]) == 2
    assert "[shop:unreadable]" in capsys.readouterr().err


def test_an_alias_bomb(real_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A few lines that would grow without end are refused."""
    (real_shop / FAMILY).write_text(ALIASES)
    assert "[document:expands]" in refused(real_shop, capsys)


@pytest.mark.parametrize(
    ("file", "change", "code"),
    [
        pytest.param(STEPS, ("codes.home", "codes.hoem"), "template:undefined", id="an undefined name"),
        pytest.param(STEPS, ("{{ codes.home }}", "{{ codes.home"), "template:syntax", id="no template"),
        pytest.param(PROGRAM, ("", "{% if true %}G00{% endif %}\n"), "template:fused-blocks", id="fuses two blocks"),
    ],
)
def test_a_fault_of_a_template(
    real_shop: Path, capsys: pytest.CaptureFixture[str], file: str, change: tuple[str, str], code: str
) -> None:
    """The finding names the template and its line."""
    text = (real_shop / file).read_text()
    before, after = change
    assert before in text
    (real_shop / file).write_text(text.replace(before, after, 1) if before else text + after)
    said = refused(real_shop, capsys)
    assert f"[{code}]" in said, said
    assert f"{file}:" in said, said


def test_a_machine_file_with_several_faults(real_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Each is named; the family's own faults are named in the same run."""
    machine = real_shop / "templates/twin-turnmill/machine.yaml"
    text = machine.read_text().replace("catcher: true", "catchr: true").replace("offset: left", "offset: 3", 1)
    machine.write_text(text)
    (real_shop / FAMILY).write_text((real_shop / FAMILY).read_text().replace("general: m", "generl: m"))
    said = refused(real_shop, capsys)
    assert "`catchr` has no meaning here" in said, said
    assert "`generl` has no meaning here" in said, said


def test_a_machine_file_that_contradicts_itself(real_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Wait numbers that run backwards, a tool call that is none: both at their lines."""
    machine = real_shop / "templates/twin-turnmill/machine.yaml"
    text = (
        machine.read_text().replace("first: 701, last: 799", "first: 799, last: 701").replace("call: T0101", "call: 7")
    )
    machine.write_text(text.replace("call: 7", 'call: "7"'))
    said = refused(real_shop, capsys)
    assert {"[machine:range]", "[machine:form]"} <= set(said.split()), said
    assert "templates/twin-turnmill/machine.yaml:" in said, said


def test_two_families_with_one_number(real_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The same program number in another family on the same machine is refused in both."""
    text = (real_shop / FAMILY).read_text()
    (real_shop / "families/other.yaml").write_text(text.replace("family: port-block", "family: other"))
    said = refused(real_shop, capsys)
    assert "program 1201 of port-block/20 is also that of other/20 on twin-turnmill" in said
    assert "[shop:duplicate-program]" in said


def test_a_pair_that_does_not_pass_the_proof_is_not_written(
    real_shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two channels in one zone: the proof says so, nothing is written; `--unproved` writes elsewhere, marked."""
    text = good = (real_shop / FAMILY).read_text()
    text = text.replace(
        "  - {lower: [feed-bar, face-front, drill-gallery]}\n  - {upper: [mill",
        "  - {lower: [feed-bar, face-front, drill-gallery], upper: [mill",
    )
    (real_shop / FAMILY).write_text(text)
    said = refused(real_shop, capsys, status=1)
    assert "[shop:not-proved]" in said
    assert "[zones:" in said
    before = git(real_shop, "rev-parse", "HEAD")
    assert boundary.run(["write", "--unproved"]) == 1
    marked = sorted((real_shop / "unproved/twin-turnmill").iterdir())
    assert {"port-block-20.unproved.lower.nc", "port-block-20.unproved.upper.nc"} <= {path.name for path in marked}
    assert all(b"(NOT PROVED: FOR LOOKING AT ONLY, DO NOT RUN)" in path.read_bytes() for path in marked)
    assert git(real_shop, "rev-parse", "HEAD") == before
    (real_shop / FAMILY).write_text(good)
    assert boundary.run(["write"]) == 0
    assert not list((real_shop / "unproved/twin-turnmill").iterdir())
