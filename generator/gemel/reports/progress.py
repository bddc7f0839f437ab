"""What has been done on which part when a stage begins, told from the family's stages."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.pairs.titles import short_title
from gemel.reports.restart_words import Done

if TYPE_CHECKING:
    from gemel.families.part import Part
    from gemel.machines.schema import Machine

__all__ = ["done_before"]

_MOVES_PART = frozenset({"bar_feed", "take_over", "bar_pull", "cut_off", "part_away"})


def done_before(part: Part, machine: Machine) -> list[Done]:
    """For each stage, and for the end behind the last one, what has been done by then.

    Of a part that repeats this is a later pass, in which the right spindle still holds the part before.
    """
    walk = _Walk(part, machine)
    found = walk.through()
    return walk.through() if part.repeat else found


class _Walk:
    """Goes through the stages and keeps what has been done on the bar and on the part that was cut off."""

    def __init__(self, part: Part, machine: Machine) -> None:
        self.part = part
        self.hand_over = {name for name, spindle in machine.spindles.items() if spindle.side == "hand-over"}
        self.on_bar: list[str] = []
        self.on_second: list[str] = []

    def through(self) -> list[Done]:
        found = []
        for stage in self.part.stages:
            found.append(self._now())
            for names in stage.work.values():
                for name in names:
                    self._take(name)
        return [*found, self._now()]

    def _now(self) -> Done:
        return Done(tuple(self.on_bar), tuple(self.on_second))

    def _take(self, name: str) -> None:
        operation = self.part.operations[name]
        if operation.process == "cut_off":
            self.on_bar, self.on_second = [], []
        elif operation.process == "part_away":
            self.on_second = []
        elif operation.process not in _MOVES_PART:
            done = self.on_second if operation.spindle in self.hand_over else self.on_bar
            done.append(short_title(name, self.part))
