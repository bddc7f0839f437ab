"""Writing: what differs is written and committed, what does not is left, a person's change is never lost."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from gemel.findings import Findings
from gemel.history import PairName, hold_shop, read_pair
from gemel.shop import pipeline
from gemel.shop.write_pairs import Done, Order, Outcome, prepare
from support.makers import simple_pair, small_shop, use_simple_pairs
from support.repositories import git

if TYPE_CHECKING:
    from gemel.shop.layout import Shop
    from gemel.shop.pipeline import MadePair, Task

FAMILIES = {"bush": "1=10.\n2=20.\n", "stem": "a=1.\n"}


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    use_simple_pairs(monkeypatch)
    return small_shop(tmp_path / "shop", FAMILIES)


def write(shop: Shop, order: Order | None = None) -> list[Outcome]:
    return list(prepare(shop, order or Order()).outcomes())


def done(outcomes: list[Outcome]) -> list[str]:
    return [f"{o.name} {o.done.value}" for o in outcomes]


def commits(shop: Shop) -> int:
    return int(git(shop.root, "rev-list", "--count", "HEAD"))


def program(shop: Shop, stem: str, channel: str) -> Path:
    return shop.root / f"output/lathe/{stem}/{stem}.{channel}.nc"


def test_every_pair_is_written_and_committed_by_itself(shop: Shop) -> None:
    """Three members give three commits whose messages name family, member, drawing and revision."""
    assert done(write(shop)) == ["bush/1 written", "bush/2 written", "stem/a written"]
    assert commits(shop) == 4
    assert git(shop.root, "log", "--format=%s", "-1").strip() == "stem a: drawing KB-1 revision C"
    assert git(shop.root, "status", "--porcelain", "output") == ""


def test_writing_again_writes_nothing(shop: Shop) -> None:
    """The second run finds everything as it should be: no commit, no file touched."""
    write(shop)
    before = {p: p.stat().st_mtime_ns for p in (shop.root / "output").rglob("*")}
    assert {o.done for o in write(shop)} == {Done.UNCHANGED}
    assert {p: p.stat().st_mtime_ns for p in (shop.root / "output").rglob("*")} == before
    assert commits(shop) == 4


def test_a_change_writes_the_pairs_it_touches(shop: Shop) -> None:
    """One member's value rewrites that pair alone, and says what changed in each program."""
    write(shop)
    (shop.root / "families/bush.yaml").write_text("1=10.\n2=21.\n")
    outcomes = write(shop)
    assert done(outcomes) == ["bush/1 unchanged", "bush/2 written", "stem/a unchanged"]
    shown = [(c.file, c.shown(), [e.said for e in c.found.changes] if c.found else []) for c in outcomes[1].changes]
    first = ["X, before the first wait mark 20. to 21. mm, 1 mm larger in diameter"]
    assert shown == [(f"bush-2.{channel}.nc", "1 block changed", first) for channel in ("lower", "upper")]
    assert "bush-2.lower.nc: 1 block changed" in git(shop.root, "log", "-1", "--format=%b")


def test_a_dry_run_changes_nothing(shop: Shop) -> None:
    """It shows the difference, and leaves no trace in the shop."""
    before = sorted(p for p in shop.root.rglob("*") if ".git/" not in str(p))
    outcomes = write(shop, Order(dry_run=True))
    assert {o.done for o in outcomes} == {Done.WOULD_CHANGE}
    assert "+G1 X10." in outcomes[0].difference
    assert sorted(p for p in shop.root.rglob("*") if ".git/" not in str(p)) == before
    assert commits(shop) == 1


def test_a_hand_edited_program_is_never_overwritten(shop: Shop) -> None:
    """The pair stays as the person left it, the finding names the file, the other pairs are written."""
    write(shop)
    path = program(shop, "bush-1", "lower")
    path.write_bytes(path.read_bytes().replace(b"X10.", b"X9.5"))
    (shop.root / "families/bush.yaml").write_text("1=11.\n2=21.\n")
    outcomes = write(shop)
    assert done(outcomes) == ["bush/1 refused", "bush/2 written", "stem/a unchanged"]
    assert [f.name for f in outcomes[0].findings] == ["pair:hand-edited"]
    assert b"X9.5" in path.read_bytes()
    assert b"X10." in program(shop, "bush-1", "upper").read_bytes()


def test_a_hand_edit_without_any_other_change_is_said_too(shop: Shop) -> None:
    """Also when the family has not changed, the edited program is named and kept."""
    write(shop)
    path = program(shop, "stem-a", "upper")
    path.write_bytes(b"mine\n")
    assert done(write(shop))[2] == "stem/a refused"
    assert path.read_bytes() == b"mine\n"


