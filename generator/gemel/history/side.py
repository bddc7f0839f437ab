"""Side branches: what came from a control, on a branch of its own that the user's work does not see.

Each control has a branch `at-control/<machine>`. A commit to it is made beside the working tree: a private index, a
new commit, and two refs that move together or not at all, each only from where it was seen.
The second ref, `refs/gemel/at-control/<machine>`, is gemel's own: when a person removes or sets back the branch, it
still holds every copy, and the next commit brings the branch back.
"""

from __future__ import annotations

import json
import time
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from gemel.findings import Findings, Label, Span
from gemel.history import codes
from gemel.history.git import PAUSE_S, TRIES, is_held, raced, refused
from gemel.history.record import PairName

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from gemel.findings import Finding
    from gemel.history.git import Repository

__all__ = ["SideBranch", "branch_of", "look_aside", "machines_aside"]

_BRANCHES = "refs/heads/at-control/"
_KEPT = "refs/gemel/at-control/"


def branch_of(machine: str) -> str:
    """The branch of a machine's control, as people name it.

    Raises:
        Findings: `pair:name` when the machine's name cannot be part of it.
    """
    _ = PairName(machine, "a", "a").folder
    return f"at-control/{machine}"


@dataclass(frozen=True, slots=True)
class SideBranch:
    """What git holds of a control, as it was seen at one moment.

    Attributes:
        machine: whose control.
        branch: the commit that the branch names; empty without one.
        kept: the commit that gemel's own ref names; empty without one.
        tip: the commit to build on, and to read; empty when nothing ever came from there.
        tree: the tip's tree.
        checked_out: the working tree in which a person has the branch checked out; empty for none.
        findings: `side:` warnings about a branch that is not where gemel left it.
    """

    repository: Repository
    machine: str
    branch: str
    kept: str
    tip: str
    tree: str
    checked_out: str
    findings: tuple[Finding, ...] = ()
    _files: dict[str, str] = field(default_factory=dict, repr=False, compare=False)

    @property
    def files(self) -> Mapping[str, str]:
        """Blob ids by path, of everything in the tip; asked of git when first wanted.

        Raises:
            Findings: `git:refused`.
        """
        if self.tip and not self._files:
            self._files.update(self.repository.files(self.tip))
        return self._files

    def commit(self, files: Mapping[str, bytes], removed: tuple[str, ...], message: str) -> str | None:
        """The id of a new commit that sets and removes some paths; None when nothing would change.

        Neither working tree nor index nor the current branch change, and no hook runs.

        Raises:
            Findings: `git:refused`, `git:raced`, `side:checked-out`.
        """
        repository, seen, said = self.repository, self, ""
        with repository.scratch() as scratch:
            entries = repository.entries(scratch, files, removed)
            for _ in range(TRIES):
                seen.check_free()
                tree = repository.tree(scratch, seen.tip or repository.zero, entries)
                if tree == seen.tree:
                    seen.bring_back()
                    return None
                made = repository.commit_tree(tree, seen.parents(), message)
                said = seen.move(made)
                if not said:
                    return made
                time.sleep(PAUSE_S)
                seen = look_aside(repository, self.machine)
        raise raced(branch_of(self.machine), said)

    def check_free(self) -> None:
        """See that nobody works on the branch itself.

        Raises:
            Findings: `side:checked-out`.
        """
        if self.checked_out:
            name = branch_of(self.machine)
            cause = f"{name} is checked out in {self.checked_out}"
            raise Findings([codes.CHECKED_OUT.found(cause, Label(Span(name)))])

    def parents(self) -> list[str]:
        """What a new commit builds on; both lines where the branch and gemel's own ref have parted."""
        seen = [commit for commit in (self.tip, self.branch, self.kept) if commit]
        parents = list(dict.fromkeys(seen))
        return [p for p in parents if p == self.tip or not _is_before(self.repository, p, self.tip)]

    def move(self, commit: str) -> str:
        """Set both refs to a commit, if both stand where they were seen; what git said where they do not.

        Raises:
            Findings: `git:refused`.
        """
        zero = self.repository.zero
        orders = [
            "start",
            f"update {_BRANCHES}{self.machine} {commit} {self.branch or zero}",
            f"update {_KEPT}{self.machine} {commit} {self.kept or zero}",
            "prepare",
            "commit",
        ]
        answer = self.repository.ask("update-ref", "-m", "gemel", "--stdin", stdin="\n".join([*orders, ""]).encode())
        if answer.status == 0:
            return ""
        now = look_aside(self.repository, self.machine)
        moved = (now.branch, now.kept) != (self.branch, self.kept)
        if moved or is_held(answer.said):
            return answer.said or "git did not say why"
        raise Findings([refused(answer.said)])

    def bring_back(self) -> None:
        """Where nothing new came: a branch that was removed or set back is set to what gemel kept."""
        if self.findings and self.branch != self.tip:
            self.move(self.tip)

    def read(self, paths: Iterable[str]) -> dict[str, bytes]:
        """The bytes of some paths in the tip; one that is not there is missing.

        Raises:
            Findings: `side:unreadable` when git cannot read one of them.
        """
        wanted = {path: self.files[path] for path in paths if path in self.files}
        return dict(zip(wanted, self.repository.read_blobs(list(wanted.values())), strict=True)) if wanted else {}

    def read_json(self, paths: Iterable[str]) -> dict[str, Any]:
        """The values of some JSON files in the tip; one that is not there, or is none, is missing."""
        values = {path: _json(data) for path, data in self.read(paths).items()}
        return {path: value for path, value in values.items() if value is not None}


