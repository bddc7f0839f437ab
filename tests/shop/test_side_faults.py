"""Whatever happens to a repository, the next command says what is so, and nothing that was recorded is gone."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from gemel.cli import main as boundary
from gemel.findings import Findings
from gemel.history import latest_intake, read_repository
from support.at_control import BRANCH, FOLDER, MACHINE, NAME, PAIR, both, codes, program, take
from support.repositories import git

if TYPE_CHECKING:
    from collections.abc import Iterator

TESTS = Path(__file__).parents[1]
KEPT = f"refs/gemel/{BRANCH}"
LOWER = "port-block-20/lower.nc"


@pytest.fixture
def stick(tmp_path: Path) -> Path:
    folder = tmp_path / "stick"
    folder.mkdir()
    return folder


@pytest.fixture
def seen(real_shop: Path, stick: Path) -> Path:
    """A shop that has a copy with an edit."""
    both(real_shop, stick, (b"F0.08", b"F0.06"))
    assert take(real_shop, stick).taken
    return real_shop


def lower_copy(shop: Path) -> bytes | None:
    intake = latest_intake(read_repository(shop), PAIR)
    return intake.channels["lower"].copy if intake else None


def edited(shop: Path, feed: bytes = b"F0.06") -> bytes:
    return program(shop, "lower").replace(b"F0.08", feed)


def ever_seen(shop: Path) -> set[bytes]:
    """Every program that any commit of gemel's ref holds with the pair."""
    blobs = git(
        shop, "log", "--full-history", "-m", "--raw", "--no-abbrev", "--no-renames", "--format=", KEPT, "--", LOWER
    )
    ids = {row.split()[3] for row in blobs.splitlines() if row.startswith(":")} - {"0" * 40}
    return {git(shop, "cat-file", "blob", blob).encode() for blob in ids}


