"""The family `waits`, where a run shows it: when a wait is met, and who stands for ever when it is not."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.findings import Severity
from gemel.proving.rule import Place, Rule

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from gemel.proving.model import Node
    from gemel.proving.stretches import Stretch

__all__ = ["DEADLOCK", "ENDED", "RULES", "hopeless", "met", "stuck"]

DEADLOCK = Rule(
    "waits",
    "deadlock",
    Severity.ERROR,
    what="Channels stand at different numbers for ever.",
    why="The machine stops in the middle of a part, spindles turning, and nothing says why.",
    example="upper: M701 M702\nlower: M702 M701",
    remedy="give every channel the same waits in the same order",
    cause="the channels stand at different waits for ever: {all}",
)
ENDED = Rule(
    "waits",
    "ended",
    Severity.ERROR,
    what="A channel waits for one that has ended.",
    why="The channel stands for ever; the other has finished and will not come.",
    example="upper: M701 M702 M30\nlower: M701 M30",
    remedy="add the missing wait to the channel that ends, or take it from this one",
    cause="{a} waits for a channel that has ended",
)

RULES = (DEADLOCK, ENDED)


def met(here: Sequence[Stretch]) -> list[int]:
    """The channels whose wait is met: every channel that it names stands at a wait with the same number."""
    numbers = [s.node.number if s.node.kind == "wait" else None for s in here]
    return [
        channel
        for channel, number in enumerate(numbers)
        if number is not None and all(c >= 0 and numbers[c] == number for c in here[channel].node.named)
    ]


def hopeless(here: Sequence[Node]) -> set[int]:
    """The channels that will never be let go: they wait for one that has ended, or for each other."""
    lost, ring = _lost_and_ring(here)
    return lost | ring


def stuck(here: Sequence[Node]) -> Iterator[tuple[Rule, tuple[Place, ...]]]:
    """What a state shows: each channel that waits for an ended one, and the channels that wait for each other."""
    lost, ring = _lost_and_ring(here)
    for channel in sorted(lost):
        yield ENDED, (Place(channel, here[channel].step),)
    if ring:
        yield DEADLOCK, tuple(Place(c, here[c].step) for c in sorted(ring))


def _lost_and_ring(here: Sequence[Node]) -> tuple[set[int], set[int]]:
    """Channels that wait for an ended one; and of the others the most that each wait for another at another number."""
    waiting = {c: n for c, n in enumerate(here) if n.kind == "wait"}
    lost = {c for c, n in waiting.items() if any(o < 0 or here[o].kind == "end" for o in n.named)}
    ring = set(waiting) - lost
    while True:
        held = {c for c in ring if any(o in ring and here[o].number != waiting[c].number for o in waiting[c].named)}
        if held == ring:
            return lost, ring
        ring = held
