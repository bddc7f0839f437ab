"""Commits touch the branch and the committed paths, and nothing else of the user's."""

from __future__ import annotations

import os
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from gemel.findings import Findings
from gemel.history import create_repository, open_repository
from gemel.history.git import blob_id
from support.repositories import git, new_repository

if TYPE_CHECKING:
    from pathlib import Path

FILES = {"output/m/f-1/f-1.upper.nc": b"%\r\nG0 X1.\r\n%\r\n", "output/m/f-1/record.json": b"{}\n"}


def put(shop: Path, files: dict[str, bytes]) -> None:
    for name, data in files.items():
        (shop / name).parent.mkdir(parents=True, exist_ok=True)
        (shop / name).write_bytes(data)


def refused(shop: Path) -> str:
    with pytest.raises(Findings) as error:
        open_repository(shop)
    [finding] = error.value.findings
    assert finding.remedy
    return finding.name


def test_a_commit_holds_the_bytes_and_the_message(tmp_path: Path) -> None:
    """The branch's new commit has the files byte for byte, and the working tree is clean."""
    shop = new_repository(tmp_path / "shop")
    put(shop, FILES)
    made = open_repository(shop).commit(FILES, (), "port-block 20\n\nbody (x)\n")
    assert made == git(shop, "rev-parse", "main").strip()
    assert git(shop, "show", "-s", "--format=%B%an", "main").split("\n")[:3] == ["port-block 20", "", "body (x)"]
    assert git(shop, "show", "main:output/m/f-1/f-1.upper.nc").encode() == FILES["output/m/f-1/f-1.upper.nc"]
    assert git(shop, "status", "--porcelain") == ""


def test_a_first_commit_needs_none_before(tmp_path: Path) -> None:
    """In a repository without a commit the first pair makes one."""
    create_repository(tmp_path)
    put(tmp_path, FILES)
    repository = open_repository(tmp_path)
    assert repository.tracked("output") == {}
    assert repository.commit(FILES, (), "first") is not None
    expected = {name: blob_id(data, repository.zero) for name, data in FILES.items()}
    assert repository.tracked("output") == expected
    assert git(tmp_path, "status", "--porcelain") == ""


def test_a_commit_without_a_change_is_none(tmp_path: Path) -> None:
    """The same bytes twice make one commit."""
    shop = new_repository(tmp_path / "shop")
    put(shop, FILES)
    open_repository(shop).commit(FILES, (), "one")
    assert open_repository(shop).commit(FILES, (), "two") is None
    assert git(shop, "rev-list", "--count", "main").strip() == "2"


def test_a_removed_path_goes(tmp_path: Path) -> None:
    """A path named as removed is in the commit no longer, and no longer staged."""
    shop = new_repository(tmp_path / "shop")
    put(shop, FILES)
    open_repository(shop).commit(FILES, (), "one")
    (shop / "output/m/f-1/record.json").unlink()
    open_repository(shop).commit({}, ("output/m/f-1/record.json",), "two")
    assert list(open_repository(shop).tracked("output")) == ["output/m/f-1/f-1.upper.nc"]
    assert git(shop, "status", "--porcelain") == ""


def test_the_users_index_and_files_are_left_alone(tmp_path: Path) -> None:
    """Staged, changed and untracked files of other paths are what they were before."""
    shop = new_repository(tmp_path / "shop")
    put(shop, {"staged": b"1", "README": b"changed", "new": b"2"})
    git(shop, "add", "staged")
    before = git(shop, "status", "--porcelain")
    put(shop, FILES)
    open_repository(shop).commit(FILES, (), "pair")
    assert git(shop, "status", "--porcelain") == before
    assert git(shop, "show", "--name-only", "--format=", "main").split() == sorted(FILES)


def test_no_hook_runs(tmp_path: Path) -> None:
    """Hooks of every kind that could run stay silent."""
    shop = new_repository(tmp_path / "shop")
    for hook in ("pre-commit", "commit-msg", "post-commit", "reference-transaction", "post-index-change"):
        path = shop / ".git" / "hooks" / hook
        path.parent.mkdir(exist_ok=True)
        path.write_text(f"#!/bin/sh\necho {hook} >> '{tmp_path}/ran'\nexit 1\n")
        path.chmod(0o755)
    put(shop, FILES)
    assert open_repository(shop).commit(FILES, (), "pair") is not None
    assert not (tmp_path / "ran").exists()


def test_racing_writers_lose_no_commit(tmp_path: Path) -> None:
    """Three processes with five commits each leave fifteen more commits on the branch."""
    shop = new_repository(tmp_path / "shop")
    code = (
        "import sys\nfrom pathlib import Path\nfrom gemel.history import open_repository\n"
        "r = open_repository(Path(sys.argv[1]))\n"
        "for n in range(5): assert r.commit({f'output/{sys.argv[2]}-{n}': sys.argv[2].encode()}, (), 'x')\n"
    )
    children = [subprocess.Popen([sys.executable, "-c", code, str(shop), str(n)]) for n in range(3)]  # noqa: S603 # our own
    assert [child.wait() for child in children] == [0, 0, 0]
    assert git(shop, "rev-list", "--count", "main").strip() == "16"
    assert len(open_repository(shop).tracked("output")) == 15


