"""The one module that talks to git.

A commit is made with plumbing: blobs, a private index, `commit-tree`, and `update-ref` that compares before it sets.
The user's index changes for the committed paths only, the working tree not at all, and no hook runs.
"""

from __future__ import annotations

import hashlib
import os
import subprocess
import time
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from gemel.findings import Findings, Label, Span
from gemel.history import codes
from gemel.history.scratch import scratch_folder, sweep

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from contextlib import AbstractContextManager

    from gemel.findings import Explanation, Finding

__all__ = [
    "PAUSE_S",
    "TRIES",
    "Answer",
    "Entry",
    "Repository",
    "blob_id",
    "create_repository",
    "is_held",
    "open_repository",
    "raced",
    "read_repository",
    "refused",
]

TRIES = 20
PAUSE_S = 0.05
_HALVES = {
    "MERGE_HEAD": "a merge",
    "rebase-merge": "a rebase",
    "rebase-apply": "a rebase",
    "CHERRY_PICK_HEAD": "a cherry-pick",
    "REVERT_HEAD": "a revert",
}
# Hooks do not run (`reference-transaction` and `post-index-change` would), and git may not guess who commits.
# A commit that git has named is on the disk: what came from a control outlives a power cut.
_SETTINGS = (
    f"core.hooksPath={os.devnull}",
    "user.useConfigOnly=true",
    "core.fsmonitor=false",
    "core.fsync=loose-object,reference",
    "i18n.commitEncoding=UTF-8",
    "log.showSignature=false",
    "log.diffMerges=separate",
)
_WORDS = [word for setting in _SETTINGS for word in ("-c", setting)]

