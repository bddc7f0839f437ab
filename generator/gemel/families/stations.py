"""Which tool stands where in a channel: the machine's own stations, and those that a family fills."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from gemel.documents import PlacedText, place_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.machines.kinds import ToolKind
    from gemel.machines.schema import Channel

__all__ = ["Place", "find_station", "held_tools"]


class Place(NamedTuple):
    """A station: the word that brings it to work, what it takes, what it holds for every family."""

    call: str
    kind: ToolKind | None
    tool: str | None


def find_station(channel: Channel, station: str) -> Place | None:
    """The station of that name, in the list or in the magazine; None when there is none."""
    listed = channel.stations.get(station)
    if listed is not None:
        return Place(listed.call, listed.kind, listed.tool)
    more = channel.more
    if more is not None and station.isdecimal() and more.from_ <= int(station) <= more.to:
        call = more.call.format(n=int(station))
        place = place_of(more.call)
        return Place(PlacedText(call, place) if place else call, more.kind, None)
    return None


def held_tools(channel: Channel, filled: Mapping[str, str]) -> dict[str, tuple[str, str]]:
    """Station and calling word of every tool that the channel holds, by the tool's name."""
    own = {place.tool: (name, place.call) for name, place in channel.stations.items() if place.tool is not None}
    for name, tool in filled.items():
        place = find_station(channel, name)
        if place is not None:
            own.setdefault(tool, (name, place.call))
    return own
