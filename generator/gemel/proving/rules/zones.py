"""The family `zones`: no two channels in one zone at the same time, and nobody in the slide's way."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.findings import Severity
from gemel.proving.rule import Rule

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.proving.zones import Inside

__all__ = ["RULES", "SKIP_EXIT", "SLIDE", "in_the_way", "meetings"]

LEFT_ZONE = Rule(
    "zones",
    "left",
    Severity.ERROR,
    what="Two channels may be inside the left zone at the same time. While the slide is forward the two zones are one.",
    why="Two tools, or a tool and a head, meet at the workpiece.",
    example="upper: G00 X30.\nlower: G01 X-0.5 F0.1      (no wait between)",
    remedy="let one channel retract to the clearance before a wait, and the other enter after it",
    cause="{a} and {b} enter a zone in which both channels may be at the same time{detail}",
)
RIGHT_ZONE = Rule(
    "zones",
    "right",
    Severity.ERROR,
    what="Two channels may be inside the right zone at the same time.",
    why="Two tools, or a tool and a head, meet at the workpiece.",
    example="upper: G55 G00 X30.\nlower: G55 G01 X-0.5 F0.1      (no wait between)",
    remedy="let one channel retract to the clearance before a wait, and the other enter after it",
    cause="{a} and {b} enter the right zone, in which both channels may be at the same time",
)
SLIDE = Rule(
    "zones",
    "slide",
    Severity.ERROR,
    what="The slide moves while another channel is inside the right zone, "
    "or goes or moves forward while another is inside the left one.",
    why="The right spindle runs into the tool.",
    example="upper: G00 X30.\nlower: G53 A-300.      (no wait between)",
    remedy="let the other channel retract to the clearance before a wait, and move the slide after it",
    cause="{a} moves the slide while the visit that begins at {b} may still be inside a zone",
)
SKIP_EXIT = Rule(
    "zones",
    "skip-exit",
    Severity.ERROR,
    what="The way out of a zone stands in a block that may be skipped.",
    why="With the switch the other way the tool stays at the workpiece while the other channel comes in.",
    example="/G00 X200.",
    remedy="take the `/` away from the block that retracts",
    cause="{a} leads out of a zone and may be skipped",
)

_ONE_ZONE = ": while the slide is forward the left and the right zone are one"

RULES = (LEFT_ZONE, RIGHT_ZONE, SLIDE, SKIP_EXIT)


def meetings(one: Inside, other: Inside, *, forward: bool) -> Iterator[tuple[Rule, int, int, str]]:
    """The visits of two channels that share a zone: the rule, the entering step of each, and a word on the slide.

    Args:
        one: zones of one channel.
        other: zones of the other.
        forward: whether the slide is forward, which makes one zone of the two.
    """
    if one[0] >= 0 and other[0] >= 0:
        yield LEFT_ZONE, one[0], other[0], ""
    if one[1] >= 0 and other[1] >= 0:
        yield RIGHT_ZONE, one[1], other[1], ""
    if forward and one[0] >= 0 and other[1] >= 0:
        yield LEFT_ZONE, one[0], other[1], _ONE_ZONE
    if forward and one[1] >= 0 and other[0] >= 0:
        yield LEFT_ZONE, one[1], other[0], _ONE_ZONE


def in_the_way(inside: Inside, *, forward: bool) -> Iterator[int]:
    """The entering steps of another channel's visits that a move of the slide endangers.

    Args:
        inside: zones of the other channel.
        forward: whether the slide is forward before or behind its move.
    """
    if inside[1] >= 0:
        yield inside[1]
    if forward and inside[0] >= 0 and inside[0] != inside[1]:
        yield inside[0]
