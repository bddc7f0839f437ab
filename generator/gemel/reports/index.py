"""The page that leads to all others in the folder of sheets."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple
from urllib.parse import quote

from gemel.reports.page import render

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

__all__ = ["index_page"]


class Link(NamedTuple):
    """A link to another page of the folder, relative."""

    href: str
    text: str


class Row(NamedTuple):
    """One pair in the index."""

    name: str
    title: str
    drawing: str
    revision: str
    program: str
    stamp: str
    cycle: str
    links: list[Link]


def index_page(entries: Iterable[Mapping[str, Any]]) -> str:
    """The index.

    Args:
        entries: of each pair `machine name title drawing revision program stamp cycle`, and `pages`: text by path; of a
            page that belongs to a machine alone only `machine` and `pages`.
    """
    machines: dict[str, tuple[list[Row], list[Link]]] = {}
    for entry in sorted(entries, key=lambda e: (e["machine"], e.get("name", ""))):
        rows, pages = machines.setdefault(entry["machine"], ([], []))
        links = [Link(quote(path), text) for path, text in entry["pages"].items()]
        if "name" in entry:
            rows.append(Row(**{field: entry[field] for field in Row._fields if field != "links"}, links=links))
        else:
            pages.extend(links)
    return render("index", title="The shop", machines=[(name, *lists) for name, lists in machines.items()])
