"""What is printed is what was given: in a pipe plain, in a terminal with colour beside the text, never in it."""

from __future__ import annotations

import io
import re
import sys

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from gemel.cli import screen
from gemel.findings import Finding, Label, Severity, Span, printable

PROGRAM = st.text(alphabet=st.characters(codec="utf-8", exclude_characters="\n"), max_size=120)


class Terminal(io.StringIO):
    """A terminal that keeps what is printed."""

    def isatty(self) -> bool:
        """It says that it is one."""
        return True


def shown_in_terminal(text: str) -> str:
    """What a terminal shows of a line of program, colour codes taken away."""
    terminal = Terminal()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sys, "stdout", terminal)
        patch.delenv("NO_COLOR", raising=False)
        patch.setenv("TERM", "xterm-256color")
        screen.say_block(text)
    return re.sub(r"\x1b\[[0-9;]*m", "", terminal.getvalue())


@given(PROGRAM)
@example("IF[#1GT5]GOTO10")
@example("[bold]X1.[/bold] :smile: http://a.invalid")
@example("(C) 1.5 'text' True None")
@example("\\[red]")
@example("G1 X15." + " " * 200 + "F520.")
def test_program_text_is_shown_whole_in_a_terminal(text: str) -> None:
    """Brackets, colons, links, numbers, long lines: every character of a block reaches the screen."""
    assert shown_in_terminal(text) == printable(text) + "\n"


def test_a_pipe_gets_plain_text(capsys: pytest.CaptureFixture[str]) -> None:
    """No escape reaches a pipe."""
    screen.say_styled((("IF[#1GT5]", "bold red"), ("GOTO10", "")))
    screen.say_table(("file", "findings"), [("a[1].yaml", "none"), ("long-name.yaml", "12")])
    assert capsys.readouterr().out.splitlines() == [
        "IF[#1GT5]GOTO10",
        "file            findings",
        "a[1].yaml       none",
        "long-name.yaml  12",
    ]


def test_a_table_in_a_terminal_keeps_its_cells(monkeypatch: pytest.MonkeyPatch) -> None:
    """A cell with brackets is no markup."""
    terminal = Terminal()
    monkeypatch.setattr(sys, "stdout", terminal)
    monkeypatch.delenv("NO_COLOR")
    monkeypatch.setenv("TERM", "xterm")
    screen.say_table(("finding",), [("[waits:deadlock]",)])
    assert "[waits:deadlock]" in terminal.getvalue()


STATUS = ("pair", "program", "revision", "state", "at the control", "proof", "release", "cycle", "last intake")
ROWS = (
    ("hex-coupling/30", "1401", "KB-3107 A", "current", "never seen", "proved", "no", "325.8 s", ""),
    (
        "sensor-collar/16",
        "1501",
        "KB-4015 D",
        "stale",
        "4 kept, another writing",
        "proved",
        "no",
        "97.5 s",
        "2024-03-04",
    ),
)
SENTENCE = "The machine stops in the middle of a part, spindles turning, and nothing says why. " * 2


@pytest.mark.parametrize("columns", [40, 60, 80, 100, 120, 200])
def test_no_cell_of_a_table_is_broken_in_a_narrow_terminal(monkeypatch: pytest.MonkeyPatch, columns: int) -> None:
    """Names, states and seconds are read whole at any width, and no line is wider than the terminal."""
    terminal = Terminal()
    monkeypatch.setattr(sys, "stdout", terminal)
    monkeypatch.delenv("NO_COLOR")
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv("COLUMNS", str(columns))
    screen.say_table(STATUS, ROWS)
    lines = re.sub(r"\x1b\[[0-9;]*m", "", terminal.getvalue()).splitlines()
    assert all(len(line) <= columns for line in lines)
    for cell in (*STATUS, *ROWS[0], *ROWS[1]):
        assert any(cell in line for line in lines), cell


def test_sentences_are_wrapped_and_names_beside_them_are_not(monkeypatch: pytest.MonkeyPatch) -> None:
    """A column of sentences takes the room that is left; every word of it is there."""
    terminal = Terminal()
    monkeypatch.setattr(sys, "stdout", terminal)
    monkeypatch.delenv("NO_COLOR")
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv("COLUMNS", "80")
    screen.say_table(("finding", "severity", "what"), [("waits:deadlock-of-all", "error", SENTENCE)])
    lines = re.sub(r"\x1b\[[0-9;]*m", "", terminal.getvalue()).splitlines()
    assert all(len(line) <= 80 for line in lines)
    assert any(line.startswith("waits:deadlock-of-all  error") for line in lines)
    left = " ".join(lines[2:]).replace("waits:deadlock-of-all  error", "")
    assert left.split() == SENTENCE.split()


def test_no_color_is_obeyed(monkeypatch: pytest.MonkeyPatch) -> None:
    """With NO_COLOR set a terminal gets plain text too."""
    terminal = Terminal()
    monkeypatch.setattr(sys, "stdout", terminal)
    screen.say_styled((("text", "red"),))
    assert terminal.getvalue() == "text\n"


def test_a_finding_in_a_terminal_is_the_finding_in_a_pipe(monkeypatch: pytest.MonkeyPatch) -> None:
    """Colour changes no character of a finding."""
    finding = Finding(
        "words", "modal", Severity.ERROR, "`G0 [x]` twice", (Label(Span("a.nc", 1, 0, 2), "G0"),), "remove"
    )
    plain, terminal = io.StringIO(), Terminal()
    monkeypatch.setattr(sys, "stdout", plain)
    screen.say_findings([finding], {"a.nc": "G0 [x]"}, error=False)
    monkeypatch.setattr(sys, "stdout", terminal)
    monkeypatch.delenv("NO_COLOR")
    monkeypatch.setenv("TERM", "xterm-256color")
    screen.say_findings([finding], {"a.nc": "G0 [x]"}, error=False)
    assert "\x1b[1;31m" in terminal.getvalue()
    assert re.sub(r"\x1b\[[0-9;]*m", "", terminal.getvalue()) == plain.getvalue()
