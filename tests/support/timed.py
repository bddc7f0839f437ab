"""Timelines of programs that are written in the test."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.timing import time_pair
from support.proofs import demo_machine

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.machines.schema import Machine
    from gemel.timing import BlockTime, Timeline

__all__ = ["block_of", "timeline", "timeline_of"]


def timeline_of(texts: Mapping[str, str], machine: Machine | None = None, override: float = 1.0) -> Timeline:
    """The timeline of programs by channel; on the demo machine unless another is given."""
    programs = {channel: (f"{channel}.nc", text.encode()) for channel, text in texts.items()}
    return time_pair(programs, machine or demo_machine(), override=override)


def timeline(**texts: str) -> Timeline:
    """The same on the demo machine, with the channels as arguments."""
    return timeline_of(texts)


def block_of(timed: Timeline, text: str) -> BlockTime:
    """The one block with this text."""
    (found,) = [b for lane in timed.lanes for b in lane.blocks if b.step.block.text == text]
    return found
