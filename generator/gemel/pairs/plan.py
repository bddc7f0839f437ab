"""What each channel runs, stage by stage, and the wait marks between."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.operations.steps import Step

__all__ = ["ChannelPlan", "Mark", "PairPlan", "PlannedOperation", "PlannedStage", "Size", "TitlePart"]


class Size(NamedTuple):
    """A length in a title, mm; the writer gives it in the machine's unit."""

    mm: float


TitlePart = str | float | Size
"""A piece of an operation's title: words, a count, or a length; numbers keep their origin."""


@dataclass(frozen=True, slots=True)
class Mark:
    """A wait mark as one channel writes it.

    Attributes:
        number: the same in every channel.
        channels: names of all channels that meet there, in the machine file's order.
        waiting_for: what this channel waits for, or what is waited for from it, in a few words.
    """

    number: int
    channels: tuple[str, ...]
    waiting_for: str


@dataclass(frozen=True, slots=True)
class PlannedOperation:
    """One operation in its channel.

    Attributes:
        id: of the operation in the family.
        title: for the operator: what is made, and with which tool.
        number: sequence number of its first block; None where every block is numbered in turn.
        steps: what it does.
    """

    id: str
    title: tuple[TitlePart, ...]
    number: int | None
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class PlannedStage:
    """One row of the stage table in one channel.

    Attributes:
        number: 1-based.
        sequence: sequence number of its first block, the same in every channel.
        mark: the wait mark that opens it.
        operations: in order; empty where the channel has nothing to do.
    """

    number: int
    sequence: int
    mark: Mark
    operations: tuple[PlannedOperation, ...]


@dataclass(frozen=True, slots=True)
class ChannelPlan:
    """What one channel runs.

    Attributes:
        channel: its name in the machine file.
        stages: every row of the stage table.
        closing: a stage without operations, whose mark stands behind the last row, before the end code.
    """

    channel: str
    stages: tuple[PlannedStage, ...]
    closing: PlannedStage


@dataclass(frozen=True, slots=True)
class PairPlan:
    """The programs of all channels for one part; `repeat`: they start again instead of ending."""

    channels: Mapping[str, ChannelPlan]
    repeat: bool
