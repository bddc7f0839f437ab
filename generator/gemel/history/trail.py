"""What git remembers of some paths, the newest first."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterable

    from gemel.history.git import Repository

__all__ = ["Step", "first_seen", "trail_of"]


class Step(NamedTuple):
    """One commit that touched the paths.

    Attributes:
        commit: its id.
        at: when it was made, ISO 8601 with its offset from UTC.
        by: git's name of who made it.
        subject: first line of its message.
        body: the other lines.
    """

    commit: str
    at: str
    by: str
    subject: str
    body: tuple[str, ...]


def trail_of(repository: Repository, tip: str, *paths: str) -> list[Step]:
    """Commits up to `tip` that touched one of the paths, the newest first; none where there is no tip.

    Raises:
        Findings: `git:refused`.
    """
    if not tip or tip == repository.zero:
        return []
    words = ("log", "--full-history", "--encoding=UTF-8", "-z", "--format=%H%n%cI%n%cn%n%B", tip, "--", *paths)
    listed = repository.run(*words).out.decode("utf-8", "replace")
    steps = []
    for row in filter(None, listed.split("\0")):
        commit, at, by, *message = row.splitlines()
        subject, *body = message or [""]
        steps.append(Step(commit, at, by, subject, tuple(line for line in body if line)))
    return steps


def first_seen(repository: Repository, path: str, words: Iterable[str]) -> dict[str, str]:
    """When each of some words first came into a file of the branch, ISO 8601; one that never did is missing.

    Raises:
        Findings: `git:refused`.
    """
    tip = repository.tip()
    if tip == repository.zero:
        return {}
    options = ("--reverse", "--no-ext-diff", "--no-textconv", "--no-color", "-p", "-U0", "--format=commit %cI")
    listed = repository.run("log", *options, tip, "--", path).out.decode("utf-8", "replace")
    missing, found, at = set(words), dict[str, str](), ""
    for row in listed.splitlines():
        if row.startswith("commit "):
            at = row.removeprefix("commit ")
        elif row.startswith("+"):
            come = {word for word in missing if word in row}
            found |= dict.fromkeys(come, at)
            missing -= come
    return found
