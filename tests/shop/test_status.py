"""One row a pair that tells the truth, from what is on disk and in git, whatever was remembered."""

from __future__ import annotations

import json
import re
import shutil
from typing import TYPE_CHECKING, Any

import pytest

from gemel.cli import main as boundary
from gemel.history import derived as derived_module
from gemel.history import read_repository
from gemel.history.derived import Derived, key_of
from gemel.shop import pair_facts
from gemel.shop.layout import Shop
from gemel.shop.prove_files import pair_names
from gemel.shop.release import Wish, release
from gemel.shop.send import send
from gemel.shop.status import PairStatus, State, status_of_shop
from support.at_control import BRANCH, FOLDER, MACHINE, NAME, both, program, take
from support.repositories import git

if TYPE_CHECKING:
    from pathlib import Path

FAMILY = "families/port-block.yaml"


def row(shop: Path, member: str = "20") -> PairStatus:
    return next(one for one in status_of_shop(Shop(shop)).pairs if one.pair.member == member)


def replace(path: Path, old: str, new: str) -> None:
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new, 1))


def test_a_pair_as_it_should_be(real_shop: Path) -> None:
    """Written, proved, timed, never back from a control, not released: current, and nothing is needed."""
    one = row(real_shop)
    assert (one.state, one.program, one.drawing, one.revision) == (State.CURRENT, 1201, "KB-1042", "C")
    assert one.proof is not None
    assert (one.proof.errors, one.proof.fault) == (0, "")
    assert one.proof.period_s
    assert (one.at_control, one.release, one.needs) == (None, None, ())


def test_a_member_that_was_never_written(real_shop: Path) -> None:
    """It has its row too, and somebody is needed."""
    one = row(real_shop, "35")
    assert (one.state, one.program, one.proof, one.needs) == (State.NOT_WRITTEN, 1202, None, ("not written",))


@pytest.mark.parametrize("file", [FAMILY, f"templates/{MACHINE}/machine.yaml", "templates/tools.yaml"])
def test_a_changed_file_makes_it_stale_until_it_is_written_again(real_shop: Path, file: str) -> None:
    """The file is named; when `gemel write` finds that the texts are the same, the pair is current again."""
    path = real_shop / file
    path.write_text(path.read_text() + "# a comment\n")
    assert (row(real_shop).state, row(real_shop).reasons) == (State.STALE, (file,))
    assert boundary.run(["write", NAME]) == 0
    assert row(real_shop).state is State.CURRENT


def test_a_new_template_makes_it_stale(real_shop: Path) -> None:
    """A file that did not exist when the pair was written counts."""
    (real_shop / f"templates/{MACHINE}/more.j2").write_text("x")
    assert row(real_shop).reasons == (f"templates/{MACHINE}/more.j2",)


def test_a_decision_to_keep_makes_its_own_pair_stale(real_shop: Path, tmp_path: Path) -> None:
    """The edit is not in the text yet; pairs of the family without a kept edit stay what they are."""
    assert boundary.run(["write", "port-block/35"]) == 0
    both(real_shop, tmp_path, (b"F0.08", b"F0.06"))
    take(real_shop, *tmp_path.glob("*.nc"))
    assert boundary.run(["decide", NAME, "--all", "--keep", "--by", "R", "--why", "it rang"]) == 0
    assert row(real_shop).reasons == ("families/port-block.edits.yaml",)
    assert row(real_shop, "35").state is State.CURRENT
    assert boundary.run(["write", NAME]) == 0
    one = row(real_shop)
    assert (one.state, one.edits.kept, one.edits.undecided, one.needs) == (State.CURRENT, 1, 0, ())


def test_what_is_remembered_of_other_files_does_not_count(real_shop: Path) -> None:
    """After writing with one comment and adding another, the pair is stale again."""
    path = real_shop / FAMILY
    path.write_text(path.read_text() + "# one\n")
    assert boundary.run(["write", NAME]) == 0
    path.write_text(path.read_text() + "# two\n")
    assert row(real_shop).state is State.STALE


def test_a_program_that_was_changed_here(real_shop: Path) -> None:
    """The file is named, and it is proved as it stands."""
    path = real_shop / FOLDER / "port-block-20.lower.nc"
    path.write_bytes(re.sub(rb"(?m)^N?\d* ?M70[12].*\n", b"", program(real_shop, "lower")))
    one = row(real_shop)
    assert (one.state, one.reasons) == (State.EDITED, ("port-block-20.lower.nc",))
    assert one.proof is not None
    assert one.proof.errors
    assert one.needs == ("edited here", "not proved")


