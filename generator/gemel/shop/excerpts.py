"""Lines of programs that stand in no file yet, kept for showing what findings point at."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from gemel.findings import Finding

__all__ = ["excerpts"]


def excerpts(findings: Iterable[Finding], programs: Iterable[tuple[str, bytes]], encoding: str) -> dict[str, str]:
    """By name, each program that a finding points into; lines that no finding points at are left empty."""
    wanted: dict[str, set[int]] = {}
    for finding in findings:
        for label in finding.labels:
            wanted.setdefault(label.span.source, set()).add(label.span.line)
    return {name: _sparse(data.decode(encoding), wanted[name]) for name, data in programs if name in wanted}


def _sparse(text: str, lines: set[int]) -> str:
    rows = text.split("\n")[: max(lines)]
    return "\n".join(row if number in lines else "" for number, row in enumerate(rows, 1))
