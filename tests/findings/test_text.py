"""Findings as text: place, caret, remedy; no control character reaches a terminal."""

from __future__ import annotations

from gemel.findings import Finding, Label, Severity, Span, did_you_mean, nearest, printable, render_findings


def test_a_finding_shows_place_line_and_caret() -> None:
    """The reader sees the offending text in its line."""
    finding = Finding(
        "family", "unknown-key", Severity.ERROR, "`longe` has no meaning here", (Label(Span("f.yaml", 2, 2, 7)),), "x"
    )
    text = render_findings([finding, finding], {"f.yaml": "a:\n  longe: 1\n"})
    assert text.splitlines() == [
        "f.yaml:2:3: error: `longe` has no meaning here [family:unknown-key]",
        "      2 |   longe: 1",
        "        |   ^^^^^",
        "  remedy: x",
        "1 error",
    ]


def test_hostile_text_is_made_visible() -> None:
    """Escape sequences of a file show as characters and steer nothing."""
    assert printable("a\x1b[2Jb\x7f") == "a^[[2Jb�"


def test_nearest_name_or_the_list() -> None:
    """A near miss names one; anything else lists what is valid."""
    assert nearest("FACE-FRNT", ["face-front", "cut-off"]) == "face-front"
    assert did_you_mean("zzz", ["b", "a"]) == "valid here: `a`, `b`"
    assert did_you_mean("zzz", []) == "there is no valid name here"
