"""The one module that talks to git.

A commit is made with plumbing: blobs, a private index, `commit-tree`, and `update-ref` that compares before it sets.
The user's index changes for the committed paths only, the working tree not at all, and no hook runs.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from gemel.findings import Findings, Label, Span
from gemel.history import codes

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from gemel.findings import Explanation, Finding

__all__ = ["Repository", "blob_id", "create_repository", "open_repository", "read_repository"]

_TRIES = 20
_SCRATCH = "gemel-scratch-"
_PAUSE_S = 0.05
_HALVES = {
    "MERGE_HEAD": "a merge",
    "rebase-merge": "a rebase",
    "rebase-apply": "a rebase",
    "CHERRY_PICK_HEAD": "a cherry-pick",
    "REVERT_HEAD": "a revert",
}
# Hooks do not run (`reference-transaction` and `post-index-change` would), and git may not guess who commits.
_SETTINGS = ("-c", "core.hooksPath=" + os.devnull, "-c", "user.useConfigOnly=true", "-c", "core.fsmonitor=false")


@dataclass(frozen=True, slots=True)
class _Answer:
    status: int
    out: bytes
    said: str


@dataclass(frozen=True, slots=True)
class Repository:
    """The shop's repository, ready to take a commit.

    Attributes:
        root: the shop's folder, which is the top of the working tree.
        folder: where git keeps its files for this working tree.
        branch: full name of the branch that is checked out; `HEAD` without one.
        zero: the id that means `no commit yet`, as long as this repository's ids are.
    """

    root: Path
    folder: Path
    branch: str
    zero: str

    def tracked(self, under: str) -> dict[str, str]:
        """Blob ids by path, of everything that the branch's last commit holds in a folder."""
        tip = self.tip()
        if tip == self.zero:
            return {}
        listed = self._run("ls-tree", "-r", "-z", tip, "--", f"{under}/").out
        rows = (row.split(b"\t", 1) for row in listed.split(b"\0") if row)
        return {os.fsdecode(path): about.split()[2].decode() for about, path in rows}

    def tip(self) -> str:
        """The branch's last commit; `zero` when it has none."""
        answer = self._ask("rev-parse", "--verify", "--quiet", f"{self.branch}^{{commit}}")
        return answer.out.decode().strip() or self.zero

    def check_ready(self) -> None:
        """See that a commit can be made.

        Raises:
            Findings: `git:unfinished`, `git:detached`, `git:no-identity`.
        """
        for name, what in _HALVES.items():
            if (self.folder / name).exists():
                raise _fault(codes.UNFINISHED, f"{what} is under way in this repository", self.root)
        if self.branch == "HEAD":
            raise _fault(codes.DETACHED, "no branch is checked out, so a commit would belong to none", self.root)
        for who in ("GIT_AUTHOR_IDENT", "GIT_COMMITTER_IDENT"):
            if self._ask("var", who).status:
                raise _fault(codes.IDENTITY, "git does not know your name and e-mail address", self.root)

    def sweep(self) -> None:
        """Take away what a killed gemel left in git's folder. The shop's lock is held."""
        for left in self.folder.glob(f"{_SCRATCH}*"):
            shutil.rmtree(left, ignore_errors=True)

    def commit(self, files: Mapping[str, bytes], removed: tuple[str, ...], message: str) -> str | None:
        """The id of a new commit on the branch that sets and removes some paths; None when nothing would change.

        Args:
            files: bytes by path, relative to the root.
            removed: paths that go.
            message: of the commit.

        Raises:
            Findings: `git:refused`, or `git:raced` when the branch would not stand still.
        """
        # One scratch folder for all: making and removing folders costs as much as starting git.
        with tempfile.TemporaryDirectory(prefix=_SCRATCH, dir=self.folder) as folder:
            scratch = Path(folder)
            blobs = self._blobs(scratch, files.values())
            entries = [("100644", blob, path) for blob, path in zip(blobs, files, strict=True)]
            entries += [("0", self.zero, path) for path in removed]
            for _ in range(_TRIES):
                tip, before = self._tip_and_tree()
                tree = self._tree(scratch, tip, entries)
                if tree == before:
                    self._follow(entries)
                    return None
                made = self._moved(tip, tree, message)
                if made:
                    self._follow(entries)
                    return made
                time.sleep(_PAUSE_S)
        label = Label(Span(self.branch))
        raise Findings([codes.RACED.found(f"{self.branch} moved {_TRIES} times in a row", label)])

    def _moved(self, tip: str, tree: str, message: str) -> str:
        """The id of a commit of the tree, to which the branch has moved from `tip`; empty when it was elsewhere."""
        parents = () if tip == self.zero else ("-p", tip)
        made = self._line("commit-tree", tree, *parents, "-F", "-", stdin=message.encode())
        moved = self._ask("update-ref", "-m", "gemel write", self.branch, made, tip)
        if moved.status == 0:
            return made
        if self.tip() == tip and "lock" not in moved.said:
            raise Findings([_refused(moved.said)])
        return ""

    def _tip_and_tree(self) -> tuple[str, str]:
        """The branch's last commit and its tree; `zero` and nothing when it has none. One start of git for both."""
        answer = self._ask("rev-parse", f"{self.branch}^{{commit}}", f"{self.branch}^{{tree}}")
        found = answer.out.decode().split()
        return (found[0], found[1]) if answer.status == 0 else (self.zero, "")

    def _blobs(self, scratch: Path, texts: Iterable[bytes]) -> list[str]:
        """Ids of new blobs, in order. One start of git for all: starting it costs more than the writing."""
        paths = []
        for number, data in enumerate(texts):
            paths.append(scratch / str(number))
            paths[-1].write_bytes(data)
        if not paths:
            return []
        asked = b"".join(os.fsencode(path) + b"\n" for path in paths)
        return self._run("hash-object", "-w", "--no-filters", "--stdin-paths", stdin=asked).out.decode().split()

    def _tree(self, scratch: Path, tip: str, entries: list[tuple[str, str, str]]) -> str:
        index = scratch / "index"
        index.unlink(missing_ok=True)
        env = {"GIT_INDEX_FILE": str(index)}
        if tip != self.zero:
            self._run("read-tree", tip, env=env)
        self._run("update-index", "-z", "--add", "--index-info", stdin=_rows(entries), env=env)
        return self._run("write-tree", env=env).out.decode().strip()

    def _follow(self, entries: list[tuple[str, str, str]]) -> None:
        """Bring the user's index along, for these paths only; a busy index is left, and `git status` will show it."""
        for _ in range(_TRIES):
            answer = self._ask("update-index", "-z", "--add", "--index-info", stdin=_rows(entries))
            if answer.status == 0 or "index.lock" not in answer.said:
                return
            time.sleep(_PAUSE_S)

    def _line(self, *words: str, stdin: bytes = b"") -> str:
        return self._run(*words, stdin=stdin).out.decode().strip()

    def _run(self, *words: str, stdin: bytes = b"", env: Mapping[str, str] | None = None) -> _Answer:
        answer = self._ask(*words, stdin=stdin, env=env)
        if answer.status:
            raise Findings([_refused(answer.said)])
        return answer

    def _ask(self, *words: str, stdin: bytes = b"", env: Mapping[str, str] | None = None) -> _Answer:
        here = {"GIT_DIR": str(self.folder), "GIT_WORK_TREE": str(self.root)}
        here["GIT_INDEX_FILE"] = str(self.folder / "index")
        return _git(self.root, words, stdin, here | dict(env or {}))