def test_a_hand_edit_that_the_family_caught_up_with_is_taken_over(shop: Shop) -> None:
    """When the family gives the very text that stands there, the record is brought up to date."""
    write(shop)
    for channel in ("lower", "upper"):
        path = program(shop, "stem-a", channel)
        path.write_bytes(path.read_bytes().replace(b"X1.", b"X2."))
    (shop.root / "families/stem.yaml").write_text("a=2.\n")
    assert done(write(shop))[2] == "stem/a written"
    assert done(write(shop))[2] == "stem/a unchanged"


def test_what_a_killed_gemel_left_uncommitted_is_committed(shop: Shop) -> None:
    """A pair that is on disk as it should be, and not in git, is committed by the next run."""
    write(shop, Order(commit=False))
    assert commits(shop) == 1
    assert {o.done for o in write(shop)} == {Done.COMMITTED}
    assert commits(shop) == 4
    assert {o.done for o in write(shop)} == {Done.UNCHANGED}


def test_without_git_nothing_is_committed(shop: Shop) -> None:
    """`--no-commit` writes and leaves the branch alone."""
    assert {o.done for o in write(shop, Order(commit=False))} == {Done.WRITTEN}
    assert commits(shop) == 1


def test_a_refused_pair_does_not_stop_the_others(shop: Shop) -> None:
    """A member that cannot be made is refused with its finding, and what stood there stands."""
    write(shop)
    (shop.root / "families/bush.yaml").write_text("1=!\n2=22.\n")
    outcomes = write(shop)
    assert done(outcomes) == ["bush/1 refused", "bush/2 written", "stem/a unchanged"]
    assert b"X10." in program(shop, "bush-1", "lower").read_bytes()