def test_a_removed_branch_is_said_and_comes_back(seen: Path, stick: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Nothing that it held is gone: the copy is still read, and the next intake has the whole history."""
    before = git(seen, "rev-parse", BRANCH)
    git(seen, "branch", "-D", BRANCH)
    git(seen, "reflog", "expire", "--expire=now", "--all")
    git(seen, "gc", "--quiet", "--prune=now")
    boundary.run(["status"])
    said = capsys.readouterr()
    assert "side:removed" in said.err
    assert "1 undecided" in said.out
    assert lower_copy(seen) == edited(seen)
    both(seen, stick, (b"F0.08", b"F0.05"))
    assert codes(take(seen, stick)) == ["side:removed"]
    assert codes(take(seen, stick)) == []
    git(seen, "merge-base", "--is-ancestor", before.strip(), BRANCH)
    assert ever_seen(seen) >= {edited(seen), edited(seen, b"F0.05")}


def test_a_removed_branch_comes_back_without_a_new_copy(seen: Path, stick: Path) -> None:
    """Also when the control brings nothing new."""
    before = git(seen, "rev-parse", BRANCH)
    git(seen, "branch", "-D", BRANCH)
    take(seen, stick)
    assert git(seen, "rev-parse", BRANCH) == before


def test_a_branch_that_was_set_back_is_said_and_brought_forward(seen: Path, stick: Path) -> None:
    """Copies behind the place that it was set to are still the latest."""
    git(seen, "branch", "-f", BRANCH, f"{BRANCH}~1")
    assert lower_copy(seen) == edited(seen)
    both(seen, stick, (b"F0.08", b"F0.05"))
    assert codes(take(seen, stick)) == ["side:set-back"]
    assert ever_seen(seen) >= {edited(seen), edited(seen, b"F0.05")}


def test_a_branch_that_was_replaced_is_joined(seen: Path, stick: Path) -> None:
    """A person put another history there: the next commit has both lines as parents, and each copy is reachable."""
    other = git(seen, "commit-tree", "-m", "mine", f"{BRANCH}~1^{{tree}}").strip()
    git(seen, "branch", "-f", BRANCH, other)
    both(seen, stick, (b"F0.08", b"F0.05"))
    assert codes(take(seen, stick))[0] == "side:set-back"
    git(seen, "merge-base", "--is-ancestor", other, BRANCH)
    assert ever_seen(seen) >= {edited(seen), edited(seen, b"F0.05")}
    assert codes(take(seen, stick)) == []
    assert git(seen, "fsck", "--strict", "--no-dangling") == ""


def test_a_branch_that_a_person_added_to_is_gone_on_from(seen: Path, stick: Path) -> None:
    """A note committed to the branch by hand stays, and is nothing to speak of."""
    git(seen, "switch", "--quiet", BRANCH)
    (seen / "note.txt").write_text("operator says the insert was worn\n")
    git(seen, "add", "note.txt")
    git(seen, "commit", "--quiet", "-m", "a note")
    git(seen, "switch", "--quiet", "main")
    both(seen, stick, (b"F0.08", b"F0.05"))
    assert codes(take(seen, stick)) == []
    assert "worn" in git(seen, "show", f"{BRANCH}:note.txt")


def test_while_the_branch_is_checked_out_nothing_is_put_there(seen: Path, stick: Path) -> None:
    """The person's working tree would change under their hands: refused, with the way out."""
    git(seen, "switch", "--quiet", BRANCH)
    before = git(seen, "status", "--porcelain"), git(seen, "rev-parse", BRANCH)
    both_data = (stick / "port-block-20.lower.nc").read_bytes().replace(b"F0.06", b"F0.05")
    git(seen, "show", f"main:{FOLDER}/record.json")
    (stick / "port-block-20.lower.nc").write_bytes(both_data)
    (seen / "families").mkdir(exist_ok=True)
    shutil.copytree(TESTS.parent / "templates", seen / "templates", dirs_exist_ok=True)
    with pytest.raises(Findings) as error:
        take(seen, stick)
    assert [f.name for f in error.value.findings] == ["side:checked-out"]
    assert git(seen, "rev-parse", BRANCH) == before[1]


def test_a_branch_that_is_checked_out_elsewhere_is_left_too(seen: Path, stick: Path, tmp_path: Path) -> None:
    """Another working tree of the same repository counts."""
    git(seen, "worktree", "add", "--quiet", str(tmp_path / "other"), BRANCH)
    both(seen, stick, (b"F0.08", b"F0.05"))
    with pytest.raises(Findings) as error:
        take(seen, stick)
    assert [f.name for f in error.value.findings] == ["side:checked-out"]


def spoil(shop: Path, what: str) -> None:
    """Overwrite the loose object of something with nonsense."""
    name = git(shop, "rev-parse", what).strip()
    path = shop / ".git/objects" / name[:2] / name[2:]
    path.chmod(0o644)
    path.write_bytes(b"spoilt")


def lose(shop: Path, what: str) -> None:
    """Take the loose object of something away."""
    name = git(shop, "rev-parse", what).strip()
    (shop / ".git/objects" / name[:2] / name[2:]).unlink()


@pytest.mark.parametrize("harm", [spoil, lose])
@pytest.mark.parametrize(
    "what", ["port-block-20/lower.nc", "port-block-20/baseline/lower.nc", "port-block-20/intake.json"]
)
def test_an_object_that_git_cannot_read_is_named(
    seen: Path, stick: Path, capsys: pytest.CaptureFixture[str], harm: object, what: str
) -> None:
    """A finding with git's words and no traceback; the other rows are shown; a new copy is stored all the same."""
    assert callable(harm)
    if "baseline" in what:
        both(seen, stick)
        (seen / FOLDER / "port-block-20.lower.nc").write_bytes(b"other bytes, so that output/ holds another object")
        git(seen, "commit", "--quiet", "-am", "x")
    harm(seen, f"{BRANCH}:{what}")
    (seen / ".git/gemel/derived.json").unlink()
    capsys.readouterr()
    assert boundary.run(["status"]) in (1, 2)
    said = capsys.readouterr()
    assert "port-block/20" in said.out
    assert "side:unreadable" in said.err
    assert "Traceback" not in said.err
    (stick / "port-block-20.lower.nc").write_bytes(b"O1201 (PORT-BLOCK 20 LOWER)\nG0 X7.\nM30\n")
    boundary.run(["intake", str(stick), "--machine", MACHINE])
    assert "Traceback" not in capsys.readouterr().err
    tree = git(seen, "log", "--no-renames", "--format=", "--name-only", "--diff-filter=A", BRANCH)
    assert "received/" in tree


@pytest.mark.parametrize("harm", [spoil, lose])
def test_a_tip_that_git_cannot_read_is_said_and_not_built_on(
    seen: Path, stick: Path, capsys: pytest.CaptureFixture[str], harm: object
) -> None:
    """Status 2, the refs stand where they stood, and after the object is brought back all is as before."""
    assert callable(harm)
    name = git(seen, "rev-parse", BRANCH).strip()
    path = seen / ".git/objects" / name[:2] / name[2:]
    saved = path.read_bytes()
    harm(seen, BRANCH)
    both(seen, stick, (b"F0.08", b"F0.05"))
    assert boundary.run(["intake", str(stick), "--machine", MACHINE]) == 2
    assert boundary.run(["status"]) == 2
    assert "Traceback" not in capsys.readouterr().err
    refs = seen / ".git/refs"
    assert {(refs / "heads" / BRANCH).read_text().strip(), (refs / "gemel" / BRANCH).read_text().strip()} == {name}
    path.chmod(0o644) if path.exists() else None
    path.write_bytes(saved)
    assert boundary.run(["intake", str(stick), "--machine", MACHINE]) == 0
    assert ever_seen(seen) >= {edited(seen), edited(seen, b"F0.05")}


@pytest.mark.parametrize("state", ["merge", "detached", "unborn"])
def test_in_the_middle_of_other_work_a_copy_is_taken_in(real_shop: Path, stick: Path, state: str) -> None:
    """A merge under way, a detached head, a branch without a commit: the side branch needs none of them."""
    if state == "merge":
        (real_shop / ".git/MERGE_HEAD").write_text(git(real_shop, "rev-parse", "HEAD"))
    elif state == "detached":
        git(real_shop, "checkout", "--quiet", "--detach")
    else:
        git(real_shop, "symbolic-ref", "HEAD", "refs/heads/unborn")
    both(real_shop, stick, (b"F0.08", b"F0.06"))
    result = take(real_shop, stick)
    assert ([one.pair for one in result.taken], codes(result)) == ([PAIR], [])
    assert lower_copy(real_shop) == edited(real_shop)
    assert boundary.run(["log", NAME]) == 0
    assert boundary.run(["status"]) in (0, 1)


def test_a_lock_that_a_killed_git_left_is_named(seen: Path, stick: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Git's own words, with the file to take away; after that the copy is taken in."""
    lock = seen / ".git/refs/heads" / f"{BRANCH}.lock"
    lock.touch()
    both(seen, stick, (b"F0.08", b"F0.05"))
    assert boundary.run(["intake", str(stick), "-m", MACHINE]) == 2
    assert f"{BRANCH}.lock': File exists" in capsys.readouterr().err
    lock.unlink()
    assert boundary.run(["intake", str(stick), "-m", MACHINE]) == 0
    assert lower_copy(seen) == edited(seen, b"F0.05")


def test_a_branch_whose_name_is_in_the_way_is_named(
    real_shop: Path, stick: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Somebody's branch `at-control` leaves no room for `at-control/<machine>`: said at once, and not as a race."""
    git(real_shop, "branch", "at-control")
    both(real_shop, stick)
    assert boundary.run(["intake", str(stick), "-m", MACHINE]) == 2
    said = capsys.readouterr().err
    assert "refs/heads/at-control' exists" in said
    assert "git:raced" not in said


def test_without_identity_nothing_is_half_done(
    real_shop: Path, stick: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Intake, release and send say how to set it, and leave no ref and no file."""
    for name in [n for n in os.environ if n.startswith(("GIT_AUTHOR", "GIT_COMMITTER"))]:
        monkeypatch.delenv(name)
    both(real_shop, stick)
    there = stick.parent / "there"
    there.mkdir()
    for words in (["intake", str(stick), "-m", MACHINE], ["release", NAME, "--by", "A"], ["send", NAME, str(there)]):
        assert boundary.run(words) == 2
        assert "git config user.name" in capsys.readouterr().err
    assert git(real_shop, "for-each-ref", "refs/gemel", "refs/tags", "refs/heads/at-control") == ""
    assert list(there.iterdir()) == []
    assert boundary.run(["status"]) == 1


CHILD = """
import sys
from pathlib import Path
sys.path.insert(0, sys.argv[3])
from support.at_control import take
for number in range(4):
    folder = Path(sys.argv[2]) / str(number)
    assert take(Path(sys.argv[1]), folder).taken, number
"""


def test_several_at_once_lose_nothing_and_double_nothing(real_shop: Path, tmp_path: Path) -> None:
    """Three processes, two with the same copies: each copy is in the history once, and git finds no fault."""
    feeds = [b"F0.0%d" % n for n in (1, 2, 3, 4, 5, 6, 7, 9)]
    for group in range(2):
        for number in range(4):
            folder = tmp_path / f"group{group}" / str(number)
            folder.mkdir(parents=True)
            both(real_shop, folder, (b"F0.08", feeds[4 * group + number]))
    groups = [tmp_path / f"group{group}" for group in (0, 1, 1)]
    words = [[sys.executable, "-c", CHILD, str(real_shop), str(group), str(TESTS)] for group in groups]
    children = [subprocess.Popen(one) for one in words]  # noqa: S603 # our own
    assert [child.wait() for child in children] == [0, 0, 0]
    assert ever_seen(real_shop) == {edited(real_shop, feed) for feed in feeds}
    assert git(real_shop, "fsck", "--strict", "--no-dangling") == ""
    first = git(real_shop, "log", "--format=%H", "--diff-filter=A", BRANCH, "--", "port-block-20/intake.json")
    assert len(first.split()) == 1


def test_writing_and_taking_in_at_once(real_shop: Path, stick: Path) -> None:
    """A `gemel write` in one window and an intake in another both do their work."""
    family = real_shop / "families/port-block.yaml"
    family.write_text(family.read_text().replace("revision: C", "revision: D"))
    both(real_shop, stick, (b"F0.08", b"F0.06"))
    words = [[sys.executable, "-m", "gemel.cli.main"], ["write", NAME], ["intake", str(stick), "-m", MACHINE]]
    run = [*words[0][:1], "-c", "import sys; from gemel.cli.main import run; sys.exit(run(sys.argv[1:]))"]
    children = [subprocess.Popen([*run, *one], cwd=real_shop) for one in words[1:]]  # noqa: S603 # our own
    assert [child.wait() for child in children] == [0, 0]
    assert b"F0.06" in (lower_copy(real_shop) or b"")
    assert b"REV D" in program(real_shop, "lower")


@pytest.fixture
def small(tmp_path: Path) -> Iterator[Path]:
    """A file system of four megabytes."""
    if not hasattr(os, "geteuid") or os.geteuid() != 0:
        pytest.skip("mounting a small disk needs root")
    place = tmp_path / "small"
    place.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=4m", "none", str(place)]
    if subprocess.run(mount, check=False, capture_output=True).returncode:  # noqa: S603 # fixed words
        pytest.skip("no small disk can be mounted here")
    yield place
    os.chdir("/")
    subprocess.run(["umount", str(place)], check=True)  # noqa: S603, S607 # fixed words


def fill(place: Path, pages: int) -> Path:
    filler = place / "filler"
    filler.write_bytes(b"x" * max(0, shutil.disk_usage(place).free - pages * 4096))
    return filler


@pytest.mark.parametrize("pages", [0, 1, 2, 3, 4, 6, 8, 10, 12, 14, 17, 20, 24, 30])
def test_no_room_for_a_copy(
    seen: Path,
    stick: Path,
    small: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    pages: int,
) -> None:
    """With this many pages free: status 0, 1 or 2 and a sentence; the copy before is there; later it is taken in."""
    shop = small / "shop"
    shutil.copytree(seen, shop, symlinks=True)
    monkeypatch.chdir(shop)
    (stick / "port-block-20.lower.nc").write_bytes(edited(seen, b"F0.05"))
    filler = fill(small, pages)
    status = boundary.run(["intake", str(stick), "-m", MACHINE])
    said = capsys.readouterr().err
    assert status in (0, 1, 2), said
    assert "fault of gemel" not in said
    full = ("no space left", "out of diskspace", "unable to write", "unable to create", "couldn't write")
    assert status == 0 or any(words in said.lower() for words in full), said
    assert ever_seen(shop) >= {edited(shop)}
    assert git(shop, "fsck", "--no-dangling", "--connectivity-only") == ""
    filler.unlink()
    assert boundary.run(["intake", str(stick), "-m", MACHINE]) == 0, capsys.readouterr().err
    assert lower_copy(shop) == edited(shop, b"F0.05")
    assert [p.name for p in (shop / ".git").iterdir() if p.name.startswith("gemel-scratch")] == []


@pytest.mark.parametrize("pages", [0, 1, 2, 3, 4])
def test_no_room_at_the_control(real_shop: Path, small: Path, capsys: pytest.CaptureFixture[str], pages: int) -> None:
    """A full stick keeps the programs that it had; with room again the pair is sent."""
    for channel in ("upper", "lower"):
        (small / f"port-block-20.{channel}.nc").write_bytes(program(real_shop, channel))
    filler = fill(small, pages)
    status = boundary.run(["send", NAME, str(small)])
    said = capsys.readouterr().err
    there = [(small / f"port-block-20.{channel}.nc").read_bytes() for channel in ("upper", "lower")]
    if status:
        assert (status, "no space left" in said.lower()) == (2, True)
        assert there == [program(real_shop, channel) for channel in ("upper", "lower")]
    assert [p.name for p in small.iterdir() if p.name.startswith(".")] == []
    filler.unlink()
    assert boundary.run(["send", NAME, str(small)]) == 0
    assert b"(NOT RELEASED)" in (small / "port-block-20.upper.nc").read_bytes()
