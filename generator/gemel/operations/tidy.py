"""Rapids that bring a tool nowhere: to where it stands, or to a stop on a straight way that goes on at once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.operations.steps import (
    Arc,
    Drill,
    Dwell,
    Feed,
    Function,
    Note,
    Rapid,
    SlideMove,
    SpeedLimit,
    Tap,
    ThreadPass,
)

if TYPE_CHECKING:
    from collections.abc import Iterable

    from gemel.operations.steps import Step

__all__ = ["without_idle_rapids"]

_AXES = ("x", "y", "z", "c")
_STANDING = (Dwell, Function, Note, SlideMove, SpeedLimit)
_SAME = 1e-9

_Position = dict[str, float]


def without_idle_rapids(steps: Iterable[Step]) -> list[Step]:
    """The same way of the tool in fewer blocks.

    A rapid to where all its axes stand is left out, and so is the first of two rapids in a row along the same single
    axis: what remains never leaves the line that both of them ran on.
    """
    kept: list[tuple[Step, _Position]] = []  # each with where the axes stood before it
    where: _Position = {}
    for step in steps:
        if isinstance(step, Rapid):
            named = _named(step)
            last = kept[-1][0] if kept else None
            if len(named) == 1 and isinstance(last, Rapid) and _named(last).keys() == named.keys():
                _, where = kept.pop()
            if named and all(axis in where and abs(where[axis] - at) < _SAME for axis, at in named.items()):
                continue
        kept.append((step, where))
        where = _moved(where, step)
    return [step for step, _ in kept]


def _named(step: Rapid | Feed | Arc | ThreadPass | Drill | Tap) -> _Position:
    return {axis: float(at) for axis in _AXES if (at := getattr(step, axis)) is not None}


def _moved(where: _Position, step: Step) -> _Position:
    """Where `step` brings the axes; what it does not say is not known any more."""
    if isinstance(step, Rapid | Feed | Arc | ThreadPass):
        return where | _named(step)
    if isinstance(step, Drill | Tap):
        return where | _named(step) | {step.along: float(step.clear)}
    return where if isinstance(step, _STANDING) else {}
