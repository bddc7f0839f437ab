"""The programs of all channels beside each other, copy against baseline, aligned at their wait marks."""

from __future__ import annotations

from difflib import SequenceMatcher
from typing import TYPE_CHECKING, NamedTuple

from gemel.edits import Kind
from gemel.edits.side_by_side import CAME, CHANGED, GONE

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from gemel.edits import Edit
    from gemel.edits.side_by_side import Line, Piece

__all__ = ["Cell", "Fold", "StageView", "TextRow", "lines_of", "stage_views"]

_SIGNS = {CAME: "+", GONE: "-", CHANGED: "~", "moved": ">", "": ""}
_MOVES = frozenset({Kind.BLOCK_MOVED, Kind.WAIT_MOVED})
_CONTEXT = 2
_LEAST_FOLDED = 4


class TextRow(NamedTuple):
    """One line of a channel.

    Attributes:
        old, new: its numbers in baseline and copy; empty without.
        sign: `+` came, `-` gone, `~` changed, `>` moved, empty for the same.
        mark: the same as a word. pieces: its characters.
        edits: ids of the edits in it.
    """

    old: str
    new: str
    sign: str
    mark: str
    pieces: tuple[Piece, ...]
    edits: tuple[str, ...]


class Fold(NamedTuple):
    """Lines that are the same in both texts and need not be seen at first; none folded has no label."""

    label: str
    rows: tuple[TextRow, ...]


class Cell(NamedTuple):
    """What one channel runs in one stage."""

    channel: str
    folds: tuple[Fold, ...]
    edits: int


class StageView(NamedTuple):
    """What stands between two wait marks: name of the mark that opens it, and a cell for each channel, None without."""

    mark: str
    cells: tuple[Cell | None, ...]


def lines_of(edit: Edit, lines: Sequence[Line]) -> list[Line]:
    """The lines in which an edit stands: those of the copy, else those of the baseline."""
    where = edit.where
    if where.copy is not None:
        wanted = range(where.copy, (where.copy_to or where.copy) + 1)
        return [line for line in lines if line.new in wanted]
    if where.baseline is None:
        return []
    wanted = range(where.baseline, (where.baseline_to or where.baseline) + 1)
    return [line for line in lines if line.old in wanted]


def stage_views(channels: Mapping[str, Sequence[Line]], edits: Sequence[Edit]) -> list[StageView]:
    """All channels, stage by stage; a wait mark opens a stage, also one that is gone or came."""
    parts = {name: _parts(lines) for name, lines in channels.items()}
    order: list[str] = []
    for marks in ([mark for mark, _ in found] for found in parts.values()):
        order = _merged(order, marks)
    at = dict.fromkeys(channels, 0)
    views = []
    for mark in order:
        cells: list[Cell | None] = []
        for name, found in parts.items():
            if at[name] < len(found) and found[at[name]][0] == mark:
                mine = [edit for edit in edits if edit.anchor.channel == name]
                cells.append(_cell(name, found[at[name]][1], mine))
                at[name] += 1
            else:
                cells.append(None)
        views.append(StageView(mark, tuple(cells)))
    return views


def _parts(lines: Sequence[Line]) -> list[tuple[str, list[Line]]]:
    """Stretches of lines, each with the wait mark that opens it; the first has none."""
    found: list[tuple[str, list[Line]]] = [("", [])]
    for line in lines:
        if line.wait:
            found.append((line.wait, []))
        found[-1][1].append(line)
    return found


def _merged(one: list[str], other: list[str]) -> list[str]:
    """The shortest order that holds both, or near it."""
    found: list[str] = []
    for _, a, a_end, b, b_end in SequenceMatcher(None, one, other, autojunk=False).get_opcodes():
        found += one[a:a_end]
        found += [] if one[a:a_end] == other[b:b_end] else other[b:b_end]
    return found


def _cell(name: str, lines: Sequence[Line], edits: Sequence[Edit]) -> Cell:
    rows = [_row(line, [edit for edit in edits if _is_in(edit, line)]) for line in lines]
    ids = {edit for row in rows for edit in row.edits}
    return Cell(name, tuple(_folds(rows)), len(ids))


def _is_in(edit: Edit, line: Line) -> bool:
    where = edit.where
    for at, first, last in ((line.new, where.copy, where.copy_to), (line.old, where.baseline, where.baseline_to)):
        if at is not None and first is not None and first <= at <= (last or first):
            return True
    return False


def _row(line: Line, edits: Sequence[Edit]) -> TextRow:
    moved = bool(line.mark) and any(edit.kind in _MOVES for edit in edits)
    mark = "moved" if moved else line.mark
    if not mark and edits:
        mark = CHANGED  # a comment
    ids = tuple(edit.id for edit in edits)
    return TextRow(str(line.old or ""), str(line.new or ""), _SIGNS[mark], mark, line.pieces, ids)


def _folds(rows: Sequence[TextRow]) -> Iterator[Fold]:
    """The rows, with those folded that are far from any change."""
    near = {0}
    for at, row in enumerate(rows):
        if row.sign:
            near.update(range(at - _CONTEXT, at + _CONTEXT + 1))
    at = 0
    while at < len(rows):
        end = at
        while end < len(rows) and (end in near) == (at in near):
            end += 1
        group = tuple(rows[at:end])
        folded = at not in near and len(group) >= _LEAST_FOLDED
        yield Fold(_label(group) if folded else "", group)
        at = end


def _label(rows: Sequence[TextRow]) -> str:
    numbers = [row.new for row in rows if row.new]
    where = f", lines {numbers[0]} to {numbers[-1]}" if numbers else ""
    return f"{len(rows)} lines as written{where}"
