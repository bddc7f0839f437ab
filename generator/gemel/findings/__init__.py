"""Findings: span, finding, explanation, and their text form.

Takes nothing of gemel but numbers; gives the vocabulary in which every layer reports.
"""

from gemel.findings.explanation import Explanation
from gemel.findings.finding import Finding, Findings, Label, Severity
from gemel.findings.nearest import did_you_mean, nearest
from gemel.findings.span import Span
from gemel.findings.text import in_order, printable, render_finding, render_findings

__all__ = [
    "Explanation",
    "Finding",
    "Findings",
    "Label",
    "Severity",
    "Span",
    "did_you_mean",
    "in_order",
    "nearest",
    "printable",
    "render_finding",
    "render_findings",
]
