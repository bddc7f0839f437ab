"""What git remembers of some paths, the newest first."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from gemel.history.git import Repository

__all__ = ["Step", "trail_of"]


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