def test_a_pair_of_no_member(real_shop: Path) -> None:
    """A member that was taken out of the family leaves an orphan that is said."""
    replace(real_shop / FAMILY, '"20":', '"21":')
    assert (row(real_shop).state, row(real_shop, "21").state) == (State.ORPHAN, State.NOT_WRITTEN)


def test_a_family_that_cannot_be_read(real_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Its pairs are still there, and the fault of the file is said with its place."""
    (real_shop / FAMILY).write_text("family: [port-block\n")
    assert row(real_shop).state is State.STALE
    assert boundary.run(["status"]) == 2
    assert f"{FAMILY}:" in capsys.readouterr().err


def test_a_pair_without_record(real_shop: Path) -> None:
    """A folder that nobody can vouch for is said to be unreadable, with the reason."""
    (real_shop / FOLDER / "record.json").write_bytes(b"{")
    one = row(real_shop)
    assert one.state is State.UNREADABLE
    assert "record.json" in one.reasons[0]


def test_edits_at_the_control(real_shop: Path, tmp_path: Path) -> None:
    """Undecided edits are counted; a copy that a control merely renumbered has none."""
    both(real_shop, tmp_path, (b"\nN", b"\nN1"))
    take(real_shop, *tmp_path.glob("*.nc"))
    assert (row(real_shop).edits.undecided, row(real_shop).needs) == (0, ())
    both(real_shop, tmp_path, (b"F0.08", b"F0.06"))
    take(real_shop, *tmp_path.glob("*.nc"))
    one = row(real_shop)
    assert (one.edits.undecided, one.needs) == (1, ("undecided edits",))
    assert one.at_control is not None
    assert (one.at_control.facts.taken_by, one.at_control.other) == ("A Programmer", False)


def test_a_copy_of_an_older_writing(real_shop: Path, tmp_path: Path) -> None:
    """When the shop has moved on and the control has not, the row says another writing."""
    both(real_shop, tmp_path)
    replace(real_shop / FAMILY, "length: 20", "length: 22")
    assert boundary.run(["write", NAME]) == 0
    take(real_shop, *tmp_path.glob("*.nc"))
    one = row(real_shop)
    assert one.at_control is not None
    assert (one.at_control.other, one.edits.undecided) == (True, 0)


def test_what_was_sent_counts_until_something_comes_back(
    real_shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Sent and never seen again: as sent. After an intake the copy counts; after a new sending that one."""
    there = tmp_path / "control"
    there.mkdir()
    send(Shop(real_shop), [NAME], there, None)
    one = row(real_shop)
    assert (one.at_control, one.sent and one.sent.revision) == (None, "C")
    boundary.run(["status"])
    assert "as sent" in capsys.readouterr().out
    take(real_shop, there)
    boundary.run(["status"])
    assert "as written" in capsys.readouterr().out


def test_a_release_counts_for_the_texts_that_were_proved_out(real_shop: Path) -> None:
    """Released until the texts change; then the release is told as that of the older revision."""
    release(Shop(real_shop), Wish(NAME, MACHINE, "A. Setter", "2024-03-01"))
    assert row(real_shop).released
    replace(real_shop / FAMILY, "revision: C", "revision: D")
    assert boundary.run(["write", NAME]) == 0
    one = row(real_shop)
    assert (one.released, one.release and one.release.revision, one.revision) == (False, "C", "D")


def test_what_is_not_recognised_is_said(real_shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A stored copy without a pair needs somebody: status 1, and the command that asks."""
    (tmp_path / "x.nc").write_bytes(b"G0 X1.\nM30\n")
    take(real_shop, tmp_path / "x.nc")
    for member in ("35", "50", "65"):
        replace(real_shop / FAMILY, f'  "{member}":', f'#  "{member}":')
    assert boundary.run(["write"]) == 0
    assert boundary.run(["status"]) == 1
    assert "gemel intake --machine" in capsys.readouterr().out


def test_exit_status_and_json(real_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """0 where nothing is needed; the object has the keys that scripts rely on."""
    for member in ("35", "50", "65"):
        replace(real_shop / FAMILY, f'  "{member}":', f'#  "{member}":')
    assert boundary.run(["write"]) == 0
    capsys.readouterr()
    assert boundary.run(["status", "--format", "json"]) == 0
    value: dict[str, Any] = json.loads(capsys.readouterr().out)
    assert (set(value), value["needs"]) == ({"needs", "pairs", "waiting", "findings"}, False)
    [one] = value["pairs"]
    assert set(one) == {
        "machine", "family", "member", "program", "drawing", "revision", "state", "reasons", "needs", "edits",
        "at_control", "sent", "proof", "period_s", "released", "release",
    }  # fmt: skip
    assert boundary.run(["status"]) == 0
    assert "port-block/20" in capsys.readouterr().out


def test_without_git_it_says_so_and_shows_the_pairs(real_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A shop without a repository has its rows, and status 2."""
    shutil.rmtree(real_shop / ".git")
    assert boundary.run(["status"]) == 2
    said = capsys.readouterr()
    assert "port-block/20" in said.out
    assert "git:no-repository" in said.err


def test_the_second_look_works_nothing_out(real_shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Proof and time come from what is remembered; the row is the same."""
    first = row(real_shop)

    def fail(_task: object) -> None:
        raise AssertionError("worked out again")

    monkeypatch.setattr(pair_facts, "_work_out", fail)
    assert row(real_shop) == first


@pytest.mark.parametrize("body", [b"", b"{}", b"[1]", b'{"sha256": "0", "values": "{}"}', b"\xff", b"null"])
def test_a_spoilt_memory_is_not_believed(real_shop: Path, body: bytes) -> None:
    """Whatever stands in the file of derived values, the row is the same and the file is whole again."""
    first = row(real_shop)
    path = real_shop / ".git/gemel/derived.json"
    path.write_bytes(body)
    assert row(real_shop) == first
    assert json.loads(path.read_bytes())["sha256"]


def test_a_value_that_was_changed_in_the_memory_is_not_believed(real_shop: Path) -> None:
    """One flipped digit spoils the checksum."""
    first = row(real_shop)
    path = real_shop / ".git/gemel/derived.json"
    path.write_bytes(path.read_bytes().replace(b"[0, 0, ", b"[7, 0, "))
    assert row(real_shop) == first


def test_another_gemel_remembers_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The key holds gemel's own code: what an older one worked out is not found."""
    held = Derived(tmp_path)
    held.put(key_of("x", "y"), 1)
    held.save()
    assert Derived(tmp_path).get(key_of("x", "y")) == 1
    monkeypatch.setattr(derived_module, "_code_mark", lambda: "another")
    assert Derived(tmp_path).get(key_of("x", "y")) is None


def test_two_that_remember_lose_nothing_of_each_other(tmp_path: Path) -> None:
    """What another process saved in between stays."""
    one, two = Derived(tmp_path), Derived(tmp_path)
    for held, name in ((one, "a"), (two, "b")):
        assert held.get(name) is None
        held.put(name, name)
    one.save()
    two.save()
    assert (Derived(tmp_path).get("a"), Derived(tmp_path).get("b")) == ("a", "b")


def test_status_changes_nothing_that_the_user_sees(real_shop: Path, tmp_path: Path) -> None:
    """Branches, index and files are the same before and after."""
    both(real_shop, tmp_path, (b"F0.08", b"F0.06"))
    take(real_shop, *tmp_path.glob("*.nc"))
    before = git(real_shop, "for-each-ref"), (real_shop / ".git/index").read_bytes(), _files(real_shop)
    status_of_shop(Shop(real_shop))
    assert (git(real_shop, "for-each-ref"), (real_shop / ".git/index").read_bytes(), _files(real_shop)) == before
    assert read_repository(real_shop).ask("rev-parse", BRANCH).status == 0


def _files(shop: Path) -> dict[str, bytes]:
    return {p.as_posix(): p.read_bytes() for p in shop.rglob("*") if p.is_file() and ".git" not in p.parts}


def test_a_proof_is_done_again_when_the_tools_say_otherwise(real_shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Texts that did not change are proved again when the tools did: a proof looks into them."""
    row(real_shop)
    asked: list[object] = []

    def note(task: object) -> pair_facts.Proof:
        asked.append(task)
        return pair_facts.Proof(0, 0, 1.0, 0)

    monkeypatch.setattr(pair_facts, "_work_out", note)
    path = real_shop / "templates/tools.yaml"
    path.write_text(path.read_text() + "# a comment\n")
    row(real_shop)
    assert len(asked) == 1


def test_families_whose_names_begin_alike_are_told_apart(real_shop: Path) -> None:
    """A pair belongs to the family that its record names, not to the first whose name fits its folder."""
    shutil.copy(real_shop / FAMILY, real_shop / "families/port.yaml")
    assert [name.family for name in pair_names(Shop(real_shop))] == ["port-block"]
