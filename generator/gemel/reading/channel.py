"""The text of a channel: its main program and every subprogram that its files hold."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from gemel.reading.blocks import Program
    from gemel.reading.dialect import Dialect

__all__ = ["ChannelText"]


@dataclass(frozen=True, slots=True)
class ChannelText:
    """What one channel is to run.

    Attributes:
        dialect: how its control understands words.
        files: the channel's own file first, then further files with subprograms.
    """

    dialect: Dialect
    files: tuple[Program, ...]
