"""What must hold of any bytes: they come back, and their run is bounded, finite and points into the text."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from gemel.reading import ChannelText, Program, flow, interpret, read, write
from support.channels import BY_MODE, LATHE
from support.rs274 import RS274

if TYPE_CHECKING:
    from gemel.reading import Dialect, Motion, Run, Step

__all__ = ["DIALECTS", "bears"]

DIALECTS = (LATHE, BY_MODE, RS274)


def bears(data: bytes, dialect: Dialect, *, skip: bool = False) -> Run:
    """The first of two passes over the bytes, both of which hold together."""
    program = read(data, "a.nc")
    text = ChannelText(dialect, (program,))
    first = interpret(text, skip=skip)
    holds_together(first, program)
    holds_together(interpret(text, first.state, skip=skip, pass_number=2), program)
    assert write(program) == data
    return first


def holds_together(done: Run, program: Program) -> None:
    """A run ends somehow, is no longer than its bound, and its remarks and figures are sound."""
    assert done.ending in {"end", "repeat", "text", "endless", "bound"}
    # A contour's blocks count as well, once for each cycle that names them.
    assert len(done.steps) <= done.blocks <= flow.MOST_BLOCKS + 3 * len(program) + 1
    for remark in done.remarks:
        block = program[remark.span.line - 1]
        assert 0 <= remark.span.start <= remark.span.end <= len(block.text)
        assert remark.text == block.text[remark.span.start : remark.span.end]
        assert remark.cause
    for step in done.steps:
        _is_sound(step)


def _is_sound(step: Step) -> None:
    assert 0 <= step.dwell_s < math.inf
    assert step.peck >= 0
    before: Motion | None = None
    for motion in step.motions:
        figures = (*motion.start, *motion.end, motion.low_x, motion.high_x, *(motion.center or ()))
        assert all(value is None or math.isfinite(value) for value in figures)
        assert 0 <= motion.sweep_deg <= 360
        assert motion.feed is None or motion.feed > 0
        assert before is None or motion.start == before.end
        before = motion