def test_a_busy_index_stops_no_commit(tmp_path: Path) -> None:
    """When another git holds the index, the commit is made all the same, and nothing of the user's is lost."""
    shop = new_repository(tmp_path / "shop")
    put(shop, FILES)
    (shop / ".git" / "index.lock").touch()
    assert open_repository(shop).commit(FILES, (), "pair") is not None


def test_a_variable_left_by_a_hook_leads_nowhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """GIT_DIR and its like, set by a hook that calls gemel, do not turn the commit away from the shop."""
    shop, other = new_repository(tmp_path / "shop"), new_repository(tmp_path / "other")
    put(shop, FILES)
    with monkeypatch.context() as patch:
        patch.setenv("GIT_DIR", str(other / ".git"))
        patch.setenv("GIT_WORK_TREE", str(other))
        patch.setenv("GIT_INDEX_FILE", str(other / ".git" / "index"))
        assert open_repository(shop).commit(FILES, (), "pair") is not None
    assert git(other, "rev-list", "--count", "main").strip() == "1"
    assert git(shop, "rev-list", "--count", "main").strip() == "2"


def test_a_second_working_tree_is_a_shop_of_its_own(tmp_path: Path) -> None:
    """In a linked working tree the commit goes to the branch that is checked out there."""
    shop = new_repository(tmp_path / "shop")
    git(shop, "worktree", "add", "--quiet", "-b", "trial", str(tmp_path / "trial"))
    put(tmp_path / "trial", FILES)
    assert open_repository(tmp_path / "trial").commit(FILES, (), "pair") is not None
    assert git(shop, "rev-list", "--count", "main").strip() == "1"
    assert git(tmp_path / "trial", "status", "--porcelain") == ""


def test_no_repository_is_said(tmp_path: Path) -> None:
    """A shop outside any repository is told so."""
    assert refused(tmp_path) == "git:no-repository"


def test_a_foreign_repository_is_said(tmp_path: Path) -> None:
    """A shop inside the repository of something else is told so, and nothing is committed there."""
    outer = new_repository(tmp_path / "outer")
    (outer / "shop").mkdir()
    assert refused(outer / "shop") == "git:foreign-repository"


def test_a_bare_repository_is_said(tmp_path: Path) -> None:
    """A repository without a working tree takes no pairs."""
    git(tmp_path, "init", "--quiet", "--bare", ".")
    assert refused(tmp_path) == "git:bare"


def test_a_repository_declared_bare_is_said(tmp_path: Path) -> None:
    """A `.git` folder whose configuration says bare takes no pairs either."""
    shop = new_repository(tmp_path / "shop")
    git(shop, "config", "core.bare", "true")
    assert refused(shop) == "git:bare"


def test_a_missing_identity_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without name and address gemel does not let git guess one from the machine."""
    shop = new_repository(tmp_path / "shop")
    for name in [n for n in os.environ if n.startswith(("GIT_AUTHOR", "GIT_COMMITTER"))]:
        monkeypatch.delenv(name)
    monkeypatch.delenv("EMAIL", raising=False)
    assert refused(shop) == "git:no-identity"


def test_a_detached_head_is_said(tmp_path: Path) -> None:
    """Without a branch a commit would be lost."""
    shop = new_repository(tmp_path / "shop")
    git(shop, "checkout", "--quiet", "--detach")
    assert refused(shop) == "git:detached"


def test_a_merge_under_way_is_said(tmp_path: Path) -> None:
    """A commit does not drop between the halves of a merge."""
    shop = new_repository(tmp_path / "shop")
    git(shop, "checkout", "--quiet", "-b", "other")
    git(shop, "commit", "--quiet", "--allow-empty", "-m", "other")
    git(shop, "checkout", "--quiet", "main")
    git(shop, "merge", "--no-ff", "--no-commit", "other")
    assert refused(shop) == "git:unfinished"


def test_no_git_at_all_is_said(tmp_path: Path) -> None:
    """On a machine without git the finding says so, whatever the library makes of it."""
    code = (
        "import sys\nfrom pathlib import Path\nfrom gemel.findings import Findings\n"
        "from gemel.history import open_repository\n"
        "try: open_repository(Path(sys.argv[1]))\n"
        "except Findings as error: print(error.findings[0].name)\n"
    )
    env = os.environ | {"PATH": str(tmp_path / "empty")}
    command = [sys.executable, "-c", code, str(tmp_path)]
    run = subprocess.run(command, capture_output=True, env=env, check=False)  # noqa: S603 # our own interpreter
    assert run.stdout.decode().strip() == "git:no-git", run.stderr.decode()


def test_a_damaged_repository_is_said_in_gits_words(tmp_path: Path) -> None:
    """What git says about a repository that it cannot read reaches the user."""
    (tmp_path / ".git").mkdir()
    with pytest.raises(Findings) as error:
        open_repository(tmp_path)
    [finding] = error.value.findings
    assert finding.name == "git:refused"
    assert "not a git repository" in finding.cause
