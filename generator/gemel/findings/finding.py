"""A finding: what is wrong, where, why, and what to do. Values only; renderers are apart."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from gemel.findings.span import Span

__all__ = ["Finding", "Findings", "Label", "Severity"]


class Severity(StrEnum):
    """How much a finding weighs. Whether it stops a release is a property of its code."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class Label:
    """A place that a finding speaks of.

    Attributes:
        span: where.
        text: the offending text as it stands there.
        words: a few words for this place, `first used here`.
        channel: the channel of a program, else empty.
    """

    span: Span
    text: str = ""
    words: str = ""
    channel: str = ""


@dataclass(frozen=True, slots=True)
class Finding:
    """One fault, or one remark.

    Attributes:
        rule: the family of the code, `family` or `waits`.
        code: the fault within it, `unknown-key` or `deadlock`.
        severity: error, warning or note.
        cause: one sentence, no full stop needed by renderers.
        labels: the places; the first is the primary one.
        remedy: one sentence that says what to do.
    """

    rule: str
    code: str
    severity: Severity
    cause: str
    labels: tuple[Label, ...] = ()
    remedy: str = ""

    @property
    def name(self) -> str:
        """`rule:code`, by which `gemel explain` knows it."""
        return f"{self.rule}:{self.code}"

    @property
    def is_error(self) -> bool:
        """Whether nothing may be written or released with it."""
        return self.severity is Severity.ERROR


class Findings(Exception):  # noqa: N818 # a pipeline step that cannot go on raises all it has found, errors or not
    """Raised with every finding that a step collected, when the step cannot give a result."""

    def __init__(self, findings: tuple[Finding, ...] | list[Finding]) -> None:
        super().__init__("; ".join(f.cause for f in findings))
        self.findings = tuple(findings)
