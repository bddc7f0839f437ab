"""A saw plan's problem as the solver counts it: lengths in micrometres, and the fillings of one bar."""

from __future__ import annotations

from math import ceil
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["UNITS_MM", "Filled", "Item", "Pattern", "Size", "Work", "units"]

UNITS_MM = 1000
_MOST_PATTERNS = 3000

Pattern = tuple[int, tuple[int, ...]]
"""Index of a size, and how many parts of each kind a bar of it gives."""

Filled = list[tuple[float, tuple[int, ...]]]
"""Length in mm and parts of each kind, of every bar."""


def units(length_mm: float) -> int:
    """A length as the solver counts it."""
    return round(float(length_mm) * UNITS_MM)


class Item(NamedTuple):
    """Parts of one kind that are wanted.

    Attributes:
        parts: how many. pitch: length that one takes.
        remnant: length that every piece takes besides, with the kerf beside it.
        most: parts of one piece.
    """

    parts: int
    pitch: int
    remnant: int
    most: int

    def needs(self, parts: int) -> int:
        """Length of bar for so many parts, kerfs included."""
        return self.pitch * parts + self.remnant * ceil(parts / self.most)

    def fits(self, room: int) -> int:
        """The most parts that a length of bar gives."""
        whole, rest = divmod(room, self.needs(self.most))
        more = max(0, (rest - self.remnant) // self.pitch)
        return min(self.parts, whole * self.most + min(more, self.most))


class Size(NamedTuple):
    """Bars of one length; `number` None: as many as are needed."""

    length: int
    number: int | None


class Work(NamedTuple):
    """The problem in the solver's units."""

    items: tuple[Item, ...]
    sizes: tuple[Size, ...]
    kerf: int

    def room(self, size: Size) -> int:
        """Length to be filled: the last piece on a bar needs no kerf behind it."""
        return size.length + self.kerf

    def most_bars(self, size: Size) -> int:
        """Bars of a size that any plan could use: each demand alone on bars of that size."""
        bars = sum(ceil(item.parts / max(item.fits(self.room(size)), 1)) for item in self.items)
        return bars if size.number is None else min(size.number, bars)

    def patterns(self) -> list[Pattern] | None:
        """Index of the size and parts of each kind, of every pattern that cannot take one more; None: too many."""
        found: list[Pattern] = []
        for index, size in enumerate(self.sizes):
            for pattern in _fill(self.items, self.room(size)):
                if any(pattern):
                    found.append((index, pattern))
                if len(found) > _MOST_PATTERNS:
                    return None
        return found


def _fill(items: tuple[Item, ...], room: int) -> Iterator[tuple[int, ...]]:
    """Fillings of a length in which no kind can have one more part; the last kind takes what is left."""
    head, rest = items[0], items[1:]
    if not rest:
        yield (head.fits(room),)
        return
    for parts in range(head.fits(room), -1, -1):
        left = room - head.needs(parts)
        for more in _fill(rest, left):
            used = sum(item.needs(n) for item, n in zip(rest, more, strict=True))
            if parts == head.fits(room) or head.needs(parts + 1) - head.needs(parts) > left - used:
                yield (parts, *more)
