"""An intake stores what a control wrote, untouched and first of all; then it finds out whose it is."""

from __future__ import annotations

import hashlib
import json
import re
import shutil
from typing import TYPE_CHECKING

import pytest

from gemel.cli import main as boundary
from gemel.findings import Findings
from gemel.history import PairName, latest_intake, read_repository
from gemel.shop import intake as intake_module
from gemel.shop.intake import Request, Result, take_in
from gemel.shop.layout import Shop
from support.control import HABITS, all_at_once
from support.repositories import git

if TYPE_CHECKING:
    from pathlib import Path

MACHINE = "twin-turnmill"
BRANCH = f"at-control/{MACHINE}"
PAIR = PairName(MACHINE, "port-block", "20")
FOLDER = f"output/{MACHINE}/port-block-20"


def program(shop: Path, channel: str) -> bytes:
    return (shop / f"{FOLDER}/port-block-20.{channel}.nc").read_bytes()


@pytest.fixture
def stick(tmp_path: Path) -> Path:
    """A folder that a control writes to."""
    folder = tmp_path / "stick"
    folder.mkdir()
    return folder


def both(shop: Path, stick: Path, change: tuple[bytes, bytes] = (b"", b"")) -> None:
    for number, channel in enumerate(("upper", "lower"), start=1):
        (stick / f"O1201.P{number}").write_bytes(program(shop, channel).replace(*change))


def take(shop: Path, *paths: Path | str, told: tuple[str, ...] = ()) -> Result:
    return take_in(Shop(shop), Request(tuple(map(str, paths)), MACHINE, told))


def codes(result: Result) -> list[str]:
    return [finding.name for finding in result.findings]


def copies(shop: Path) -> dict[str, bytes | None]:
    intake = latest_intake(read_repository(shop), PAIR)
    assert intake is not None
    return {name: channel.copy for name, channel in intake.channels.items()}


def commits(shop: Path) -> int:
    return int(git(shop, "rev-list", "--count", BRANCH))


def state_of(shop: Path) -> tuple[str, str, bytes, dict[str, bytes]]:
    """What the user has: the branch, the index to the byte, every file; read without refreshing anything."""
    looks = git(shop, "--no-optional-locks", "status", "--porcelain")
    files = {p.as_posix(): p.read_bytes() for p in shop.rglob("*") if p.is_file() and ".git" not in p.parts}
    return looks, git(shop, "rev-parse", "HEAD"), (shop / ".git/index").read_bytes(), files


def test_a_copy_is_stored_byte_for_byte_and_known_by_its_stamp(real_shop: Path, stick: Path) -> None:
    """Plain git shows the bytes that were given; their digest is in the record; the baseline is the one written."""
    both(real_shop, stick, (b"F0.08", b"F0.06"))
    [taken] = take(real_shop, stick).taken
    assert (taken.pair, taken.changed) == (PAIR, ("lower",))
    for number, channel in enumerate(("upper", "lower"), start=1):
        given = (stick / f"O1201.P{number}").read_bytes()
        assert git(real_shop, "show", f"{BRANCH}:port-block-20/{channel}.nc").encode() == given
        facts = json.loads(git(real_shop, "show", f"{BRANCH}:port-block-20/intake.json"))["channels"][channel]
        assert facts["sha256"] == facts["file_sha256"] == hashlib.sha256(given).hexdigest()
        assert facts["known_by"] == "stamp"
    intake = latest_intake(read_repository(real_shop), PAIR)
    assert intake is not None
    assert {name: c.baseline for name, c in intake.channels.items()} == {
        channel: program(real_shop, channel) for channel in ("upper", "lower")
    }
    assert not intake.mixed
    assert intake.facts.taken_by == "A Programmer"


