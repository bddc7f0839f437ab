"""What a part takes in a state of a pair, from texts and machine file alone; worked out once, then remembered."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from gemel.history import digest
from gemel.history.derived import key_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.history.derived import Derived
    from gemel.machines.schema import Machine
    from gemel.shop.layout import Shop

__all__ = ["Period", "Periods"]


class Period(NamedTuple):
    """From one part to the next.

    Attributes:
        seconds: how long; None where the pair does not come to its end.
        unknown: how many blocks have a duration that nobody knows; with any the seconds are the least it takes.
    """

    seconds: float | None
    unknown: int


class Periods:
    """Asks for periods, and remembers them."""

    def __init__(self, shop: Shop, derived: Derived) -> None:
        self._shop = shop
        self._derived = derived
        self._files: dict[str, str] = {}

    def of(self, machine: Machine, programs: Mapping[str, bytes]) -> Period | None:
        """What a part takes with these programs by channel; None where a channel has none."""
        if set(programs) != set(machine.channels):
            return None
        name = machine.machine
        if name not in self._files:
            self._files[name] = self._shop.machine(name)["machine.yaml"].digest
        key = key_of("period", self._files[name], {channel: digest(data) for channel, data in programs.items()})
        value = self._derived.get(key)
        if value is None:
            value = list(_period(machine, programs))
            self._derived.put(key, value)
        return Period(*value)


def _period(machine: Machine, programs: Mapping[str, bytes]) -> Period:
    from gemel.timing import time_pair  # noqa: PLC0415 # heavy, and only for what is not remembered

    line = time_pair({c: (f"{c} program", programs[c]) for c in machine.channels}, machine)
    return Period(line.period_s, len(line.unknown))
