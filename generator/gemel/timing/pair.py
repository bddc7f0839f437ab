"""The timeline of a pair, from its texts and the machine file alone."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.machines.dialect import dialect_of
from gemel.reading.blocks import read
from gemel.reading.channel import ChannelText
from gemel.timing.layout import lay_out
from gemel.timing.running import channels_of, run_all

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from gemel.machines.schema import Machine
    from gemel.timing.model import Timeline

__all__ = ["File", "time_pair", "time_texts"]

File = tuple[str, bytes]
"""A program: its name as the user would give it, and its bytes."""


def time_pair(
    programs: Mapping[str, File], machine: Machine, *, override: float = 1.0, further: Sequence[File] = ()
) -> Timeline:
    """What a pair costs in time.

    Args:
        programs: the file of each channel, by the channel's name.
        machine: the machine it runs on.
        override: feed override, 1 for 100 %; threads, taps and rapids are not changed by it.
        further: more files with subprograms, which every channel may call.

    Raises:
        ValueError: the override is not above zero, or there are no programs.
    """
    more = tuple(read(data, name) for name, data in further)
    texts = {
        channel: ChannelText(dialect_of(machine, channel), (read(data, name), *more))
        for channel, (name, data) in programs.items()
    }
    return time_texts(texts, machine, override=override)


def time_texts(
    texts: Mapping[str, ChannelText], machine: Machine, *, override: float = 1.0, skip: bool = False
) -> Timeline:
    """The same, for texts that have been read already; `skip` leaves out the blocks that begin with `/`.

    Raises:
        ValueError: the override is not above zero, or there are no texts.
    """
    if not override > 0 or not texts:
        raise ValueError("a pair is timed with programs, and with an override above zero")
    channels = channels_of(texts, skip=skip)
    stands = run_all(channels, machine, override)
    return lay_out(channels, stands, machine, override)
