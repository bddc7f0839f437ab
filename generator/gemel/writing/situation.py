"""What holds at a step that the step itself does not say: feed mode, plane, where the axes stand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from gemel.operations.steps import Arc, Drill, Feed, FeedMode, Home, Posted, Rapid, Tap, ThreadPass, ToolpathState

if TYPE_CHECKING:
    from gemel.operations.steps import Step
    from gemel.writing.views import ChannelView

__all__ = ["Now", "Situation"]

_MOVES = frozenset({Rapid.kind, Feed.kind, Arc.kind, ThreadPass.kind})
_CYCLES = frozenset({Drill.kind, Tap.kind})
_ELSEWHERE = frozenset({Home.kind, Posted.kind})


class Situation(NamedTuple):
    """All that the text of a step depends on besides the step and the channel; empty before an operation has said it.

    Attributes:
        feed_mode: `per_minute` or `per_revolution`.
        plane: `xy`, `zx` or `yz`.
        spindle: whose offset is in force.
        at_clear: whether the axis of this drilling or tapping cycle stands at its level.
    """

    feed_mode: str = ""
    plane: str = ""
    spindle: str = ""
    at_clear: bool = False


_NOTHING = Situation()


@dataclass(slots=True)
class Now:
    """The state in front of the step at work; every operation starts without one.

    Attributes:
        channel: the channel whose program is being written.
        feed_mode, plane, spindle, at_clear: of the situation.
        tap_feed: feed of this tapping cycle in the feed mode in force, mm/rev or mm/min.
        situation: all of the modes.
    """

    channel: ChannelView | None = None
    feed_mode: str = ""
    plane: str = ""
    spindle: str = ""
    at_clear: bool = False
    tap_feed: float = 0.0
    situation: Situation = _NOTHING
    # Where the axes stand; hidden from templates, whose text may depend on the situation only.
    _x: float | None = None
    _z: float | None = None

    def begin(self) -> None:
        """Forget modes and positions: an operation begins."""
        self.stand(_NOTHING)
        self._x = self._z = None

    def stand(self, situation: Situation) -> None:
        """Put the modes to those of a situation."""
        self.situation = situation
        self.feed_mode, self.plane, self.spindle, self.at_clear = situation

    def face(self, step: Step, situation: Situation) -> None:
        """Take in what a template must know to write `step` in a situation."""
        self.stand(situation)
        if isinstance(step, Tap):
            self.tap_feed = step.pitch * step.rpm if situation.feed_mode == "per_minute" else step.pitch

    def meet(self, step: Step) -> Situation:
        """The situation in which `step` will be written."""
        kind = step.kind
        if kind == "state":
            assert isinstance(step, ToolpathState)
            self.stand(Situation(step.feed_mode, step.plane, step.spindle, self.at_clear))
        elif kind == "feed_mode":
            assert isinstance(step, FeedMode)
            self.stand(self.situation._replace(feed_mode=step.mode))
        elif kind in _CYCLES:
            assert isinstance(step, Drill | Tap)
            here = self._x if step.along == "x" else self._z
            at_clear = here is not None and abs(float(here) - float(step.clear)) < 1e-6
            if at_clear is not self.at_clear:
                self.stand(self.situation._replace(at_clear=at_clear))
        return self.situation

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
