"""Exit statuses."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from gemel.findings import Finding

__all__ = ["FOUND", "INTERRUPTED", "OK", "OUR_FAULT", "UNUSABLE", "status_of"]

OK, FOUND, UNUSABLE, OUR_FAULT, INTERRUPTED = 0, 1, 2, 3, 130
_CONFIGURATION = frozenset({"bars", "git", "lock", "shop", "side"})
_ABOUT_PROGRAMS = frozenset({"shop:duplicate-program", "shop:not-proved", "shop:stale", "side:no-baseline"})
_UNUSABLE = frozenset({"intake:nothing"})


def status_of(findings: Sequence[Finding]) -> int:
    """0 without an error; 2 when all errors say that it cannot be done as asked; else 1.

    A missing name, a shop that is none, git and the lock are of the first kind; faults of parts and programs are not.
    """
    errors = [finding for finding in findings if finding.is_error]
    if not errors:
        return OK
    unusable = all((f.rule in _CONFIGURATION and f.name not in _ABOUT_PROGRAMS) or f.name in _UNUSABLE for f in errors)
    return UNUSABLE if unusable else FOUND
