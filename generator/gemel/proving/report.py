"""A verdict as one JSON object, as `docs/proving.md` describes it."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from gemel.findings import Label
    from gemel.proving.verdict import Fault, Verdict

__all__ = ["as_json", "as_object"]


def as_object(verdict: Verdict) -> dict[str, Any]:
    """The verdict as plain values, findings errors first: the keys of `docs/proving.md` and no others."""
    return {
        "verdict": "pass" if verdict.passes else "fail",
        "findings": [_finding(f) for f in verdict.findings],
        "understood": {name: _share(share) for name, share in verdict.understood.items()},
        "checked": verdict.checked,
    }


def as_json(verdict: Verdict) -> str:
    """The same as text, one object."""
    return json.dumps(as_object(verdict), indent=2, ensure_ascii=False)


def _finding(fault: Fault) -> dict[str, Any]:
    found: dict[str, Any] = {
        "rule": fault.rule,
        "code": fault.code,
        "severity": fault.severity.value,
        "where": [_where(label) for label in fault.labels],
        "cause": fault.cause,
        "remedy": fault.remedy,
        "trace": [list(step) for step in fault.trace],
    }
    if fault.skipped:
        found["skipped"] = True
    return found


def _where(label: Label) -> dict[str, Any]:
    span = label.span
    return {"channel": label.channel, "file": span.source, "line": span.line, "block": label.text.strip()}


def _share(share: float) -> float:
    """Three digits, but never 1 where a block was not understood."""
    return 1.0 if share == 1.0 else min(round(share, 3), 0.999)