def _json(data: bytes) -> Any:
    try:
        return json.loads(data)
    except (ValueError, RecursionError):
        return None


def machines_aside(repository: Repository) -> list[str]:
    """The machines from whose controls something came, sorted."""
    listed = repository.run("for-each-ref", "--format=%(refname)", _BRANCHES, _KEPT).out.decode().split()
    return sorted({name.removeprefix(_BRANCHES).removeprefix(_KEPT) for name in listed})


def look_aside(repository: Repository, machine: str) -> SideBranch:
    """What git holds of a machine's control now.

    Raises:
        Findings: `pair:name`, `git:refused`.
    """
    name = branch_of(machine)
    fields = "%00".join(f"%({name})" for name in ("refname", "objectname", "tree", "worktreepath"))
    answer = repository.run("for-each-ref", f"--format={fields}", _BRANCHES + machine, _KEPT + machine)
    if answer.said:
        # git says here that a ref is broken, and passes over it.
        raise Findings([refused(answer.said)])
    rows = [row.split("\0") for row in answer.out.decode("utf-8", "replace").splitlines()]
    found = {row[0]: row[1:] for row in rows}
    branch, tree, where = found.get(_BRANCHES + machine, ("", "", ""))
    kept, kept_tree, _ = found.get(_KEPT + machine, ("", "", ""))
    tip = branch or kept
    findings = []
    if kept and not branch:
        cause = f"the branch {name} was removed; gemel kept what it held, and brings it back with the next copy"
        findings.append(codes.REMOVED.found(cause, Label(Span(name))))
    elif kept and branch != kept and not _is_before(repository, kept, branch):
        if _is_before(repository, branch, kept):
            tip = kept
        cause = f"the branch {name} was set to another commit; gemel kept what it held ({kept[:12]})"
        findings.append(codes.SET_BACK.found(cause, Label(Span(name))))
    return SideBranch(
        repository, machine, branch, kept, tip, tree if tip == branch else kept_tree, where, tuple(findings)
    )


def _is_before(repository: Repository, one: str, other: str) -> bool:
    return repository.ask("merge-base", "--is-ancestor", one, other).status == 0
