"""The table of codes and the manual page made from it."""

from __future__ import annotations

from pathlib import Path

from gemel.proving import TABLE, explained, manual

_PAGE = Path(__file__).parents[2] / "docs" / "findings.md"


def test_manual_page_is_in_step_with_the_table() -> None:
    """docs/findings.md is what the table of codes gives."""
    assert _PAGE.read_text() == manual()


def test_entry_has_every_heading() -> None:
    """The text of one entry holds its name, what, why, example and remedy."""
    entry = next(e for e in TABLE if e.name == "waits:deadlock")
    text = explained(entry)
    for part in (entry.name, entry.what, entry.why, entry.remedy, *entry.example.splitlines()):
        assert part in text