def test_it_is_stored_before_anything_reads_it(real_shop: Path, stick: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """When reading fails altogether, the bytes are in git all the same."""

    def fail(_data: bytes) -> list[object]:
        raise RuntimeError("the reader is broken")

    monkeypatch.setattr(intake_module, "pieces_of", fail)
    both(real_shop, stick)
    with pytest.raises(RuntimeError):
        take(real_shop, stick)
    stored = {git(real_shop, "show", f"{BRANCH}:{name}").encode() for name in _received(real_shop)}
    assert stored == {path.read_bytes() for path in stick.iterdir()}
    monkeypatch.undo()
    assert [one.pair for one in take(real_shop, stick).taken] == [PAIR]
    assert _received(real_shop) == []


def _received(shop: Path) -> list[str]:
    names = git(shop, "ls-tree", "-r", "--name-only", BRANCH).split()
    return [name for name in names if name.startswith("received/") and name.endswith(".nc")]


def test_working_tree_index_and_branch_are_left_alone(real_shop: Path, stick: Path) -> None:
    """With staged, changed and untracked files everything of the user's is the same to the byte afterwards."""
    (real_shop / "families/port-block.yaml").write_bytes(b"# half done\n")
    (real_shop / "new").write_bytes(b"1")
    (real_shop / "staged").write_bytes(b"2")
    git(real_shop, "add", "staged")
    before = state_of(real_shop)
    both(real_shop, stick, (b"F0.08", b"F0.06"))
    assert take(real_shop, stick).taken
    assert state_of(real_shop) == before


def test_the_same_copy_twice_is_one_intake(real_shop: Path, stick: Path) -> None:
    """The second time nothing is stored and no commit is made, also under another file name."""
    both(real_shop, stick, (b"F0.08", b"F0.06"))
    take(real_shop, stick)
    before = commits(real_shop)
    (stick / "O1201.P2").rename(stick / "renamed.nc")
    again = take(real_shop, stick)
    assert (again.stored, [one.commit for one in again.taken]) == (0, [""])
    assert commits(real_shop) == before


def test_a_copy_that_came_back_to_what_it_was_is_a_new_intake(real_shop: Path, stick: Path) -> None:
    """Edited and edited back: the latest copy is the last that came, and git has all three."""
    for change in ((b"", b""), (b"F0.08", b"F0.06"), (b"", b"")):
        both(real_shop, stick, change)
        take(real_shop, stick)
    assert copies(real_shop)["lower"] == program(real_shop, "lower")
    assert git(real_shop, "log", "--format=%s", BRANCH, "--", "port-block-20/lower.nc").count("\n") == 3


@pytest.mark.parametrize("habit", HABITS)
def test_whatever_a_control_does_to_the_file_its_pair_is_known(real_shop: Path, stick: Path, habit: str) -> None:
    """Each thing that controls do to a text leaves pair, channel and baseline known, and the bytes as they came."""
    for channel in ("upper", "lower"):
        (stick / channel).write_bytes(HABITS[habit](program(real_shop, channel)))
    result = take(real_shop, stick)
    assert [one.pair for one in result.taken] == [PAIR], result.findings
    assert copies(real_shop) == {channel: (stick / channel).read_bytes() for channel in ("upper", "lower")}
    assert codes(result) == (["intake:nearest"] * 2 if habit == "comments lost" else [])


def test_all_that_a_control_does_at_once(real_shop: Path, stick: Path) -> None:
    """Renumbered, re-spelled, squeezed, with leader and odd line ends: still known by its stamp."""
    for channel in ("upper", "lower"):
        (stick / channel).write_bytes(all_at_once(program(real_shop, channel)))
    result = take(real_shop, stick)
    assert ([one.pair for one in result.taken], codes(result)) == ([PAIR], [])


def test_several_programs_in_one_file(real_shop: Path, stick: Path) -> None:
    """Both channels and a stranger in one dump: the pair is taken in, the stranger is stored and said."""
    stranger = b"O4711 (NOBODY)\nG0 X1.\nM30\n"
    whole = (
        b"%\n" + b"".join(program(real_shop, c).replace(b"%\n", b"") for c in ("upper", "lower")) + stranger + b"%\n"
    )
    (stick / "ALL-PROG.TXT").write_bytes(whole)
    result = take(real_shop, stick)
    assert ([one.pair for one in result.taken], codes(result)) == ([PAIR], ["intake:unrecognised"])
    assert [one.file for one in result.waiting] == ["ALL-PROG.TXT"]
    parts = copies(real_shop)
    assert (parts["upper"] or b"") + (parts["lower"] or b"") + stranger + b"%\n" == whole
    assert [git(real_shop, "show", f"{BRANCH}:{name}").encode() for name in _received(real_shop)] == [whole]
    before = commits(real_shop)
    assert codes(take(real_shop, stick)) == ["intake:unrecognised"]
    assert commits(real_shop) == before


def test_a_subprogram_behind_its_caller_stays_with_it(real_shop: Path, stick: Path) -> None:
    """What the turret's program calls, and the control wrote behind it, is part of the copy."""
    body = program(real_shop, "lower").replace(b"M08\n", b"M08\nM98 P8001\n", 1).replace(b"%\n", b"")
    (stick / "O1201").write_bytes(body + b"O8001\nG04 X1.\nM99\n")
    result = take(real_shop, stick)
    assert codes(result) == []
    assert copies(real_shop) == {"lower": (stick / "O1201").read_bytes(), "upper": None}


def revise(shop: Path) -> bytes:
    """A drawing revision; gives the turret's program as it was before."""
    before = program(shop, "lower")
    path = shop / "families/port-block.yaml"
    text = re.sub(r"length: 20\b", "length: 22", path.read_text()).replace("revision: C", "revision: D")
    path.write_text(text)
    git(shop, "commit", "--quiet", "-am", "revision D")
    assert boundary.run(["write", "port-block/20"]) == 0
    assert program(shop, "lower") != before
    return before


def test_the_baseline_that_the_stamp_names_is_found_when_the_family_has_moved_on(real_shop: Path, stick: Path) -> None:
    """A copy of the writing before the last is compared with that one, and nothing is rendered for it."""
    before = revise(real_shop)
    (stick / "O1201").write_bytes(before.replace(b"F0.08", b"F0.06"))
    take(real_shop, stick)
    intake = latest_intake(read_repository(real_shop), PAIR)
    assert intake is not None
    assert intake.channels["lower"].baseline == before
    assert intake.channels["lower"].record.revision == "C"
    wrote = git(real_shop, "show", f"{intake.channels['lower'].given.commit}:{FOLDER}/port-block-20.lower.nc")  # type: ignore[union-attr]
    assert wrote.encode() == before


def test_without_any_comment_the_nearest_writing_is_taken(real_shop: Path, stick: Path) -> None:
    """A copy of the old writing whose comments are lost is not compared with the new one, and that is said."""
    before = revise(real_shop)
    (stick / "O1201").write_bytes(HABITS["comments lost"](before))
    result = take(real_shop, stick)
    assert codes(result) == ["intake:nearest"]
    intake = latest_intake(read_repository(real_shop), PAIR)
    assert intake is not None
    assert intake.channels["lower"].record.revision == "C"


def test_channels_of_two_writings_are_said_to_be_mixed(real_shop: Path, stick: Path) -> None:
    """When one channel at the control is older than the other, a warning names both stamps."""
    before = revise(real_shop)
    (stick / "lower").write_bytes(before)
    (stick / "upper").write_bytes(program(real_shop, "upper"))
    assert codes(take(real_shop, stick)) == ["intake:mixed"]


def test_a_baseline_that_no_branch_has_any_more_is_found_beside_the_earlier_copy(real_shop: Path, stick: Path) -> None:
    """After the history of output/ is gone, the next copy is compared with the baseline kept on the side branch."""
    both(real_shop, stick)
    take(real_shop, stick)
    before = {channel: program(real_shop, channel) for channel in ("upper", "lower")}
    revise(real_shop)
    git(real_shop, "checkout", "--quiet", "--orphan", "fresh")
    git(real_shop, "commit", "--quiet", "-m", "history cut off")
    git(real_shop, "branch", "-D", "main")
    (stick / "O1201.P2").write_bytes(before["lower"].replace(b"F0.08", b"F0.05"))
    result = take(real_shop, stick)
    assert (codes(result), result.taken[0].changed) == ([], ("lower",))


def test_an_unknown_stamp_is_not_compared_with_something_else(real_shop: Path, stick: Path) -> None:
    """A copy whose baseline is in no branch is stored, said, and compared with nothing."""
    text = re.sub(rb"STAMP [0-9A-F]+", b"STAMP ABCDEF0123", program(real_shop, "lower"))
    (stick / "O1201").write_bytes(text)
    result = take(real_shop, stick)
    assert (codes(result), result.taken, len(result.waiting)) == (["side:no-baseline"], [], 1)
    told = take(real_shop, told=("port-block/20:lower",))
    assert (codes(told), [one.pair for one in told.taken], told.waiting) == (["intake:nearest"], [PAIR], [])
    assert copies(real_shop)["lower"] == text


def test_a_program_that_says_nothing_of_itself_is_asked_for(
    real_shop: Path, stick: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Stored, status 1, and the remedy names `--as`; told so, it is taken in."""
    text = re.sub(rb"O1201[^\n]*\n", b"", HABITS["comments lost"](program(real_shop, "lower")))
    (stick / "copy.txt").write_bytes(text)
    assert boundary.run(["intake", str(stick / "copy.txt"), "--machine", MACHINE]) == 1
    said = capsys.readouterr()
    assert "--as MEMBER:CHANNEL" in said.err
    assert "1 not recognised yet" in said.out
    words = ["intake", "--machine", MACHINE, "--as", "copy.txt=port-block/20:lower"]
    assert boundary.run(words) == 0, capsys.readouterr().err
    assert copies(real_shop)["lower"] == text


@pytest.mark.parametrize("told", ["port-block/53:lower", "port-block/20:turret", "nonsense", "x=port-block/20:lower"])
def test_a_wrong_answer_is_refused(real_shop: Path, stick: Path, told: str) -> None:
    """A member, channel or file that is not there is named, and the copy stays stored."""
    (stick / "copy").write_bytes(b"G0 X1.\nM30\n")
    result = take(real_shop, stick, told=(told,))
    assert codes(result) == ["intake:as"]
    assert len(result.waiting) == 1


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        (rb"O1201 \(PORT-BLOCK 20 UPPER\)", b"O1201 (PORT-BLOCK 20 LOWER)", "intake:doubt"),
        (rb"(?s)^(.*)$", rb"\1(STAMP OF ANOTHER: 0000000000)", None),
        (rb"O1201", b"O9201", None),
    ],
)
def test_what_contradicts_itself_is_asked_for(
    real_shop: Path, stick: Path, old: bytes, new: bytes, code: str | None
) -> None:
    """A header that names the other channel is in doubt; ten digits and a trial number are not."""
    (stick / "x").write_bytes(re.sub(old, new, program(real_shop, "upper"), count=1))
    result = take(real_shop, stick)
    assert codes(result) == ([code] if code else [])
    assert bool(result.taken) == (code is None)


def test_two_different_programs_for_one_channel_are_not_chosen_between(real_shop: Path, stick: Path) -> None:
    """The running program and a trial copy with the same stamp: neither becomes the latest by itself."""
    (stick / "O1201").write_bytes(program(real_shop, "lower"))
    (stick / "O9201").write_bytes(program(real_shop, "lower").replace(b"O1201", b"O9201"))
    result = take(real_shop, stick)
    assert (codes(result), result.taken, len(result.waiting)) == (["intake:twice"], [], 2)
    told = take(real_shop, stick / "O9201", told=("port-block/20:lower",))
    assert [one.files for one in told.taken] == [{"lower": "O9201"}]


def test_an_older_copy_recognised_late_does_not_become_the_latest(
    real_shop: Path, stick: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What waited while a newer copy came goes into history only, and that is said."""
    nameless = re.sub(rb"O1201[^\n]*\n", b"", HABITS["comments lost"](program(real_shop, "lower")))
    (stick / "old").write_bytes(nameless)
    take(real_shop, stick)
    (stick / "old").unlink()
    both(real_shop, stick)
    import datetime as dt  # noqa: PLC0415 # the test moves it on

    from gemel.shop import place_copies  # noqa: PLC0415 # where the time is asked

    class Later(dt.datetime):
        """One hour on."""

        @classmethod
        def now(cls, tz: dt.tzinfo | None = None) -> Later:
            return super().now(tz) + dt.timedelta(hours=1)

    monkeypatch.setattr(place_copies, "datetime", Later)
    take(real_shop, stick)
    result = take(real_shop, told=("port-block/20:lower",))
    assert codes(result) == ["intake:superseded"]
    assert copies(real_shop)["lower"] == program(real_shop, "lower")
    assert result.waiting == []


def test_nothing_to_take_in(real_shop: Path, stick: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """An empty folder, a name that is not there, an unknown machine: status 2, no branch."""
    assert boundary.run(["intake", str(stick), "--machine", MACHINE]) == 2
    assert boundary.run(["intake", str(stick / "none"), "--machine", MACHINE]) == 2
    assert boundary.run(["intake", str(stick), "--machine", "lathe"]) == 2
    assert "Traceback" not in capsys.readouterr().err
    assert git(real_shop, "branch", "--list", "at-control/*") == ""


def test_a_file_that_is_still_growing_is_left(real_shop: Path, stick: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What changes between the beginning and the end of reading is not taken for a program."""
    both(real_shop, stick)
    import os  # noqa: PLC0415 # the test stands in for the sender

    real = os.dup

    def grow(handle: int) -> int:
        with (stick / "O1201.P1").open("ab") as file:
            file.write(b"G0 X1.\n")
        return real(handle)

    monkeypatch.setattr(os, "dup", grow)
    with pytest.raises(Findings) as error:
        take(real_shop, stick / "O1201.P1")
    assert [f.name for f in error.value.findings] == ["intake:unstable", "intake:nothing"]


def test_json_names_what_was_done(real_shop: Path, stick: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The machine-readable form has stored, taken, waiting, findings and nothing else on the screen."""
    both(real_shop, stick)
    assert boundary.run(["intake", str(stick), "--machine", MACHINE, "--format", "json"]) == 0
    value = json.loads(capsys.readouterr().out)
    assert set(value) == {"stored", "taken", "waiting", "findings"}
    assert (value["taken"][0]["member"], value["taken"][0]["undecided"]) == ("20", 0)


def test_the_command_says_how_many_edits_wait(real_shop: Path, stick: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """An edit is told with the command that shows it; a copy that was only renumbered has none."""
    both(real_shop, stick, (b"F0.08", b"F0.06"))
    boundary.run(["intake", str(stick), "--machine", MACHINE])
    assert "1 undecided: gemel edits port-block/20" in capsys.readouterr().out
    both(real_shop, stick, (b"\nN", b"\nN1"))
    boundary.run(["intake", str(stick), "--machine", MACHINE])
    assert "no undecided edit" in capsys.readouterr().out


def test_a_clone_of_the_shop_has_the_copies(real_shop: Path, stick: Path, tmp_path: Path) -> None:
    """A colleague who fetches the branch reads the same copy, and goes on from it."""
    both(real_shop, stick, (b"F0.08", b"F0.06"))
    take(real_shop, stick)
    other = tmp_path / "other"
    git(real_shop, "clone", "--quiet", ".", str(other))
    git(other, "fetch", "--quiet", "origin", f"{BRANCH}:{BRANCH}")
    shutil.rmtree(stick)
    assert copies(other) == copies(real_shop)
