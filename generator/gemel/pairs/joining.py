"""Operations that one channel runs in a row: what one stops and the next starts again goes on running.

Only an end is shortened. The beginning of an operation says everything again, so that it can be restarted there.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.operations.steps import (
    Function,
    Home,
    Posted,
    Rapid,
    SpeedLimit,
    SpindleStart,
    ToolCall,
    ToolDrive,
    ToolpathState,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from gemel.operations.steps import Step

__all__ = ["joined"]

_OPENING = (Home, ToolCall, ToolpathState, SpeedLimit, SpindleStart, ToolDrive, Function)


def joined(operations: Sequence[Sequence[Step]]) -> list[tuple[Step, ...]]:
    """The steps of operations between two wait marks, in order, without ends that the next beginning takes back.

    The way home is left out where the next operation begins with it, and the way to the place of tool changes where it
    goes on with the same tool. A spindle keeps turning where the next one starts it in the same direction, and a C axis
    stays on where the next one engages it, unless anything else comes between.
    """
    return [
        _shortened(steps, operations[place + 1]) if place + 1 < len(operations) else tuple(steps)
        for place, steps in enumerate(operations)
    ]


def _shortened(steps: Sequence[Step], following: Sequence[Step]) -> tuple[Step, ...]:
    opening = list(_opening(following))
    end = len(steps)
    while end and isinstance(steps[end - 1], Home | Function):
        end -= 1
    kept = (
        steps[: end - 1] if end and _is_for_change(steps[end - 1]) and _tool(steps) == _tool(opening) else steps[:end]
    )
    return (*kept, *(step for step in steps[end:] if not _taken_back(step, steps, opening)))


def _is_for_change(step: Step) -> bool:
    """Whether a step is the move along Z alone by which a turret ends, to change its tool away from the chuck."""
    return isinstance(step, Rapid) and step.z is not None and step.x is None and step.y is None and step.c is None


def _tool(steps: Sequence[Step]) -> str | None:
    """The call of the last tool; None where none is called."""
    return next((step.call for step in reversed(steps) if isinstance(step, ToolCall)), None)


def _opening(steps: Sequence[Step]) -> Iterator[Step]:
    """What an operation does before it moves."""
    for step in steps:
        if not isinstance(step, _OPENING):
            return
        yield step


def _taken_back(step: Step, steps: Sequence[Step], opening: Sequence[Step]) -> bool:
    """Whether `opening` brings about again what `step`, at the end of `steps`, puts an end to."""
    if isinstance(step, Home):
        return isinstance(opening[0], Home) if opening else False
    assert isinstance(step, Function)
    thing, _, deed = step.name.rpartition(".")
    if thing.startswith("spindle.") and deed == "stop":
        return _goes_on_turning(thing.removeprefix("spindle."), steps, opening)
    if thing.startswith("c_axis.") and deed == "release":
        return Function(f"{thing}.engage") in opening
    return False


def _goes_on_turning(spindle: str, steps: Sequence[Step], opening: Sequence[Step]) -> bool:
    """Whether the next operation starts the spindle as it turns, and does nothing before that needs it standing."""
    if any(isinstance(step, Posted) for step in steps):
        return False
    running = [step.direction for step in steps if isinstance(step, SpindleStart) and step.spindle == spindle]
    for step in opening:
        if isinstance(step, SpindleStart):
            return bool(running) and (step.spindle, step.direction) == (spindle, running[-1])
        if isinstance(step, Function | ToolDrive):
            return False
    return False
