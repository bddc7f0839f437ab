"""The programs of all channels side by side around a fault, aligned at their wait marks, as plain text."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from gemel.findings import printable

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from gemel.proving.verdict import Fault

__all__ = ["MARK", "REACHED", "Sheet", "side_by_side"]

MARK = ">"
"""Stands before a block that a fault concerns."""

REACHED = "="
"""Stands before the last block of a channel that a fault does not concern."""

_AROUND = 2
"""Blocks shown before and behind each block concerned."""

_GAP = "..."


class Sheet(NamedTuple):
    """One channel's program, as far as the picture needs it.

    Attributes:
        channel: its name.
        file: the file.
        lines: its lines.
        marks: number and line of each wait mark, in the order of the text.
    """

    channel: str
    file: str
    lines: Sequence[str]
    marks: Sequence[tuple[int, int]]

    def stage_of(self, line: int) -> int:
        """Number of the last wait mark before a line, 0 before the first."""
        return next((n for n, at in reversed(self.marks) if at < line), 0)

    def stage(self, number: int) -> tuple[int, int] | None:
        """First and last line of the stage behind a wait mark, its closing mark included; None if it has none such."""
        at = next((i for i, (n, _) in enumerate(self.marks) if n == number), None)
        if at is None and number:
            return None
        first = 1 if at is None else self.marks[at][1] + 1
        following = self.marks[0 if at is None else at + 1 :]
        return first, following[0][1] if following else len(self.lines)


def side_by_side(fault: Fault, sheets: Sequence[Sheet], width: int = 100) -> list[str]:
    """The stages that the fault concerns, a column a channel.

    Concerned blocks carry `>`. In a channel without one, `=` marks how far it has come when the fault shows.
    """
    focus = {s.channel: _focus(fault, s) for s in sheets}
    stages = sorted({s.stage_of(line) for s in sheets for line in focus[s.channel]})
    column = max(20, (width - 2) // max(len(sheets), 1) - 3)
    rows = [" | ".join(f"{s.channel[:column]:<{column}}" for s in sheets)]
    for number in stages:
        rows.append("-+-".join(f"{f'- after wait {number} ' if number else '- start ':-<{column}}" for _ in sheets))
        rows += _stage(number, sheets, focus, column)
    return ["  " + row.rstrip() for row in rows]


def _focus(fault: Fault, sheet: Sheet) -> dict[int, str]:
    """The lines of a channel to look at, each with its mark."""
    concerned = {
        label.span.line: MARK
        for label in fault.labels
        if label.channel == sheet.channel and label.span.source == sheet.file and label.span.line
    }
    reached = [line for channel, line in fault.trace if channel == sheet.channel]
    if concerned or not reached:
        return concerned
    return {reached[-1]: REACHED}


def _stage(number: int, sheets: Sequence[Sheet], focus: Mapping[str, Mapping[int, str]], column: int) -> list[str]:
    """The rows of one stage: columns padded so that their closing wait marks stand in one row."""
    bodies: list[list[str]] = []
    closings: list[str] = []
    for sheet in sheets:
        span = sheet.stage(number)
        if span is None:
            bodies.append([])
            closings.append("")
            continue
        shown = _shown(span, focus[sheet.channel])
        cells = [_GAP if line is None else _cell(sheet, line, focus[sheet.channel]) for line in shown]
        closes = any(at == span[1] for _, at in sheet.marks)
        bodies.append(cells[:-1] if closes else cells)
        closings.append(cells[-1] if closes and cells else "")
    height = max(len(b) for b in bodies)
    padded = [b + [""] * (height - len(b)) for b in bodies]
    rows = [*zip(*padded, strict=True), tuple(closings)]
    return [" | ".join(f"{cell[:column]:<{column}}" for cell in row) for row in rows if any(row)]


def _shown(span: tuple[int, int], focus: Mapping[int, str]) -> list[int | None]:
    """The lines of a stage that are shown: around the blocks concerned, and the last; None for a gap."""
    first, last = span
    near = {n for f in focus if first <= f <= last for n in range(f - _AROUND, f + _AROUND + 1) if first <= n <= last}
    lines = [*sorted(near or set(range(first, min(first + _AROUND, last + 1)))), last]
    shown: list[int | None] = []
    for line in dict.fromkeys(lines):
        before = shown[-1] if shown else first - 1
        if before is not None and line > before + 1:
            shown.append(None)
        shown.append(line)
    return shown


def _cell(sheet: Sheet, line: int, focus: Mapping[int, str]) -> str:
    text = sheet.lines[line - 1] if 0 < line <= len(sheet.lines) else ""
    return f"{focus.get(line, ' ')}{line:>5} {printable(text.strip())}"
