"""The run of a channel as stretches: what it does between two blocks that change the shared state.

Only blocks that change the state which the channels share need a place of their own in the exploration. A block that
asks something of it (a cut, a turn of the C axis) or goes into or out of a zone leaves it as it is, so that all such
blocks up to the next change are one stretch: whatever the others do meanwhile, they can do it at any moment of it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from gemel.proving.zones import OUTSIDE

if TYPE_CHECKING:
    from collections.abc import Sequence

    from gemel.proving.model import Node
    from gemel.proving.zones import Inside
    from gemel.reading.dialect import ToolKind

__all__ = ["Stand", "Stretch", "stretches"]

_ASKING = frozenset({"cut", "c-move"})
"""Deeds that ask something of the shared state and change nothing of it."""


class Stand(NamedTuple):
    """How a channel may stand somewhere on a stretch.

    Attributes:
        inside: zones it is inside.
        tool: kind of its tool.
        done: the last step it has done, or begun, to stand so.
        slides: whether that step is under way and moves the slide.
    """

    inside: Inside
    tool: ToolKind | None
    done: int
    slides: bool = False


class Stretch(NamedTuple):
    """A run of blocks that leave the shared state as it is, and the node behind them.

    Attributes:
        node: the block that changes the shared state, the wait, or the end.
        next: index of the stretch behind.
        done: the last step that the channel has done at its beginning.
        stands: the different ways it stands on it, the first of each.
        asking: its nodes that ask something of the shared state.
        commanding: its nodes that command a thing, `node` among them.
        commands: all the things commanded, as bits.
        is_inside: whether it stands inside a zone anywhere on it.
        slides: whether it begins in the midst of a block that moves the slide.
    """

    node: Node
    next: int
    done: int
    stands: tuple[Stand, ...]
    asking: tuple[Node, ...]
    commanding: tuple[Node, ...]
    commands: int
    is_inside: bool
    slides: bool


def stretches(nodes: Sequence[Node]) -> list[Stretch]:
    """The stretches of a channel, in the order of its nodes."""
    ends = [i for i, node in enumerate(nodes) if not _is_soft(node)]
    place = {}
    first = 0
    for index, end in enumerate(ends):
        place.update(dict.fromkeys(range(first, end + 1), index))
        first = end + 1
    first = 0
    found = []
    for end in ends:
        found.append(_stretch(nodes[first : end + 1], place))
        first = end + 1
    return found


def _is_soft(node: Node) -> bool:
    return node.kind == "act" and all(deed.kind in _ASKING for deed in node.deeds)


def _stretch(nodes: Sequence[Node], place: dict[int, int]) -> Stretch:
    """One stretch; `place` says which stretch each node lies on."""
    last = nodes[-1]
    stands: dict[tuple[Inside, ToolKind | None, bool], Stand] = {}
    commands = 0
    for node in nodes:
        stand = Stand(node.inside, node.tool, node.done, node.slides)
        stands.setdefault((node.inside, node.tool, node.slides), stand)
        commands |= node.commands
    return Stretch(
        node=last,
        next=place.get(last.next, 0),
        done=nodes[0].done,
        stands=tuple(stands.values()),
        asking=tuple(n for n in nodes[:-1] if n.deeds),
        commanding=tuple(n for n in nodes if n.commands),
        commands=commands,
        is_inside=any(s.inside != OUTSIDE for s in stands.values()),
        slides=nodes[0].slides,
    )
