"""Cases for the sentences of docs/proving.md: a pair in two lines, and every error and warning that it must show.

They stand in tests/cases/page, one paragraph a case: words of the page behind `>`, the programs with `|` between their
blocks, facts of the machine file that differ from the demo, and a line for each finding: severity, code, places.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from gemel.findings import Severity
from support.proofs import demo_machine, proof

if TYPE_CHECKING:
    from gemel.proving import Verdict

__all__ = ["PAGE", "Case", "in_short", "page_cases", "verdict_of"]

PAGE = Path(__file__).parents[2] / "docs" / "proving.md"
_FOLDER = Path(__file__).parents[1] / "cases" / "page"


@dataclass(frozen=True, slots=True)
class Case:
    """One pair.

    Attributes:
        quote: words of the page that it shows.
        upper: the program of the upper channel, blocks separated by `|`.
        lower: that of the lower channel.
        shows: every error and warning: severity letter, code, then channel and line of each place.
        facts: facts about zones that the machine file has besides; `catcher` for the catcher.
    """

    quote: str
    upper: str
    lower: str
    shows: frozenset[str] = frozenset()
    facts: tuple[tuple[str, str], ...] = ()


def page_cases() -> list[Case]:
    """All cases, in the order of their files."""
    texts = [path.read_text() for path in sorted(_FOLDER.glob("*.txt"))]
    return [_case(paragraph) for text in texts for paragraph in text.split("\n\n")]


def _case(paragraph: str) -> Case:
    quote, *rows = paragraph.strip().splitlines()
    fields = [tuple(row.split(": ", 1)) for row in rows]
    plain = {name: value for name, value in fields if name != "shows"}
    upper, lower = plain.pop("upper"), plain.pop("lower")
    shows = frozenset(value for name, value in fields if name == "shows")
    return Case(quote.removeprefix("> "), upper, lower, shows, tuple(plain.items()))


def verdict_of(case: Case) -> Verdict:
    """The verdict on the pair of a case."""
    demo = demo_machine()
    facts = dict(case.facts)
    catcher = facts.pop("catcher", "") != "none"
    together = facts.pop("allowed_together", None)
    zones: dict[str, object] = {name: float(value) for name, value in facts.items()}
    if together is not None:
        zones["allowed_together"] = [together.split()]
    changed = {"zones": demo.zones.model_copy(update=zones), "catcher": catcher}
    return proof(demo.model_copy(update=changed), upper=_text(case.upper), lower=_text(case.lower))


def _text(blocks: str) -> str:
    return "\n".join([*re.split(r" *\| *", blocks.replace("\\r", "\r")), ""])


def in_short(verdict: Verdict) -> set[str]:
    """The errors and warnings as cases spell them."""
    return {
        f"{f.severity.value[0]} {f.name} "
        + " ".join(sorted(f"{label.channel}-{label.span.line}" for label in f.labels))
        + (" skipped" if f.skipped else "")
        for f in verdict.findings
        if f.severity is not Severity.NOTE
    }