def test_without_identity_nothing_is_written(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    """Git is asked before the first byte is written."""
    for name in [n for n in os.environ if n.startswith(("GIT_AUTHOR", "GIT_COMMITTER"))]:
        monkeypatch.delenv(name)
    monkeypatch.delenv("EMAIL", raising=False)
    with pytest.raises(Findings) as error:
        write(shop)
    assert error.value.findings[0].name == "git:no-identity"
    assert not (shop.root / "output").exists()


def test_nothing_to_commit_needs_no_identity(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    """In a clone where all pairs are as they should be, `write` runs without name, branch or address."""
    write(shop)
    for name in [n for n in os.environ if n.startswith(("GIT_AUTHOR", "GIT_COMMITTER"))]:
        monkeypatch.delenv(name)
    monkeypatch.delenv("EMAIL", raising=False)
    git(shop.root, "checkout", "--quiet", "--detach")
    assert {o.done for o in write(shop)} == {Done.UNCHANGED}


def test_a_second_gemel_is_refused(shop: Shop) -> None:
    """While the shop is held, nothing is written."""
    with hold_shop(shop.root, "writing pairs"), pytest.raises(Findings) as error:
        write(shop)
    assert error.value.findings[0].name == "lock:held"
    assert not (shop.root / "output").exists()


def test_one_family_or_member_may_be_named(shop: Shop) -> None:
    """Only what is named is written."""
    assert done(write(shop, Order(targets=("bush/2",)))) == ["bush/2 written"]
    assert done(write(shop, Order(targets=("stem", "families/bush.yaml")))) == [
        "stem/a written",
        "bush/1 written",
        "bush/2 unchanged",
    ]


def test_ctrl_c_finishes_the_pair_in_hand(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    """Interrupted in the middle of the first pair, that pair is written and committed, and no other is begun."""

    def interrupted(task: Task) -> MadePair:
        os.kill(os.getpid(), signal.SIGINT)
        return simple_pair(task)

    assert threading.current_thread() is threading.main_thread()
    monkeypatch.setattr(pipeline, "make", interrupted)
    writing = prepare(shop, Order())
    assert done(list(writing.outcomes())) == ["bush/1 written"]
    assert writing.interrupted
    assert commits(shop) == 2
    monkeypatch.setattr(pipeline, "make", simple_pair)
    assert done(write(shop)) == ["bush/1 unchanged", "bush/2 written", "stem/a written"]


def test_a_pair_without_a_member_is_remarked(shop: Shop) -> None:
    """A member that was taken out leaves its pair, which is named and kept; a family named in part says nothing."""
    write(shop)
    (shop.root / "families/bush.yaml").write_text("2=20.\n")
    [finding] = prepare(shop, Order()).orphans()
    assert finding.name == "pair:orphan"
    assert finding.labels[0].span.source == "output/lathe/bush-1"
    assert prepare(shop, Order(targets=("bush/2", "stem"))).orphans() == []
    assert program(shop, "bush-1", "lower").exists()


def test_an_output_folder_that_is_a_link_is_refused(shop: Shop, tmp_path: Path) -> None:
    """Nothing is written through a link that leads out of the shop."""
    (tmp_path / "elsewhere").mkdir()
    (shop.root / "output").symlink_to(tmp_path / "elsewhere")
    assert {o.findings[0].name for o in write(shop)} == {"pair:link"}
    assert list((tmp_path / "elsewhere").iterdir()) == []


@pytest.mark.parametrize("name", ["../x", "a/../../x", ".", "x y"])
def test_a_member_name_that_leaves_the_folder_is_refused(shop: Shop, name: str) -> None:
    """No such member is written, whatever it is called."""
    (shop.root / "families/bush.yaml").write_text(f"{name}=1.\n")
    [outcome] = write(shop, Order(targets=("bush",)))
    assert [f.name for f in outcome.findings] == ["pair:name"]
    assert not (shop.root / "output").exists()


def test_a_read_only_shop_is_said(shop: Shop) -> None:
    """Where nothing can be written the error names the place, and nothing changes."""
    if os.geteuid() == 0:
        pytest.skip("root writes everywhere; test_main runs the same as another user")
    shop.root.chmod(0o555)
    try:
        with pytest.raises(PermissionError):
            write(shop)
    finally:
        shop.root.chmod(0o755)


CHILD = """
import sys
from pathlib import Path
sys.path.insert(0, sys.argv[2])
from support.makers import simple_pair, simple_tasks
from gemel.shop import pipeline
from gemel.shop.layout import Shop
from gemel.shop.write_pairs import Order, prepare
pipeline.tasks, pipeline.make = simple_tasks, simple_pair
shop = Shop(Path(sys.argv[1]))
print("ready", flush=True)
for outcome in prepare(shop, Order()).outcomes(): pass
"""


def test_killed_at_any_moment_a_run_is_resumed(shop: Shop) -> None:
    """Killed twelve times on its way through ninety pairs, gemel finds whole pairs each time and ends complete."""
    rows = "".join(f"{n}={n}.\n" for n in range(90))
    (shop.root / "families/bush.yaml").write_text(rows)
    for kill in range(12):
        command = [sys.executable, "-c", CHILD, str(shop.root), str(Path(__file__).parents[1])]
        with subprocess.Popen(command, stdout=subprocess.PIPE) as child:  # noqa: S603 # our own interpreter
            assert child.stdout is not None
            child.stdout.readline()
            time.sleep(0.05 + 0.013 * kill)
            child.kill()
        for n in range(90):
            stored = read_pair(shop.root, PairName("lathe", "bush", str(n)))
            assert stored is None or (stored.edited, len(stored.texts)) == ((), 2)
    for lock in (shop.root / ".git").rglob("*.lock"):
        lock.unlink()  # left by the git that was killed; a person does the same
    write(shop)
    assert {o.done for o in write(shop)} == {Done.UNCHANGED}
    assert git(shop.root, "status", "--porcelain", "output") == ""
    assert commits(shop) == 1 + 91
    assert not list((shop.root / "output/lathe").glob(".*"))
    assert git(shop.root, "fsck", "--connectivity-only", "--no-dangling") == ""


def test_an_index_that_a_killed_run_left_behind_is_brought_along(shop: Shop) -> None:
    """Committed but not in the user's index: the next run, with nothing to write, puts that right."""
    write(shop)
    git(shop.root, "rm", "-rq", "--cached", "output")
    assert git(shop.root, "status", "--porcelain", "output") != ""
    before = commits(shop)
    assert {o.done for o in write(shop)} == {Done.UNCHANGED}
    assert git(shop.root, "status", "--porcelain", "output") == ""
    assert commits(shop) == before


def test_a_family_that_is_not_committed_is_named(shop: Shop) -> None:
    """The pairs are in git, and what they were made from is yours to commit: that is said until it is so."""
    writing = prepare(shop, Order())
    list(writing.outcomes())
    git(shop.root, "add", "families", "templates")
    git(shop.root, "commit", "-q", "-m", "families", "--allow-empty")
    assert writing.uncommitted() == []
    (shop.root / "families/bush.yaml").write_text("1=1.\n")
    assert writing.uncommitted() == ["families/bush.yaml"]