def _rows(entries: list[tuple[str, str, str]]) -> bytes:
    return b"".join(f"{mode} {blob}\t".encode() + os.fsencode(path) + b"\0" for mode, blob, path in entries)


def blob_id(data: bytes, zero: str) -> str:
    """The id that git gives to a file of these bytes; its length follows the repository's own ids."""
    name = "sha1" if len(zero) == 40 else "sha256"
    return hashlib.new(name, b"blob %d\0" % len(data) + data, usedforsecurity=False).hexdigest()


def read_repository(shop: Path) -> Repository:
    """The shop's repository, for reading: a working tree of its own. `branch` is HEAD where none is checked out.

    Raises:
        Findings: `git:no-git`, `git:no-repository`, `git:foreign-repository`, `git:bare`, `git:refused`.
    """
    folder = _folder_of(shop)
    env = {"GIT_DIR": str(folder), "GIT_WORK_TREE": str(shop)}
    branch = _git(shop, ("symbolic-ref", "--quiet", "HEAD"), b"", env).out.decode().strip()
    ids = _git(shop, ("rev-parse", "--show-object-format"), b"", env).out.decode().strip()
    return Repository(shop, folder, branch or "HEAD", "0" * (64 if ids == "sha256" else 40))


def open_repository(shop: Path) -> Repository:
    """The shop's repository, ready for commits: a branch, an identity, nothing half done.

    Raises:
        Findings: one of the `git:` codes; nothing has been changed.
    """
    repository = read_repository(shop)
    repository.check_ready()
    return repository


