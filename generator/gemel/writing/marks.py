"""Marks of origin inside rendered text: characters of the two supplementary private-use planes.

A piece of text begins with its mark and ends at the next one, so pieces tile the text. A character of plane 15 says
that literal text of a template line follows. Two characters of plane 16 say that a value follows (or, with no text
behind them, that the step at work has changed).
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NamedTuple

from gemel.documents import PlacedText
from gemel.numbers import Number, Source

if TYPE_CHECKING:
    from collections.abc import Callable

    Reporter = Callable[[object, "Site"], None]

__all__ = [
    "PIECE",
    "PRIVATE_USE",
    "VALUE_MARKS",
    "Address",
    "Plain",
    "Site",
    "Trace",
    "is_marked",
    "literal_mark",
    "strip",
]

_LITERAL = 0xF0000
_LOW = 0x100000
_HIGH = 0x108000
_BASE = 0x7FFF

PRIVATE_USE = re.compile("[\ue000-\uf8ff\U000f0000-\U0010ffff]")
"""Private-use characters of every plane: refused in whatever is written."""

_MARKS = re.compile("[\U000f0000-\U0010ffff]+")
_LEAD = re.compile("[\U000f0000-\U0010ffff \t]*")

PIECE = re.compile(
    "(?:([\U000f0000-\U000fffff])|([\U00100000-\U00107fff])([\U00108000-\U0010ffff]))([^\U000f0000-\U0010ffff]*)"
)
"""One piece: literal mark, or low and high character of a value's index; then its text."""


class Site(NamedTuple):
    """A line of a template; line 0 where no template had a hand in it."""

    template: str
    line: int


class Address(NamedTuple):
    """Whose text it is: stage (0 outside), operation id (empty outside), step index (-1 outside) and kind."""

    stage: int
    operation: str
    step: int
    kind: str


_NO_SITE = Site("", 0)


def literal_mark(site: int) -> str:
    """The mark of literal text of the site with this index."""
    return chr(_LITERAL + site)


def strip(text: str) -> str:
    """`text` without marks."""
    return text if text.isascii() else _MARKS.sub("", text)


def is_marked(marked: str, plain: str) -> bool:
    """Whether `marked` is `plain` with marks in it, and nothing else."""
    if not plain.isascii():
        return strip(marked) == plain
    # The same without a search: what is no ASCII character must be a mark, four bytes in UTF-8.
    marks = len(marked) - len(plain)
    return marked.encode("ascii", "ignore") == plain.encode() and len(marked.encode()) == len(plain) + 4 * marks


def lead(text: str, start: int) -> int:
    """Where, from `start` on, marks and blanks end."""
    match = _LEAD.match(text, start)
    return match.end() if match else start


def value_index(low: str, high: str) -> int:
    """The index behind the two characters of a value's mark."""
    return (ord(high) - _HIGH) * _BASE + ord(low) - _LOW


def site_index(mark: str) -> int:
    """The index behind a literal's mark."""
    return ord(mark) - _LITERAL


class _Marks(dict[int, str]):
    """The two characters of a value's mark, by its index; made when first asked for."""

    def __missing__(self, index: int) -> str:
        high, low = divmod(index, _BASE)
        mark = self[index] = chr(_LOW + low) + chr(_HIGH + high)
        return mark


VALUE_MARKS = _Marks()


class Plain:
    """Marks nothing: the rendering whose text counts."""

    def piece(self, text: str, value: object) -> str:  # noqa: ARG002 # the same interface as `Trace`
        """`text` as it is."""
        return text

    def address(self, address: Address) -> str:  # noqa: ARG002 # the same interface as `Trace`
        """Nothing."""
        return ""


class Trace:
    """Marks every value of one rendering and remembers it.

    Attributes:
        values: of each piece: a Number, a placed text, an address, or whatever the template printed.
        sites: index of the template line of each piece.
        unknown: numbers without an origin, with their site's index.
    """

    def __init__(self) -> None:
        self.values: list[object] = []
        self.sites: list[int] = []
        self.unknown: list[tuple[object, int]] = []

    def reset(self) -> None:
        """Begin another rendering; what was collected stays with whoever holds it."""
        self.values, self.sites, self.unknown = [], [], []

    def piece(self, text: str, value: object) -> str:
        """`text` behind the mark of its value; the expression around it will say where in a template."""
        index = len(self.values)
        self.values.append(value)
        self.sites.append(-1)
        return VALUE_MARKS[index] + text

    def placed(self, text: str, value: object, site: int) -> str:
        """`text` behind the mark of its value, whose template line is known."""
        index = len(self.sites)
        self.values.append(value)
        self.sites.append(site)
        if type(value) is float:
            self.check(value, site)
        return VALUE_MARKS[index] + text

    def address(self, address: Address) -> str:
        """The mark of a change of step."""
        return self.piece("", address)

    def output(self, value: object, site: int) -> object:
        """What an expression of a template prints: marked, unless its parts are marked already."""
        sites = self.sites
        if type(value) is PlacedText:  # most expressions are a code of the machine file
            index = len(sites)
            self.values.append(value)
            sites.append(site)
            return VALUE_MARKS[index] + value
        at = len(sites) - 1
        while at >= 0 and sites[at] < 0:
            sites[at] = site
            there = self.values[at]
            if type(there) is not Number and isinstance(there, float | int):
                self.check(there, site)
            at -= 1
        if type(value) is str and (not value or (not value.isascii() and _MARKS.search(value))):
            return value
        self.check(value, site)
        marked = self.piece(str(value), value)
        sites[-1] = site
        return marked

    def check(self, value: object, site: int) -> None:
        """Note a number that nobody can say the origin of."""
        kind = type(value)
        if kind is PlacedText or kind is Number or isinstance(getattr(value, "place", None), Source):
            return
        if isinstance(value, float | int) or (isinstance(value, str) and any(c.isdigit() for c in value)):
            self.unknown.append((value, site))
