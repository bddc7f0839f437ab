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

_ON_THE_WAY = frozenset({Rapid, Feed, Arc, ThreadPass})
_CYCLES = frozenset({Drill, Tap})
_STANDING = frozenset({Dwell, Function, Note, SlideMove, SpeedLimit})

_Position = tuple[float | None, float | None, float | None, float | None]
_UNKNOWN: _Position = (None, None, None, None)


def without_idle_rapids(steps: Iterable[Step]) -> list[Step]:
    """The same way of the tool in fewer blocks.

    A rapid to where all its axes stand is left out, and so is the first of two rapids in a row along the same single
    axis: what remains never leaves the line that both of them ran on.
    """
    kept: list[Step] = []
    before: list[_Position] = []  # where the axes stood before each of them
    where = _UNKNOWN
    alone = -1  # the only axis of the last step that was kept, where that is a rapid along one
    for step in steps:
        kind = type(step)
        if kind is Rapid:
            only = _only(_named(step))
            if only >= 0 and only == alone:
                kept.pop()
                where = before.pop()
                alone = _only(_named(kept[-1])) if kept and type(kept[-1]) is Rapid else -1
            if _stands(_named(step), where):
                continue
            alone = only
        else:
            alone = -1
        kept.append(step)
        before.append(where)
        where = _moved(where, step, kind)
    return kept


def _named(step: Step) -> _Position:
    return step.x, step.y, step.z, step.c  # type: ignore[union-attr] # asked of steps that have axes


def _only(named: _Position) -> int:
    """The axis that is named alone; -1 where there are several."""
    axes = [axis for axis, at in enumerate(named) if at is not None]
    return axes[0] if len(axes) == 1 else -1


def _stands(named: _Position, where: _Position) -> bool:
    """Whether every axis that is named stands there, and one is named."""
    x, y, z, c = named
    return (
        (x is None or x == where[0])
        and (y is None or y == where[1])
        and (z is None or z == where[2])
        and (c is None or c == where[3])
        and named != _UNKNOWN
    )


def _moved(where: _Position, step: Step, kind: type) -> _Position:
    """Where `step` brings the axes; what it does not say is not known any more."""
    if kind in _STANDING:
        return where
    if kind not in _ON_THE_WAY and kind not in _CYCLES:
        return _UNKNOWN
    x, y, z, c = _named(step)
    if isinstance(step, Drill | Tap):
        x, z = (step.clear, z) if step.along == "x" else (x, step.clear)
    return (
        where[0] if x is None else x,
        where[1] if y is None else y,
        where[2] if z is None else z,
        where[3] if c is None else c,
    )
