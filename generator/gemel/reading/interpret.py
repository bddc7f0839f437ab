"""Programs to runs: carries out the flow and the modes of one channel's text."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.reading.flow import Flow
from gemel.reading.interpreter import Interpreter
from gemel.reading.run import Run
from gemel.reading.state import start_state

if TYPE_CHECKING:
    from gemel.reading.channel import ChannelText
    from gemel.reading.run import Remark, Step
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
    state = start.copy() if start else start_state(text.dialect)
    flow = Flow(text, state)
    interpreter = Interpreter(text.dialect, state, flow, pass_number)
    steps: list[Step] = []
    while (block := flow.next()) is not None:
        parts = block.parts
        if skip and parts.skip:
            continue
        if parts.words or parts.statements or parts.unknown or interpreter.has_spelling_fault(block):
            steps.append(interpreter.step(block))
    remarks: list[Remark] = [remark for step in steps for remark in step.remarks]
    return Run(text.dialect.channel, tuple(steps), flow.ending, state, tuple(remarks), flow.blocks)
