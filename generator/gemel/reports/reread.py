"""The programs of a pair, read once for everything that a sheet and a chart tell of them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from gemel.machines.dialect import dialect_of
from gemel.proving.facts import facts_of
from gemel.proving.model import build
from gemel.reading.blocks import read
from gemel.reading.channel import ChannelText
from gemel.timing import time_texts

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.machines.schema import Machine
    from gemel.proving.facts import Facts
    from gemel.proving.model import ChannelModel
    from gemel.timing import Timeline

__all__ = ["Reread", "reread"]


@dataclass(frozen=True)
class Reread:
    """The texts of a pair, and what each channel does.

    Attributes:
        machine: they run on.
        texts: of every channel.
    """

    machine: Machine
    texts: Mapping[str, ChannelText]

    @cached_property
    def facts(self) -> Facts:
        """What the proof rests on."""
        return facts_of(self.machine)

    @cached_property
    def models(self) -> list[ChannelModel]:
        """The run of every channel, pass behind pass, with the blocks that change the shared state."""
        return build(self.texts, self.facts)

    def timeline(self, override: float = 1.0) -> Timeline:
        """What the pair costs in time; `override` is the feed override, 1 for 100 %."""
        return time_texts(self.texts, self.machine, override=override)


def reread(programs: Mapping[str, tuple[str, bytes]], machine: Machine) -> Reread:
    """The programs read: name and bytes of each channel's file, as the proof takes them."""
    texts = {
        channel: ChannelText(dialect_of(machine, channel), (read(data, name),))
        for channel, (name, data) in programs.items()
    }
    return Reread(machine, texts)
