"""What holds at a step that the step itself does not say: feed mode, plane, where the axes stand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from gemel.operations.steps import Arc, Drill, Feed, FeedMode, Home, Posted, Rapid, Tap, ThreadPass, ToolpathState

if TYPE_CHECKING:
    from gemel.operations.steps import Step
    from gemel.writing.views import ChannelView

__all__ = ["Now"]

_MOVES = frozenset({Rapid.kind, Feed.kind, Arc.kind, ThreadPass.kind})
_CYCLES = frozenset({Drill.kind, Tap.kind})
_ELSEWHERE = frozenset({Home.kind, Posted.kind})


@dataclass(slots=True)
class Now:
    """The state in front of the step at work; every operation starts without one.

    Attributes:
        channel: the channel whose program is being written.
        feed_mode: `per_minute` or `per_revolution`; empty before an operation has said it.
        plane: `xy`, `zx` or `yz`; empty likewise.
        spindle: whose offset is in force; empty likewise.
        at_clear: whether the axis of this drilling or tapping cycle stands at its level.
        tap_feed: feed of this tapping cycle in the feed mode in force, mm/rev or mm/min.
    """

    channel: ChannelView | None = None
    feed_mode: str = ""
    plane: str = ""
    spindle: str = ""
    at_clear: bool = False
    tap_feed: float = 0.0
    # Where the axes stand; hidden from templates, whose text may depend on what `key` holds only.
    _x: float | None = None
    _z: float | None = None

    def key(self) -> tuple[str, str, str, bool]:
        """All that the text of a step depends on besides the step and the channel."""
        return self.feed_mode, self.plane, self.spindle, self.at_clear

    def begin(self) -> None:
        """Forget modes and positions: an operation begins."""
        self.feed_mode = self.plane = self.spindle = ""
        self._x = self._z = None

    def meet(self, step: Step) -> None:
        """Take in what must be known to write `step`."""
        kind = step.kind
        if kind == "state":
            assert isinstance(step, ToolpathState)
            self.feed_mode, self.plane, self.spindle = step.feed_mode, step.plane, step.spindle
        elif kind == "feed_mode":
            assert isinstance(step, FeedMode)
            self.feed_mode = step.mode
        elif kind in _CYCLES:
            assert isinstance(step, Drill | Tap)
            here = self._x if step.along == "x" else self._z
            self.at_clear = here is not None and abs(float(here) - float(step.clear)) < 1e-6
            if isinstance(step, Tap):
                self.tap_feed = step.pitch * step.rpm if self.feed_mode == "per_minute" else step.pitch

    def leave(self, step: Step) -> None:
        """Take in where `step` has brought the axes."""
        kind = step.kind
        if kind in _MOVES:
            assert isinstance(step, Rapid | Feed | Arc | ThreadPass)
            self._x = self._x if step.x is None else step.x
            self._z = self._z if step.z is None else step.z
        elif kind in _CYCLES:
            assert isinstance(step, Drill | Tap)
            if step.along == "x":
                self._x, self._z = step.clear, self._z if step.z is None else step.z
            else:
                self._x, self._z = self._x if step.x is None else step.x, step.clear
        elif kind in _ELSEWHERE:
            self._x = self._z = None
