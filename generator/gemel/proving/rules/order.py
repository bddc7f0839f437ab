"""The family `order`: two channels command one thing in blocks that no wait orders."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.findings import Severity
from gemel.proving.deeds import THINGS
from gemel.proving.rule import Rule

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["RULES", "both"]

_EXAMPLES = {
    "spindle-left": "upper: M05\nlower: M03",
    "spindle-right": "upper: M205\nlower: M203",
    "clamp-left": "upper: M68\nlower: M69",
    "clamp-right": "upper: M168\nlower: M169",
    "C-axis-left": "upper: C90.\nlower: M45",
    "C-axis-right": "upper: G55 C90.\nlower: M145",
    "slide": "upper: G53 A0.\nlower: G53 A-300.",
    "catcher": "upper: M74\nlower: M73",
    "synchronisation": "upper: M132\nlower: M131",
    "bar-feed": "upper: M70\nlower: M70",
}


def _rule(thing: str) -> Rule:
    words = thing.replace("-", " ")
    return Rule(
        "order",
        thing,
        Severity.ERROR,
        what=f"Two channels command the {words} in blocks that no wait orders, whatever the outcome.",
        why="Which of the two comes last is chance: it runs well today, and otherwise after a touch of the override.",
        example=_EXAMPLES[thing],
        remedy="let one channel own it, or set a wait between the two blocks",
        cause=f"{{a}} and {{b}} both command the {words}, and no wait orders them",
    )


RULES = tuple(_rule(thing) for thing in THINGS)


def both(one: int, other: int) -> Iterator[Rule]:
    """The rules for things that two blocks both command, given as bits."""
    common = one & other
    for bit, rule in enumerate(RULES):
        if common >> bit & 1:
            yield rule
