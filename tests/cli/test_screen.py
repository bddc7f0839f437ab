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
