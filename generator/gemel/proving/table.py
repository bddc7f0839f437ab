"""The table of all codes that a proof can find, and the manual page made from it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.proving.rules import (
    bar,
    c_axis,
    clamps,
    cutting,
    ending,
    handover,
    limits,
    limits_cutting,
    order,
    skips,
    wait_numbers,
    waiting,
    words,
    zones,
)

if TYPE_CHECKING:
    from collections.abc import Iterable

    from gemel.findings import Explanation

__all__ = ["TABLE", "explained", "manual"]

TABLE: tuple[Explanation, ...] = (
    *waiting.RULES,
    *wait_numbers.RULES,
    *zones.RULES,
    *cutting.RULES,
    *clamps.RULES,
    *bar.RULES,
    *handover.RULES,
    *c_axis.RULES,
    *ending.RULES,
    *skips.RULES,
    *order.RULES,
    *words.RULES,
    *limits.RULES,
    *limits_cutting.RULES,
)
"""Every code, family by family."""

_HEADS = {
    "waits": "Wait marks: does every channel get to its end",
    "zones": "Zones: does only one channel work in a place at a time",
    "holding": "Holding: is the part held, and let go, when it must be",
    "order": "Order: does one channel at a time command a thing",
    "words": "Words: is the program written as the control reads it",
    "limits": "Limits: can the machine do what is asked",
}


def explained(entry: Explanation) -> str:
    """One entry of the table as plain text."""
    example = "\n".join(f"    {line}" for line in entry.example.splitlines())
    return (
        f"{entry.name} ({entry.severity.value})\n\n{entry.what}\n\n"
        f"Why it matters at the machine: {entry.why}\n\nExample:\n\n{example}\n\nWhat to do: {entry.remedy}.\n"
    )


def manual(table: Iterable[Explanation] = TABLE) -> str:
    """The manual page of the codes in Markdown: one section a family, one entry a code."""
    entries = sorted(table, key=lambda e: (list(_HEADS).index(e.rule) if e.rule in _HEADS else 99, _natural(e.code)))
    lines = [
        "# Findings of a proof",
        "",
        "Made from the table of codes in `proving/`; a test keeps it in step.",
        "`gemel explain CODE` prints one entry.",
    ]
    family = ""
    for entry in entries:
        if entry.rule != family:
            family = entry.rule
            lines += ["", f"## {_HEADS.get(family, family)}"]
        lines += ["", f"### `{entry.name}` ({entry.severity.value})", "", entry.what, ""]
        lines += [f"Why it matters at the machine: {entry.why}", "", "```"]
        lines += [*entry.example.splitlines(), "```", "", f"What to do: {entry.remedy}."]
    return "\n".join(lines) + "\n"


def _natural(code: str) -> tuple[int, str]:
    """Codes that begin with a number in the order of the numbers."""
    digits = code.split("-", maxsplit=1)[0]
    return (int(digits) if digits.isdigit() else 0, code)


assert len({e.name for e in TABLE}) == len(TABLE)
