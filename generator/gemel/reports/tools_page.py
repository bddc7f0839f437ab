"""The tool plan of a machine over all its families, as a page."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from gemel.reports.page import render

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.families.tool_plan import StationPlan, ToolPlan

__all__ = ["tools_page"]


class StationRow(NamedTuple):
    """A station: what it is called by, and what each family wants there.

    Attributes:
        channel: that holds it. station: its name. call: its word. kind: what it takes.
        fixed: the tool that stays there, empty where the families fill it.
        cells: for each family of the plan, the tool it wants, empty where it wants none.
        disputed: whether two families want different tools.
        advice: where one of them could go.
    """

    channel: str
    station: str
    call: str
    kind: str
    fixed: str
    cells: tuple[str, ...]
    disputed: bool
    advice: str


def tools_page(plan: ToolPlan) -> str:
    """Which station holds what, where two families want different tools, and what a change between two costs."""
    return render(
        "tools",
        machine=plan.machine,
        families=plan.families,
        stations=list(_rows(plan)),
        shared=plan.shared,
        changeovers=[(c.one, c.other, ", ".join(f"{a} {b}" for a, b in c.stations)) for c in plan.changeovers],
        magazine=list(plan.magazine.items()),
    )


def _rows(plan: ToolPlan) -> Iterator[StationRow]:
    for station in plan.stations:
        cells = tuple(station.wanted.get(family, "") for family in plan.families)
        kind = "" if station.kind is None else str(station.kind)
        yield StationRow(
            station.channel,
            station.station,
            station.call,
            kind,
            station.fixed or "",
            cells,
            station.is_disputed,
            _advice(station),
        )


def _advice(station: StationPlan) -> str:
    if not station.is_disputed:
        return ""
    return (
        f"free for one of them: {', '.join(station.spare)}"
        if station.spare
        else "no other station of that kind is free"
    )
