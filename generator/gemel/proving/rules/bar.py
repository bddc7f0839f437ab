"""Rules 3 and 8: clamps that open, and bar that is fed, with a tool in the way."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.findings import Severity
from gemel.proving.facts import LEFT, SIDES
from gemel.proving.rule import Rule
from gemel.reading.dialect import ToolKind

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from gemel.proving.rule import Moment
    from gemel.proving.zones import Inside

__all__ = ["RULES", "blocked", "check"]

TOOL_INSIDE = Rule(
    "holding",
    "3",
    Severity.ERROR,
    what="A clamp opens while a channel whose tool is no bar stop or bar puller is inside that spindle's zone.",
    why="The bar or the part moves against the tool, or falls on it.",
    example="G01 X30. F0.1\nM69",
    remedy="retract to the clearance before the clamp opens, and let a wait order the two",
    cause="{a} opens a clamp while a tool may be inside that spindle's zone{detail}",
)
FEED_CLAMPED = Rule(
    "holding",
    "8-clamp",
    Severity.ERROR,
    what="Bar is fed while the left clamp is closed.",
    why="The feeder pushes against a clamped bar: no stock comes, and the next part is cut too short.",
    example="M70      (no M69 before)",
    remedy="open the left clamp before the bar feed",
    cause="{a} feeds bar while the left clamp may be closed",
)
FEED_BLOCKED = Rule(
    "holding",
    "8-zone",
    Severity.ERROR,
    what="Bar is fed while a channel that is no bar stop is inside the left zone.",
    why="The bar runs into the tool.",
    example="G01 X30. F0.1\nM70",
    remedy="retract to the clearance before the bar feed, and let a wait order the two",
    cause="{a} feeds bar while a tool may be inside the left zone{detail}",
)

RULES = (TOOL_INSIDE, FEED_CLAMPED, FEED_BLOCKED)

_HARMLESS_AT_OPENING = frozenset({ToolKind.BAR_STOP, ToolKind.BAR_PULLER})
_HARMLESS_AT_FEED = frozenset({ToolKind.BAR_STOP})


def check(moment: Moment) -> Iterator[Rule]:
    """The rule about the bar feed that a deed breaks by itself."""
    if moment.deed.kind == "bar-feed" and moment.before.closed & LEFT:
        yield FEED_CLAMPED


def blocked(
    opened: int, *, fed: bool, others: Iterable[tuple[int, Inside, ToolKind | None]]
) -> Iterator[tuple[Rule, int]]:
    """The rules that a block breaks because a channel is inside, and that channel.

    Args:
        opened: sides whose clamp the block opens.
        fed: whether it feeds bar.
        others: index, zones and tool of each channel, its own during the block included.
    """
    for channel, inside, kind in others:
        for place, side in enumerate(SIDES):
            if inside[place] >= 0 and opened & side and kind not in _HARMLESS_AT_OPENING:
                yield TOOL_INSIDE, channel
        if fed and inside[0] >= 0 and kind not in _HARMLESS_AT_FEED:
            yield FEED_BLOCKED, channel
