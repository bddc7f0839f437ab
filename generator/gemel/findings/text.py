"""Findings as plain text, for a terminal or a pipe. Never passes program text through markup."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.findings.finding import Severity

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from gemel.findings.finding import Finding, Label

__all__ = ["in_order", "render_finding", "render_findings"]

_WEIGHT = {Severity.ERROR: 0, Severity.WARNING: 1, Severity.NOTE: 2}


def in_order(findings: Iterable[Finding]) -> list[Finding]:
    """Findings sorted by place, then weight; the same fault at the same place once."""
    return sorted(
        dict.fromkeys(findings),
        key=lambda f: (f.labels[0].span if f.labels else ("", 0, 0, 0), _WEIGHT[f.severity], f.name),
    )


def render_finding(finding: Finding, sources: Mapping[str, str] | None = None) -> str:
    """One finding: place, name and cause; the offending line with carets; the remedy."""
    where = f"{finding.labels[0].span.shown()}: " if finding.labels else ""
    lines = [f"{where}{finding.severity.value}: {finding.cause} [{finding.name}]"]
    for number, label in enumerate(finding.labels):
        if number:
            lines.append(f"  {label.span.shown()}: {label.words or 'see also'}")
        lines.extend(_excerpt(label, sources or {}))
    if finding.remedy:
        lines.append(f"  remedy: {finding.remedy}")
    return "\n".join(lines)


def _excerpt(label: Label, sources: Mapping[str, str]) -> list[str]:
    span = label.span
    text = sources.get(span.source)
    if text is None or not span.line:
        return [f"    {printable(label.text)}"] if label.text else []
    rows = text.split("\n")
    if span.line > len(rows):
        return []
    row = rows[span.line - 1].rstrip("\r")[:160]
    carets = "^" * max(1, min(span.end, len(row)) - span.start)
    number = f"{span.line:>5}"
    return [f"  {number} | {printable(row)}", f"  {'':>5} | {'':>{span.start}}{carets}"]


def printable(text: str) -> str:
    """`text` with control characters made visible, so that no file can steer a terminal."""
    return "".join(c if c.isprintable() else ("�" if ord(c) > 126 else f"^{chr(ord(c) ^ 64)}") for c in text)


def render_findings(findings: Iterable[Finding], sources: Mapping[str, str] | None = None) -> str:
    """All findings, one paragraph each, and a line that counts them."""
    ordered = in_order(findings)
    if not ordered:
        return ""
    counts = {s: sum(1 for f in ordered if f.severity is s) for s in Severity}
    total = ", ".join(f"{n} {s.value}{'s' if n > 1 else ''}" for s, n in counts.items() if n)
    return "\n".join([render_finding(f, sources) for f in ordered] + [total])
