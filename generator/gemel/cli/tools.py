"""`gemel tools`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from gemel.cli import options
from gemel.cli.screen import complain, say, say_table

if TYPE_CHECKING:
    from collections.abc import Iterator

    import typer

    from gemel.families.tool_plan import StationPlan, ToolPlan

__all__ = ["register"]

_EPILOG = """Examples:

  gemel tools   every machine that has a family

  gemel tools --machine twin-turnmill --format json

A tool that the machine file holds for every family needs no change; `!` marks a station that families disagree about.
Exit status: 0 done, 2 a family has faults or it cannot be done as asked, 3 a fault of gemel."""


_Machine = Annotated[str, options.machine("One machine instead of all.")]


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(tools)


def tools(machine: _Machine = "", form: options.FormatOption = options.Format.TEXT) -> int:
    """Say which station holds what over all families of a machine, and where two of them want different tools."""
    from gemel.shop.layout import find_shop  # noqa: PLC0415 # heavy
    from gemel.shop.tools import as_json, tool_plans  # noqa: PLC0415 # heavy

    plans = tool_plans(find_shop(Path.cwd()), machine)
    if form is options.Format.JSON:
        say(as_json(plans))
        return 0
    for number, plan in enumerate(plans):
        if number:
            say()
        _say(plan)
    if not plans:
        complain("there is no family yet; describe one in `families/`")
    return 0


def _say(plan: ToolPlan) -> None:
    say(f"{plan.machine}: {len(plan.families)} {_plural('family', len(plan.families))}")
    say()
    say_table(("", "channel", "station", "tool", "families"), _stations(plan))
    for channel, free in plan.magazine.items():
        say(f"{channel}: {free} {_plural('place', free)} of the magazine free")
    _say_disputes(plan)
    if plan.shared:
        say()
        say("shared between families:")
        rows = ((t.tool, _places(t.places), ", ".join(t.families)) for t in plan.shared)
        say_table(("tool", "where", "families"), rows)
    if plan.changeovers:
        say()
        say("to change between two families:")
        say_table(("from", "to", "stations"), ((c.one, c.other, _places(c.stations)) for c in plan.changeovers))


def _say_disputes(plan: ToolPlan) -> None:
    if not plan.disputed:
        return
    say()
    say("families want different tools in one station:")
    for station in plan.disputed:
        wanted = ", ".join(f"{tool} ({', '.join(_users(station, tool))})" for tool in station.tools)
        free = ", ".join(station.spare)
        way_out = f"free for one of them: {free}" if free else "no other station of that kind is free"
        say(f"  {station.channel} {station.station} ({station.call}): {wanted}; {way_out}")


def _stations(plan: ToolPlan) -> Iterator[tuple[str, ...]]:
    for station in plan.stations:
        mark = "!" if station.is_disputed else ""
        where = (station.channel, f"{station.station} ({station.call})")
        if station.fixed is not None or station.is_free:
            users = ", ".join(station.wanted) or ("-" if station.is_free else "no family")
            yield mark, *where, station.fixed or f"free{f' for {station.kind}' if station.kind else ''}", users
            continue
        for tool in station.tools:
            idle = [f"{f} (no operation calls it)" if f in station.idle else f for f in _users(station, tool)]
            yield mark, *where, tool, ", ".join(idle)


def _users(station: StationPlan, tool: str) -> list[str]:
    return [family for family, wanted in station.wanted.items() if wanted == tool]


def _places(places: tuple[tuple[str, str], ...]) -> str:
    return ", ".join(f"{channel} {station}" for channel, station in places)


def _plural(word: str, count: int) -> str:
    if count == 1:
        return word
    return f"{word[:-1]}ies" if word.endswith("y") else f"{word}s"
