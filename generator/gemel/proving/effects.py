"""What one block makes of one shared state, and which rules it breaks by itself."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from gemel.proving.rule import Moment
from gemel.proving.rules import bar, c_axis, clamps, cutting, handover
from gemel.proving.shared import JOINED, after

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from gemel.proving.facts import Facts
    from gemel.proving.model import Node
    from gemel.proving.rule import Rule
    from gemel.proving.shared import Shared

__all__ = ["Effect", "effect"]


class Effect(NamedTuple):
    """The outcome of a block.

    Attributes:
        state: shared state behind it.
        broken: rules it breaks, and for a cut the visit it belongs to, -1 else.
        opened: sides whose clamp it opens.
        fed: whether it feeds bar.
        slid: whether it moves the slide.
        forward: whether the slide is forward before or behind it.
    """

    state: Shared
    broken: tuple[tuple[Rule, int], ...]
    opened: int
    fed: bool
    slid: bool
    forward: bool

    @property
    def concerns_others(self) -> bool:
        """Whether it matters where the other channels stand."""
        return bool(self.opened or self.fed or self.slid)


def effect(node: Node, state: Shared, facts: Facts, *, all_repeat: bool) -> Effect:
    """The outcome of the block at a node, begun in a shared state."""
    begun, opened = state, 0
    broken: dict[tuple[Rule, int], None] = {}
    for deed in node.deeds:
        behind = after(state, deed)
        opened |= state.closed & ~behind.closed
        first = all_repeat and node.pass_number == 1
        moment = Moment(deed, state, behind, opened, begun.held == JOINED, first, facts)
        broken.update(dict.fromkeys(_broken(moment)))
        state = behind
    kinds = {d.kind for d in node.deeds}
    forward = begun.forward or state.forward
    return Effect(state, tuple(broken), opened, "bar-feed" in kinds, "slide" in kinds, forward)


_CHECKS: dict[str, tuple[Callable[[Moment], Iterator[Rule]], ...]] = {
    **dict.fromkeys(("start", "sync-on"), (clamps.check, handover.check, c_axis.check)),
    **dict.fromkeys(("open", "close", "stop", "sync-off"), (clamps.check, handover.check)),
    **dict.fromkeys(("cut-off", "slide"), (handover.check,)),
    **dict.fromkeys(("c-on", "brake-on", "c-move"), (c_axis.check,)),
    "bar-feed": (bar.check,),
}
"""The rules that a deed of each kind can break by itself; of other kinds none, of a cut those about cuts."""


def _broken(moment: Moment) -> list[tuple[Rule, int]]:
    if moment.deed.cut is not None:
        return [(rule, moment.deed.cut.visit) for rule in cutting.check(moment)]
    return [(rule, -1) for check in _CHECKS.get(moment.deed.kind, ()) for rule in check(moment)]
