"""Which channel of which machine two programs are for."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from gemel.findings import Findings, Label, Span, did_you_mean, printable
from gemel.shop import compare_codes as codes
from gemel.shop.loose_programs import channel_of, whose
from gemel.shop.machine_file import machine_of
from gemel.shop.states import standing_pairs

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.machines.schema import Machine
    from gemel.shop.layout import Shop
    from gemel.shop.revisions import Loose

__all__ = ["FilesFor", "compare_files"]


class FilesFor(NamedTuple):
    """What two programs are for.

    Attributes:
        machine, channel: which.
        titles: the family's operations by their titles in the first program; empty where its pair is not known.
    """

    machine: Machine
    channel: str
    titles: Mapping[str, str]


class _For(NamedTuple):
    machine: str
    channel: str


def compare_files(shop: Shop, files: tuple[Loose, Loose], machine: str, channel: str) -> FilesFor:
    """What two programs are for: as they are told, else as the programs say.

    Raises:
        Findings: `compare:channel`, `compare:unlike`, `shop:no-machine`, faults of a machine file.
    """
    machines = [machine_of(shop, name) for name in ([machine] if machine else shop.machine_names())]
    if channel:
        machines = _with_channel(machines, channel)
    files_of = {machine.machine: machine for machine in machines}
    known = [pair for name, pair in standing_pairs(shop).items() if name.machine in files_of]
    titles: dict[str, str] = {}
    told: dict[str, _For] = {}
    for file in files:
        found = whose(file.name, file.data, known, files_of)
        if found is not None:
            titles |= found.pair.programs[found.channel].titles if found.channel in found.pair.programs else {}
        one = _For(found.pair.name.machine, found.channel) if found else _by_end(file, machines)
        if one is not None:
            told[file.name] = one._replace(channel=channel or one.channel)
    if len(set(told.values())) > 1:
        cause = " and ".join(f"{printable(name)} is for {one.channel} of {one.machine}" for name, one in told.items())
        raise Findings([codes.UNLIKE.found(cause, Label(Span("gemel compare")))])
    answer = next(iter(told.values()), None)
    if answer is None and channel and len(machines) == 1:
        answer = _For(machines[0].machine, channel)
    if answer is None:
        names = " and ".join(dict.fromkeys(printable(file.name) for file in files))
        cause = f"nothing says for which {'machine' if channel else 'channel'} {names} are"
        raise Findings([codes.CHANNEL.found(cause, Label(Span("gemel compare")))])
    return FilesFor(files_of[answer.machine], answer.channel, titles)


def _with_channel(machines: list[Machine], channel: str) -> list[Machine]:
    """The machines that have a channel.

    Raises:
        Findings: `compare:channel`, none has.
    """
    fitting = [machine for machine in machines if channel in machine.channels]
    if not fitting:
        known = [name for machine in machines for name in machine.channels]
        cause = f"there is no channel `{printable(channel)}`"
        label = Label(Span("gemel compare"), printable(channel))
        raise Findings([codes.CHANNEL.found(cause, label, remedy=did_you_mean(channel, known))])
    return fitting


def _by_end(file: Loose, machines: list[Machine]) -> _For | None:
    """What a program is for by the end of its name, where that is one channel's alone."""
    ends = [_For(machine.machine, channel_of(machine, file.name)) for machine in machines]
    fitting = [end for end in ends if end.channel]
    return fitting[0] if len(fitting) == 1 else None
