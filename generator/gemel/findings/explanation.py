"""What a finding's code means, under fixed headings; the manual and `gemel explain` are made from it."""

from __future__ import annotations

from dataclasses import dataclass

from gemel.findings.finding import Finding, Label, Severity

__all__ = ["Explanation"]


@dataclass(frozen=True, slots=True)
class Explanation:
    """One code of the table.

    Attributes:
        rule: family of codes.
        code: its name inside the family; never used again for another fault.
        severity: how much it weighs.
        what: what is checked, one or two sentences.
        why: why it matters at the machine.
        example: a few lines of program or YAML that show it.
        remedy: what to do.
    """

    rule: str
    code: str
    severity: Severity
    what: str
    why: str
    example: str
    remedy: str

    @property
    def name(self) -> str:
        """`rule:code`."""
        return f"{self.rule}:{self.code}"

    def found(self, cause: str, *labels: Label, remedy: str = "") -> Finding:
        """A finding of this code with this cause at these places."""
        return Finding(self.rule, self.code, self.severity, cause, labels, remedy or self.remedy)
