"""Edits from the control are decided, and the decision survives every regeneration."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from gemel.cli import main as boundary
from gemel.edits.compare import baseline_of, compare
from gemel.edits.model import Verb
from gemel.findings import Findings
from gemel.machines.dialect import dialect_of
from gemel.shop.decide import Wish, decide, open_pair
from gemel.shop.inputs import load_machine_of
from gemel.shop.layout import Shop
from support.at_control import FOLDER, MACHINE, NAME, both, program, take
from support.repositories import git

if TYPE_CHECKING:
    from pathlib import Path

    from gemel.edits.model import Edit

FAMILY, DECISIONS = "families/port-block.yaml", "families/port-block.edits.yaml"
FACING_FEED = (b"X-1.6 F0.2", b"X-1.6 F0.15")
FEEDS = (b"F1193.7", b"F1000.")
COOLANT = (b"M08\nG00 Z2.5\n", b"M08\nG04 X1.5\nG00 Z2.5\n")


@pytest.fixture
def stick(tmp_path: Path) -> Path:
    folder = tmp_path / "stick"
    folder.mkdir()
    return folder


def at_control(shop: Path, stick: Path, *changes: tuple[bytes, bytes]) -> tuple[Edit, ...]:
    """Take in a copy of the pair with these changes; its edits."""
    both(shop, stick)
    for path in stick.iterdir():
        data = path.read_bytes()
        for change in changes:
            data = data.replace(*change)
        path.write_bytes(data)
    take(shop, stick)
    return open_pair(Shop(shop), NAME, MACHINE).edits


def wish(verb: Verb, *edits: str) -> Wish:
    return Wish(NAME, MACHINE, edits, verb, "A. Setter", "chatter", "2026-11-25")


def same_meaning(shop: Path, stick: Path) -> bool:
    """Whether the pair in output/ means what the copy at the control means."""
    machine = load_machine_of(Shop(shop), MACHINE)
    for channel in ("upper", "lower"):
        copy = (stick / f"port-block-20.{channel}.nc").read_bytes()
        found = compare(baseline_of(program(shop, channel), dialect_of(machine, channel)), copy)
        if any(edit.kind.value != "comment" for edit in found.edits):
            return False
    return True


def test_a_kept_edit_is_in_every_regeneration(real_shop: Path, stick: Path) -> None:
    """Kept, it is set in by the next writing, stays through a drawing revision, and `why` says whose it is."""
    (edit,) = at_control(real_shop, stick, COOLANT)
    done = decide(Shop(real_shop), wish(Verb.KEEP, edit.id[:4]))
    assert (done.undecided, done.files) == (0, (DECISIONS,))
    assert boundary.run(["write", NAME]) == 0
    assert b"M08\nG04 X1.5\nG00 Z2.5\n" in program(real_shop, "lower")
    assert same_meaning(real_shop, stick)
    family = real_shop / FAMILY
    family.write_text(family.read_text().replace("revision: C", "revision: D").replace("length: 20,", "length: 22,"))
    assert boundary.run(["write", NAME]) == 0
    text = program(real_shop, "lower")
    assert b"REV D" in text
    assert b"M08\nG04 X1.5\nG00 Z2.5\n" in text


def test_why_tells_whose_edit_it_is(real_shop: Path, stick: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The block that was put in, and one behind it, are explained."""
    (edit,) = at_control(real_shop, stick, COOLANT)
    decide(Shop(real_shop), wish(Verb.KEEP, edit.id))
    assert boundary.run(["write", NAME]) == 0
    line = program(real_shop, "lower")[: program(real_shop, "lower").index(b"G04 X1.5")].count(b"\n") + 1
    capsys.readouterr()
    assert boundary.run(["why", f"{FOLDER}/port-block-20.lower.nc:{line}"]) == 0
    assert f"edit {edit.id}" in (said := capsys.readouterr().out)
    assert "A. Setter" in said
    assert boundary.run(["why", f"{FOLDER}/port-block-20.lower.nc:{line + 1}"]) == 0
    assert "Z2.5" in capsys.readouterr().out


def test_equal_edits_become_one_value_of_the_family(real_shop: Path, stick: Path) -> None:
    """Every feed of the flats was typed lower: one value, one character's place in the YAML, the same text again."""
    edits = at_control(real_shop, stick, FEEDS)
    assert len(edits) > 12
    before = (real_shop / FAMILY).read_text()
    done = decide(Shop(real_shop), wish(Verb.INTO_FAMILY, edits[0].id))
    assert {record.edit.id for record in done.records} == {edit.id for edit in edits}
    after = (real_shop / FAMILY).read_text()
    assert sum(a != b for a, b in zip(before.splitlines(), after.splitlines(), strict=True)) == 1
    assert boundary.run(["write", NAME]) == 0
    assert same_meaning(real_shop, stick)
    assert git(real_shop, "status", "--porcelain") == ""


def test_all_decided_gives_the_text_at_the_control(real_shop: Path, stick: Path) -> None:
    """Some into the family, the rest kept: regenerating the untouched family means what runs at the control."""
    edits = at_control(real_shop, stick, FACING_FEED, FEEDS, COOLANT, (b"G97 S4000 M03", b"G97 S3500 M03"))
    for edit in edits:
        if edit.id not in {e.id for e in open_pair(Shop(real_shop), NAME, MACHINE).undecided}:
            continue
        try:
            decide(Shop(real_shop), wish(Verb.INTO_FAMILY, edit.id))
        except Findings:
            decide(Shop(real_shop), wish(Verb.KEEP, edit.id))
    verbs = {record.verb for record in open_pair(Shop(real_shop), NAME, MACHINE).decided.values()}
    assert verbs == {Verb.KEEP, Verb.INTO_FAMILY}
    assert boundary.run(["write", NAME]) == 0
    assert same_meaning(real_shop, stick)