Entry = tuple[str, str, str]
"""Mode, blob id and path, as an index takes them."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What git answered: its exit status, its output, and what it said besides."""

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

    def run(self, *words: str, stdin: bytes = b"", env: Mapping[str, str] | None = None) -> Answer:
        """What git answers to these words.

        Raises:
            Findings: `git:refused` with what git said.
        """
        answer = self.ask(*words, stdin=stdin, env=env)
        if answer.status:
            raise Findings([refused(answer.said)])
        return answer

    def ask(self, *words: str, stdin: bytes = b"", env: Mapping[str, str] | None = None) -> Answer:
        """What git answers, also when it refuses."""
        here = {"GIT_DIR": str(self.folder), "GIT_WORK_TREE": str(self.root)}
        here["GIT_INDEX_FILE"] = str(self.folder / "index")
        return _git(self.root, words, stdin, here | dict(env or {}))

    def tracked(self, under: str) -> dict[str, str]:
        """Blob ids by path, of everything that the branch's last commit holds in a folder."""
        tip = self.tip()
        return {} if tip == self.zero else self.files(tip, under)

    def indexed(self, under: str) -> dict[str, str]:
        """Blob ids by path, of everything that the user's index holds in a folder."""
        listed = self.run("ls-files", "-s", "-z", "--", f"{under}/").out
        rows = (row.split(b"\t", 1) for row in listed.split(b"\0") if row)
        return {os.fsdecode(path): about.split()[1].decode() for about, path in rows}

    def files(self, commit: str, under: str = "") -> dict[str, str]:
        """Blob ids by path, of everything that a commit holds, or holds in a folder."""
        words = ("--", f"{under}/") if under else ()
        listed = self.run("ls-tree", "-r", "-z", commit, *words).out
        rows = (row.split(b"\t", 1) for row in listed.split(b"\0") if row)
        return {os.fsdecode(path): about.split()[2].decode() for about, path in rows}

    def read_blobs(self, ids: list[str]) -> list[bytes]:
        """The bytes of some blobs, in order. One start of git for all.

        Raises:
            Findings: `side:unreadable` with what git says about the object.
        """
        answer = self.ask("cat-file", "--batch", stdin="".join(f"{blob}\n" for blob in ids).encode())
        found: list[bytes] = []
        at = 0
        for blob in ids:
            head = answer.out[at : at + 200].partition(b"\n")[0]
            words = head.split()
            if len(words) != 3 or words[1] != b"blob":
                said = answer.said.splitlines()[0] if answer.said else "it is missing"
                raise Findings([codes.UNREADABLE.found(f"git cannot read {blob}: {said}", Label(Span(blob)))])
            at += len(head) + 1
            found.append(answer.out[at : at + int(words[2])])
            at += int(words[2]) + 1
        return found

    def tip(self) -> str:
        """The branch's last commit; `zero` when it has none."""
        answer = self.ask("rev-parse", "--verify", "--quiet", f"{self.branch}^{{commit}}")
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
        self.check_identity()

    def check_identity(self) -> None:
        """See that git knows who commits.

        Raises:
            Findings: `git:no-identity`.
        """
        for who in ("GIT_AUTHOR_IDENT", "GIT_COMMITTER_IDENT"):
            if self.ask("var", who).status:
                raise _fault(codes.IDENTITY, "git does not know your name and e-mail address", self.root)

    def sweep(self) -> None:
        """Take away what a killed gemel left in git's folder."""
        sweep(self.folder)

    def scratch(self) -> AbstractContextManager[Path]:
        """A folder of one's own for a private index."""
        return scratch_folder(self.folder)

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
        with self.scratch() as scratch:
            entries = self.entries(scratch, files, removed)
            for _ in range(TRIES):
                tip, before = self._tip_and_tree()
                tree = self.tree(scratch, tip, entries)
                if tree == before:
                    self._follow(entries)
                    return None
                made = self._moved(tip, tree, message)
                if made:
                    self._follow(entries)
                    return made
                time.sleep(PAUSE_S)
        raise raced(self.branch)

    def entries(self, scratch: Path, files: Mapping[str, bytes], removed: tuple[str, ...] = ()) -> list[Entry]:
        """What an index takes to set and remove some paths; the bytes are in the repository then.

        One start of git for all: starting it costs more than the writing.
        """
        asked = b""
        for number, data in enumerate(files.values()):
            path = scratch / str(number)
            path.write_bytes(data)
            asked += os.fsencode(path) + b"\n"
        words = ("hash-object", "-w", "--no-filters", "--stdin-paths")
        blobs = self.run(*words, stdin=asked).out.decode().split() if files else []
        entries = [("100644", blob, path) for blob, path in zip(blobs, files, strict=True)]
        return entries + [("0", self.zero, path) for path in removed]

    def tree(self, scratch: Path, tip: str, entries: list[Entry]) -> str:
        """The id of the tree of a commit with some paths set and removed; `zero` begins with nothing."""
        index = scratch / "index"
        index.unlink(missing_ok=True)
        env = {"GIT_INDEX_FILE": str(index)}
        if tip != self.zero:
            self.run("read-tree", tip, env=env)
        self.run("update-index", "-z", "--add", "--index-info", stdin=_rows(entries), env=env)
        return self.run("write-tree", env=env).out.decode().strip()

    def commit_tree(self, tree: str, parents: Iterable[str], message: str) -> str:
        """The id of a new commit that no branch names yet."""
        words = [word for parent in parents for word in ("-p", parent)]
        return self.run("commit-tree", tree, *words, "-F", "-", stdin=message.encode()).out.decode().strip()

    def _moved(self, tip: str, tree: str, message: str) -> str:
        """The id of a commit of the tree, to which the branch has moved from `tip`; empty when it was elsewhere."""
        made = self.commit_tree(tree, () if tip == self.zero else (tip,), message)
        moved = self.ask("update-ref", "-m", "gemel write", self.branch, made, tip)
        if moved.status == 0:
            return made
        if self.tip() == tip and not is_held(moved.said):
            raise Findings([refused(moved.said)])
        return ""

    def _tip_and_tree(self) -> tuple[str, str]:
        """The branch's last commit and its tree; `zero` and nothing when it has none. One start of git for both."""
        answer = self.ask("rev-parse", f"{self.branch}^{{commit}}", f"{self.branch}^{{tree}}")
        found = answer.out.decode().split()
        return (found[0], found[1]) if answer.status == 0 else (self.zero, "")

    def _follow(self, entries: list[Entry]) -> None:
        """Bring the user's index along, for these paths only; a busy index is left, and `git status` will show it."""
        for _ in range(TRIES):
            answer = self.ask("update-index", "-z", "--add", "--index-info", stdin=_rows(entries))
            if answer.status == 0 or "index.lock" not in answer.said:
                return
            time.sleep(PAUSE_S)


def _rows(entries: list[Entry]) -> bytes:
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
        raise Findings([refused(answer.said)])
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
        raise Findings([refused(answer.said)])


def _git(where: Path, words: tuple[str, ...], stdin: bytes, env: Mapping[str, str]) -> Answer:
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
            ["git", *_WORDS, *words],
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
    return Answer(process.returncode, out, said.decode("utf-8", "replace").strip())


def is_held(said: str) -> bool:
    """Whether git says that another git holds what it wants to change; trying again may help."""
    return ".lock': File exists" in said


def raced(ref: str, said: str = "") -> Findings:
    """What to raise when a branch would not stand still, or when a lock that somebody left would not go away."""
    if is_held(said):
        return Findings([refused(said)])
    return Findings([codes.RACED.found(f"{ref} moved {TRIES} times in a row", Label(Span(ref)))])


def _fault(code: Explanation, cause: str, shop: Path) -> Findings:
    return Findings([code.found(cause, Label(Span(str(shop))))])


def refused(said: str) -> Finding:
    """A `git:refused` finding with what git said."""
    return codes.REFUSED.found(f"git refused: {said or 'it did not say why'}")
