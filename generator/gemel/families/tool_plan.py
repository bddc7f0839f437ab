"""The tool plan of a machine: which station holds what, over all families that are written for it.

A station is named as the machine file names it. A tool that the machine file puts into a station stands there for
every family; the free stations are filled family by family, and that is where two of them may want different tools.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

from gemel.families.stations import find_station, held_tools

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from gemel.families.load import Family
    from gemel.machines.kinds import ToolKind
    from gemel.machines.schema import Channel, Machine

__all__ = ["Changeover", "SharedTool", "StationPlan", "ToolPlan", "tool_plan"]


@dataclass(frozen=True, slots=True)
class StationPlan:
    """One station of one channel.

    Attributes:
        channel: the channel that holds it. station: its name. call: the word that brings it to work.
        kind: what it takes; None: any kind.
        fixed: the tool that the machine file puts there for every family; None: free for the families.
        wanted: tool by family, of the families that use it or fill it, in the order of the plan's families.
        idle: families that fill it although none of their operations calls it.
        spare: free stations of the channel that would take what stands here, where families disagree.
    """

    channel: str
    station: str
    call: str
    kind: ToolKind | None
    fixed: str | None
    wanted: Mapping[str, str]
    idle: tuple[str, ...] = ()
    spare: tuple[str, ...] = ()

    @property
    def tools(self) -> tuple[str, ...]:
        """Every tool that is wanted there, each once, in the order of the families."""
        return tuple(dict.fromkeys(self.wanted.values()))

    @property
    def is_disputed(self) -> bool:
        """Whether two families want different tools there."""
        return len(self.tools) > 1

    @property
    def is_free(self) -> bool:
        """Whether neither the machine file nor any family puts a tool there."""
        return self.fixed is None and not self.wanted


@dataclass(frozen=True, slots=True)
class SharedTool:
    """A tool that several families use.

    Attributes:
        tool: its name in the catalogue. title: as the operator knows it.
        families: those that use it, in the plan's order.
        places: channel and station where they want it; more than one place costs a change, or a second tool.
    """

    tool: str
    title: str
    families: tuple[str, ...]
    places: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Changeover:
    """What a setter must change between two families, either way round.

    Attributes:
        one, other: the families.
        stations: channel and station whose tool differs.
    """

    one: str
    other: str
    stations: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class ToolPlan:
    """The tools of one machine.

    Attributes:
        machine: its name. families: names of the families, sorted.
        stations: every station of the machine's list and every one of a magazine that is used, channel by channel.
        shared: tools that more than one family uses, by name.
        changeovers: of every two families that disagree about a station.
        magazine: by channel, how many stations of its magazine nobody uses.
    """

    machine: str
    families: tuple[str, ...]
    stations: tuple[StationPlan, ...]
    shared: tuple[SharedTool, ...]
    changeovers: tuple[Changeover, ...]
    magazine: Mapping[str, int]

    @property
    def disputed(self) -> tuple[StationPlan, ...]:
        """The stations where two families want different tools."""
        return tuple(station for station in self.stations if station.is_disputed)


def tool_plan(machine: Machine, families: Sequence[Family]) -> ToolPlan:
    """The plan over families of one machine; the same for any order of `families`."""
    ordered = sorted(families, key=lambda family: family.form.family)
    uses = {str(family.form.family): _used(family) for family in ordered}
    stations = tuple(plan for name in machine.channels for plan in _channel(machine, name, ordered, uses))
    return ToolPlan(
        machine=str(machine.machine),
        families=tuple(uses),
        stations=stations,
        shared=tuple(_shared(ordered, uses)),
        changeovers=tuple(_changeovers(tuple(uses), stations)),
        magazine={
            name: len(_spare_places(channel, name, stations, listed=False))
            for name, channel in machine.channels.items()
            if channel.more is not None
        },
    )


def _used(family: Family) -> dict[tuple[str, str], str]:
    """Tool by channel and station, of the stations that an operation of the family calls."""
    found = {}
    for operation in family.form.operations.values():
        channel = family.machine.channels[operation.channel]
        station, _ = held_tools(channel, family.form.stations.get(operation.channel, {}))[operation.tool]
        found[str(operation.channel), str(station)] = str(operation.tool)
    return found


def _channel(
    machine: Machine, name: str, families: Sequence[Family], uses: Mapping[str, Mapping[tuple[str, str], str]]
) -> Iterator[StationPlan]:
    channel = machine.channels[name]
    filled = {str(f.form.family): f.form.stations.get(name, {}) for f in families}
    magazine = {str(station) for rows in filled.values() for station in rows} - set(channel.stations)
    plans = []
    for station in (*channel.stations, *sorted(magazine, key=int)):
        place = find_station(channel, station)
        assert place is not None, "the family's checks have seen to it that the station is there"
        wanted, idle = {}, []
        for family, rows in filled.items():
            used = uses[family].get((name, station))
            tool = used if used is not None else rows.get(station)
            if tool is not None:
                wanted[family] = str(tool)
            if tool is not None and used is None:
                idle.append(family)
        plans.append(StationPlan(name, str(station), str(place.call), place.kind, place.tool, wanted, tuple(idle)))
    for plan in plans:
        yield _with_spare(plan, channel, plans)


def _with_spare(plan: StationPlan, channel: Channel, plans: Sequence[StationPlan]) -> StationPlan:
    """The plan with the stations to which one of the tools could move, where families disagree."""
    if not plan.is_disputed:
        return plan
    listed = _spare_places(channel, plan.channel, plans, listed=True, kind=plan.kind)
    more = _spare_places(channel, plan.channel, plans, listed=False, kind=plan.kind)
    spare = (*listed, *more)[:3]
    return StationPlan(
        plan.channel, plan.station, plan.call, plan.kind, plan.fixed, plan.wanted, idle=plan.idle, spare=spare
    )


def _spare_places(
    channel: Channel, name: str, plans: Sequence[StationPlan], *, listed: bool, kind: ToolKind | None = None
) -> tuple[str, ...]:
    """Stations that nobody uses: those of the list, or those of the magazine; of one kind if it is given."""
    own = {plan.station: plan for plan in plans if plan.channel == name}
    if listed:
        return tuple(s for s, plan in own.items() if plan.is_free and (kind is None or plan.kind in (None, kind)))
    more = channel.more
    if more is None or kind not in (None, more.kind):
        return ()
    return tuple(str(n) for n in range(more.from_, more.to + 1) if str(n) not in own or own[str(n)].is_free)


def _shared(families: Sequence[Family], uses: Mapping[str, Mapping[tuple[str, str], str]]) -> Iterator[SharedTool]:
    users: dict[str, list[str]] = {}
    places: dict[str, dict[tuple[str, str], None]] = {}
    for family, used in uses.items():
        for place, tool in used.items():
            if family not in users.setdefault(tool, []):
                users[tool].append(family)
            places.setdefault(tool, {})[place] = None
    titles = {name: str(tool.title) for family in families for name, tool in family.catalogues.tools.items()}
    for tool in sorted(users):
        if len(users[tool]) > 1:
            yield SharedTool(tool, titles[tool], tuple(users[tool]), tuple(places[tool]))


def _changeovers(families: Sequence[str], stations: Sequence[StationPlan]) -> Iterator[Changeover]:
    for one, other in combinations(families, 2):
        differ = tuple(
            (plan.channel, plan.station)
            for plan in stations
            if one in plan.wanted and other in plan.wanted and plan.wanted[one] != plan.wanted[other]
        )
        if differ:
            yield Changeover(one, other, differ)