def test_edits_that_are_alike_are_decided_together(real_shop: Path, stick: Path) -> None:
    """One id stands for all of which the same is said, and for no other."""
    edits = at_control(real_shop, stick, FEEDS, COOLANT)
    words = ["decide", NAME, edits[0].id, "--alike", "--keep", "--by", "A", "--why", "b"]
    assert boundary.run(words) == 0
    assert [edit.new for edit in open_pair(Shop(real_shop), NAME, MACHINE).undecided] == ["G04 X1.5"]


def test_a_dropped_edit_is_on_record_and_gone(real_shop: Path, stick: Path) -> None:
    """The regenerated pair is as the family says, and who dropped the edit and why can be read."""
    at_control(real_shop, stick, FACING_FEED)
    standing = program(real_shop, "lower")
    assert decide(Shop(real_shop), wish(Verb.DROP)).undecided == 0
    assert boundary.run(["write", NAME]) == 0
    assert program(real_shop, "lower") == standing
    assert "decision: drop" in (real_shop / DECISIONS).read_text()
    assert "chatter" in git(real_shop, "log", "-1", "--format=%B", "--", DECISIONS)


def test_a_stranded_edit_stops_its_pair_and_shows_both_sides(
    real_shop: Path, stick: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The revision changes the same word: nothing is written, status 1; dropped, the pair is written."""
    edit = at_control(real_shop, stick, FACING_FEED)[0]
    decide(Shop(real_shop), wish(Verb.KEEP, edit.id))
    family = real_shop / FAMILY
    old = "face-front: {feature: front, process: face, channel: lower, spindle: left, tool: turn-rough-80}"
    assert old in family.read_text()
    family.write_text(family.read_text().replace(old, old[:-1] + ", cutting: {feed: 0.18}}"))
    standing = program(real_shop, "lower")
    capsys.readouterr()
    assert boundary.run(["write", NAME]) == 1
    said = "".join(capsys.readouterr())
    assert "F0.15" in said
    assert "F0.18" in said
    assert program(real_shop, "lower") == standing
    assert boundary.run(["decide", NAME, edit.id, "--drop", "--by", "B", "--why", "0.18 is right"]) == 0
    assert boundary.run(["write", NAME]) == 0
    assert b"F0.18" in program(real_shop, "lower")


def test_the_family_may_have_moved_on_before_the_decision(real_shop: Path, stick: Path) -> None:
    """A copy of the old baseline, decided after a revision that touched other things: into the family all the same."""
    edits = at_control(real_shop, stick, FACING_FEED, FEEDS)
    family = real_shop / FAMILY
    family.write_text(family.read_text().replace("revision: C", "revision: D").replace("length: 20,", "length: 22,"))
    git(real_shop, "commit", "-qam", "revision D")
    assert boundary.run(["write", NAME]) == 0
    done = decide(Shop(real_shop), wish(Verb.INTO_FAMILY, edits[-1].id))
    assert "0.15" in " ".join(done.records[0].changes)
    assert boundary.run(["write", NAME]) == 0
    assert b"F0.15" in program(real_shop, "lower")


def test_work_of_others_is_not_committed(real_shop: Path, stick: Path) -> None:
    """A family that somebody is editing gets the value, but stays theirs to commit."""
    edits = at_control(real_shop, stick, FEEDS)
    (real_shop / FAMILY).write_text((real_shop / FAMILY).read_text() + "# half done\n")
    done = decide(Shop(real_shop), wish(Verb.INTO_FAMILY, edits[0].id))
    assert done.uncommitted == (FAMILY,)
    assert git(real_shop, "status", "--porcelain").split() == ["M", FAMILY]


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (["0badf00d", "--keep", "--by", "A", "--why", "b"], "decide:no-edit"),
        (["--all", "--keep", "--by", " ", "--why", "b"], "decide:nobody"),
        (["--all", "--keep", "--by", "A", "--why", ""], "decide:nobody"),
        (["--all", "--keep", "--by", "A", "--why", "b", "--on", "tomorrow"], "decide:nobody"),
        (["--all", "--into-family", "--by", "A", "--why", "b"], "decide:no-value"),
        (["--all", "--keep", "--drop", "--by", "A", "--why", "b"], "--keep"),
        (["--keep", "--by", "A", "--why", "b"], "--all"),
    ],
)
def test_what_cannot_be_decided_changes_nothing(
    real_shop: Path, stick: Path, capsys: pytest.CaptureFixture[str], words: list[str], code: str
) -> None:
    """Status 2, the reason, and no file or commit is another one."""
    at_control(real_shop, stick, COOLANT)
    before = git(real_shop, "rev-parse", "HEAD")
    capsys.readouterr()
    assert boundary.run(["decide", NAME, *words]) == 2
    assert code in "".join(capsys.readouterr())
    assert git(real_shop, "rev-parse", "HEAD") == before
    assert git(real_shop, "status", "--porcelain") == ""
