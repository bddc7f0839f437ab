"""Printing: colour and tables in a terminal, plain text in a pipe, program text never through markup."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING

from gemel.findings import printable, render_findings

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from typing import TextIO

    from rich.console import Console

    from gemel.findings import Finding

__all__ = [
    "complain",
    "complain_of_no_pair",
    "is_terminal",
    "say",
    "say_block",
    "say_findings",
    "say_styled",
    "say_table",
    "width",
]

_COLOURS = {"error": "bold red", "warning": "yellow", "note": "cyan"}
_NEVER_BROKEN = 24  # characters of the longest cell of a column that is not wrapped
_INDENT = "    "


def is_terminal(stream: TextIO) -> bool:
    """Whether a person looks at `stream`, and wants colour."""
    dumb = os.environ.get("TERM") == "dumb"
    return stream.isatty() and not os.environ.get("NO_COLOR") and not dumb


def say(text: str = "") -> None:
    """One line of gemel's own to standard output, as it is."""
    print(text)  # noqa: T201 # the one place


def complain(text: str) -> None:
    """One line to standard error, as it is."""
    print(text, file=sys.stderr)  # noqa: T201 # the one place


def say_block(text: str) -> None:
    """A line of program: every character of it, control characters made visible, no markup."""
    say_styled(((printable(text), ""),))


def say_styled(parts: Sequence[tuple[str, str]], stream: TextIO | None = None) -> None:
    """Pieces of one line with a style each; in a pipe the text alone.

    The text is never read as markup: it is put into a Text, whose styles stand beside the characters.
    """
    out = stream or sys.stdout
    if not is_terminal(out):
        print("".join(text for text, _ in parts), file=out)  # the one place
        return
    from rich.text import Text  # noqa: PLC0415 # heavy

    line = Text(no_wrap=True, overflow="ignore", end="")
    for text, style in parts:
        line.append(text, style=style)
    console(out).print(line, soft_wrap=True, markup=False, highlight=False, emoji=False)


def console(stream: TextIO) -> Console:
    """A console on `stream` that changes no text."""
    from rich.console import Console  # noqa: PLC0415 # heavy

    return Console(file=stream, markup=False, highlight=False, emoji=False)


def say_findings(findings: Iterable[Finding], sources: Mapping[str, str] | None = None, *, error: bool = True) -> None:
    """Findings as text, to standard error, or to standard output where they are what was asked for."""
    stream = sys.stderr if error else sys.stdout
    for row in render_findings(findings, sources).splitlines():
        before, mark, after = _severity_in(row)
        say_styled(((before, ""), (mark, _COLOURS.get(mark.rstrip(":"), "")), (after, "")), stream)


def _severity_in(row: str) -> tuple[str, str, str]:
    if row.startswith(" "):
        return row, "", ""
    for word in _COLOURS:
        before, mark, after = row.partition(f"{word}: ")
        if mark and (not before or before.endswith(": ")):
            return before, mark.rstrip(), f" {after}"
    return row, "", ""


def say_table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
    """A table, columns two blanks apart.

    In a terminal the head is ruled off; columns of whole sentences are wrapped, no other is ever broken. Where they do
    not fit side by side, those that are too many stand below, indented.
    """
    body = [[printable(cell) for cell in row] for row in rows]
    widths = [max(len(row[i]) for row in [list(head), *body]) for i in range(len(head))]
    if not is_terminal(sys.stdout):
        for row in [list(head), *body]:
            say(_beside(row, widths))
        return
    columns = width()
    if sum(min(size, _NEVER_BROKEN) + 2 for size in widths) - 2 <= columns:
        _ruled(head, body, widths)
        return
    for style, row in (("bold", list(head)), *(("", row) for row in body)):
        for number, (first, end) in enumerate(_lines_of(widths, columns)):
            line = _beside(row[first:end], widths[first:end])
            if not number or line:
                say_styled(((_INDENT * bool(number) + line, style),))


def _ruled(head: Sequence[str], body: Sequence[Sequence[str]], widths: Sequence[int]) -> None:
    from rich.box import SIMPLE_HEAD  # noqa: PLC0415 # heavy
    from rich.table import Table  # noqa: PLC0415 # heavy
    from rich.text import Text  # noqa: PLC0415 # heavy

    table = Table(box=SIMPLE_HEAD, show_edge=False, pad_edge=False, padding=(0, 1, 0, 0))
    for title, size in zip(head, widths, strict=True):
        table.add_column(title, overflow="fold", no_wrap=size <= _NEVER_BROKEN)
    for row in body:
        table.add_row(*(Text(cell) for cell in row))
    console(sys.stdout).print(table)


def _beside(row: Sequence[str], widths: Sequence[int]) -> str:
    return "  ".join(cell.ljust(size) for cell, size in zip(row, widths, strict=True)).rstrip()


def _lines_of(widths: Sequence[int], columns: int) -> list[tuple[int, int]]:
    """Which columns stand on which line: first and one behind the last of each."""
    found, first, used = [], 0, 0
    for number, size in enumerate(widths):
        if number > first and used + size > columns:
            found.append((first, number))
            first, used = number, len(_INDENT)
        used += size + 2
    return [*found, (first, len(widths))]


def complain_of_no_pair(machine: str) -> None:
    """That nothing is written yet: for the machine of that name, without one for any."""
    if machine:
        complain(f"there is no pair for {machine} in output/ yet; `gemel write --machine {machine}` makes them")
    else:
        complain("there is no pair in output/ yet; `gemel write` makes them")


def width() -> int:
    """Columns of the terminal."""
    from shutil import get_terminal_size  # noqa: PLC0415 # needed by this function alone

    return get_terminal_size().columns