def _folder_of(shop: Path) -> Path:
    """Where git keeps its files for the working tree whose top is the shop."""
    marker = next((p for p in (shop, *shop.parents) if (p / ".git").exists() or _looks_bare(p)), None)
    if marker is None:
        _git(shop, ("--version",), b"", {})  # without git at all, that is the first thing to say
        raise _fault(codes.NO_REPOSITORY, "the shop is in no git repository", shop)
    if not (marker / ".git").exists():
        raise _fault(codes.BARE, f"the repository in {marker} has no working tree", shop)
    # Set, so that a GIT_DIR that a hook or a shell left behind leads nowhere else.
    answer = _git(marker, ("rev-parse", "--absolute-git-dir"), b"", {"GIT_DIR": str(marker / ".git")})
    if answer.status:
        raise Findings([_refused(answer.said)])
    folder = Path(os.fsdecode(answer.out.rstrip(b"\n")))
    env = {"GIT_DIR": str(folder), "GIT_WORK_TREE": str(marker)}
    if _git(marker, ("config", "--bool", "core.bare"), b"", env).out.strip() == b"true":
        raise _fault(codes.BARE, f"the repository in {marker} has no working tree", shop)
    if marker != shop:
        raise _fault(codes.FOREIGN, f"the shop lies inside the repository of {marker}", shop)
    return folder


def _looks_bare(folder: Path) -> bool:
    return all((folder / name).exists() for name in ("HEAD", "objects", "refs"))


def create_repository(shop: Path) -> None:
    """A new, empty repository in a folder, with a branch `main`.

    Raises:
        Findings: `git:no-git` or `git:refused`.
    """
    answer = _git(shop, ("init", "--quiet", "--initial-branch=main", "--template=", str(shop)), b"", {})
    if answer.status:
        raise Findings([_refused(answer.said)])


def _git(where: Path, words: tuple[str, ...], stdin: bytes, env: Mapping[str, str]) -> _Answer:
    """What git answers; the library sets LC_ALL=C, so that its words can be read.

    Raises:
        Findings: `git:no-git`.
    """
    try:
        # Importing the library already starts git, and fails without it.
        from git import GitCommandNotFound  # noqa: PLC0415 # heavy
        from git.cmd import Git  # noqa: PLC0415 # heavy
    except ImportError:
        raise _fault(codes.NO_GIT, "git cannot be started", where) from None
    try:
        # A session of its own: Ctrl-C reaches gemel, which finishes the commit in hand, and not git halfway.
        started = Git(str(where)).execute(
            ["git", *_SETTINGS, *words],
            istream=subprocess.PIPE,
            as_process=True,
            env=dict(env),
            start_new_session=True,
        )
    except GitCommandNotFound:
        raise _fault(codes.NO_GIT, "git cannot be started", where) from None
    process = started.proc
    assert process is not None, "git has just been started"
    out, said = process.communicate(input=stdin)
    return _Answer(process.returncode, out, said.decode("utf-8", "replace").strip())


def _fault(code: Explanation, cause: str, shop: Path) -> Findings:
    return Findings([code.found(cause, Label(Span(str(shop))))])


def _refused(said: str) -> Finding:
    return codes.REFUSED.found(f"git refused: {said or 'it did not say why'}")
