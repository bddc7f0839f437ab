"""What has been written before: steps repeat, and equal steps under equal modes have equal texts.

Both renderings of a program ask for the blocks of an operation; where the modes stand is worked out once for both.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.operations.steps import Drill, FeedMode, Tap, ToolpathState
from gemel.writing.situation import Now

if TYPE_CHECKING:
    from gemel.operations.steps import Step
    from gemel.writing.recall import Recipe
    from gemel.writing.situation import Situation
    from gemel.writing.views import OperationView

__all__ = ["Block", "Blocks"]

_MOST = 20_000
_CYCLES = frozenset({Drill, Tap})
_TELLING = _CYCLES | {FeedMode, ToolpathState}
"""Steps in front of which the situation may change."""


class Block:
    """What is known of a step in a situation: its plain text, and how its traced text is put together."""

    __slots__ = ("recipe", "situation", "text")

    def __init__(self, situation: Situation) -> None:
        self.situation = situation
        self.text: str | None = None
        self.recipe: Recipe | None = None


class Blocks:
    """The blocks of one machine with one set of templates."""

    def __init__(self) -> None:
        self._known: dict[tuple[Step, str, Situation], Block] = {}
        self._of: dict[int, list[Block]] = {}
        self._now = Now()

    def begin(self) -> None:
        """A program begins: its operations are others than those of the program before."""
        self._of.clear()
        if len(self._known) > _MOST:
            self._known.clear()

    def of(self, operation: OperationView, channel: str) -> list[Block]:
        """One block a step of an operation of the program at work, in order."""
        found = self._of.get(id(operation))
        if found is None:
            found = self._of[id(operation)] = self._looked_up(operation, channel)
        return found

    def _looked_up(self, operation: OperationView, channel: str) -> list[Block]:
        known, now = self._known, self._now
        now.begin()
        found = []
        # Only cycles ask where the axes stand.
        following = any(type(step) in _CYCLES for step in operation.steps)
        situation = now.situation
        for step in operation.steps:
            if type(step) in _TELLING:
                situation = now.meet(step)
            key = (step, channel, situation)
            block = known.get(key)
            if block is None:
                block = known[key] = Block(situation)
            found.append(block)
            if following:
                now.leave(step)
        return found
