"""Changes as rows of a report: equal ones are one row, and so are those of one word of one operation."""

from __future__ import annotations

from collections import Counter
from operator import itemgetter
from typing import TYPE_CHECKING, NamedTuple

from gemel.edits.model import Kind

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from gemel.edits.model import Edit

__all__ = ["Gathered", "gathered", "lines_said", "some_of_each"]

_FIGURES = {Kind.POSITION, Kind.DEPTH, Kind.LEAD, Kind.SPEED, Kind.FEED, Kind.PECK, Kind.DWELL, Kind.NUMBER}


class Gathered(NamedTuple):
    """A row of a report.

    Attributes:
        edits: what it is about, in the order of the text; of one kind.
        said: one sentence, with how many there are.
    """

    edits: tuple[Edit, ...]
    said: str

    @property
    def lines(self) -> str:
        """Lines of the first one in both texts, `47 > 46`."""
        return lines_said(self.edits[0])


def gathered(edits: Iterable[Edit], *, single: bool = False) -> list[Gathered]:
    """Rows, the gravest kind first, then in the order of the text; positions and depths of a word go together.

    Args:
        edits: of one program.
        single: a row for every edit.
    """
    groups: dict[tuple[object, ...], list[Edit]] = {}
    for number, edit in enumerate(edits):
        place = edit.anchor
        kind = Kind.POSITION if edit.kind is Kind.DEPTH else edit.kind
        key = (number,) if single else (kind, place.operation or place.stage, place.word)
        groups.setdefault(key, []).append(edit)
    rows = [row for group in groups.values() for row in _rows(group)]
    return sorted(rows, key=lambda row: min(edit.kind.risk for edit in row.edits))


def some_of_each(rows: Sequence[Gathered], most: int) -> list[Gathered]:
    """So many of the rows at most, in their order: the first of every kind comes before the second of any."""
    taken: Counter[Kind] = Counter()
    ranked = []
    for place, row in enumerate(rows):
        kind = row.edits[0].kind
        ranked.append((taken[kind], place))
        taken[kind] += 1
    return [rows[place] for _, place in sorted(sorted(ranked)[:most], key=itemgetter(1))]


def _rows(group: Sequence[Edit]) -> list[Gathered]:
    """The edits of one word of one operation: one row where they are alike, else one that says what is alike."""
    alike: dict[tuple[str, str, str], list[Edit]] = {}
    for edit in group:
        alike.setdefault((edit.said, edit.old, edit.new), []).append(edit)
    if len(alike) == 1 or not _may_share(group[0]):
        return [Gathered(tuple(same), _times(same)) for same in alike.values()]
    first, sizes = group[0], {edit.size for edit in group}
    rest = f"; and {len(group) - 1} more of {first.anchor.word or 'its blocks'} there"
    each = " by as much" if len(sizes) == 1 and first.size else ""
    return [Gathered(tuple(group), f"{first.said}{rest}{each}")]


def _may_share(edit: Edit) -> bool:
    """Whether unlike edits of this kind may share a row: figures may; a wait mark, a tool, a block is said in full."""
    return edit.kind in _FIGURES


def _times(same: Sequence[Edit]) -> str:
    return same[0].said if len(same) == 1 else f"{len(same)} x {same[0].said}"


def lines_said(edit: Edit) -> str:
    """`47 > 46`, the lines in both texts; `-` where one has none."""
    where = edit.where
    return f"{_range(where.baseline, where.baseline_to)} > {_range(where.copy, where.copy_to)}"


def _range(first: int | None, last: int | None) -> str:
    if first is None:
        return "-"
    return str(first) if last in (None, first) else f"{first}-{last}"
