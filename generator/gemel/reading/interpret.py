"""Programs to runs: carries out the flow and the modes of one channel's text."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from gemel.reading.channel import ChannelText
    from gemel.reading.run import Run
    from gemel.reading.state import State

__all__ = ["interpret"]


def interpret(text: ChannelText, start: State | None = None, *, skip: bool = False, pass_number: int = 1) -> Run:
    """One pass of the channel: every executed block with what it does, in order.

    Args:
        text: the channel's dialect and files.
        start: the state to begin with, that at the end of the pass before; the dialect's start state by default.
        skip: whether blocks that begin with `/` are left out.
        pass_number: noted in every step.
    """
    raise NotImplementedError
