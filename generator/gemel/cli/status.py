"""Exit statuses."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from gemel.findings import Finding

__all__ = ["FOUND", "INTERRUPTED", "OK", "OUR_FAULT", "UNUSABLE", "status_of"]

OK, FOUND, UNUSABLE, OUR_FAULT, INTERRUPTED = 0, 1, 2, 3, 130
_CONFIGURATION = frozenset({"bars", "compare", "decide", "git", "lock", "shop", "side"})
_INPUT = frozenset({"body", "document", "family", "machine", "operation", "pairs", "template", "writing"})
_ABOUT_PROGRAMS = frozenset({"shop:not-proved", "shop:stale", "side:no-baseline"})
_UNUSABLE = frozenset(
    {
        "chart:nothing-there",
        "sheet:foreign-file",
        "intake:nothing",
        "pair:name",
        "release:no-pair",
        "release:nobody",
        "release:which-machine",
        "send:no-folder",
    }
)


def status_of(findings: Sequence[Finding]) -> int:
    """0 without an error; 2 when an error says that it cannot be done as asked; else 1.

    Files that cannot be used (families, templates, machine files), a missing name, a shop that is none, git and the
    lock are of the first kind; what is wrong with programs is not.
    """
    errors = [finding for finding in findings if finding.is_error]
    if not errors:
        return OK
    return UNUSABLE if any(_is_unusable(finding) for finding in errors) else FOUND


def _is_unusable(finding: Finding) -> bool:
    if finding.name in _ABOUT_PROGRAMS:
        return False
    return finding.rule in _CONFIGURATION or finding.rule in _INPUT or finding.name in _UNUSABLE
