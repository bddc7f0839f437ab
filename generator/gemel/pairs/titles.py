"""What an operation is called in the program: what is made, in the drawing's sizes, and with which tool.

A title is a list of words and numbers; the numbers keep their origin, so that a title can be asked as well.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.families.features import Flats, Groove, Slot, ThreadFeature
from gemel.families.holes import AxialHole, BoltCircle, Bore, CrossHole, Hole
from gemel.pairs.plan import Size

if TYPE_CHECKING:
    from gemel.families.part import Part
    from gemel.pairs.plan import TitlePart

__all__ = ["short_title", "title_of"]


def short_title(operation: str, part: Part) -> str:
    """The operation in a few words: its own title, else its id spelled as words."""
    own = part.operations[operation].title
    return str(own) if own else operation.replace("-", " ").replace("_", " ")


def title_of(operation: str, part: Part, tool: str) -> tuple[TitlePart, ...]:
    """What is made and with which tool: `4 FLATS ACROSS `, 14.978, `, END MILL 12`.

    No two operations of a channel are called the same: where two make the same with the same tool, each says its id.
    """
    made = _own(operation, part)
    if _has_twin(operation, part):
        made = (*made, ", ", operation.replace("-", " ").replace("_", " "))
    return (*made, ", ", tool) if tool else made


def _own(operation: str, part: Part) -> tuple[TitlePart, ...]:
    work = part.operations[operation]
    return (work.title,) if work.title else _made(operation, work.process, part)


def _has_twin(operation: str, part: Part) -> bool:
    """Whether another operation of this channel would be called the same."""
    work, own = part.operations[operation], _own(operation, part)
    return any(
        (other.channel, other.tool) == (work.channel, work.tool) and _own(name, part) == own
        for name, other in part.operations.items()
        if name != operation
    )


def _made(operation: str, process: str, part: Part) -> tuple[TitlePart, ...]:
    feature = part.features.get(part.operations[operation].feature)
    verb = process.replace("_", " ")
    match feature:
        case Flats() if process == "mill_flats":
            return (feature.count, " FLATS ACROSS ", Size(feature.across_mm))
        case Slot() if process == "mill_slot":
            return ("SLOT ", Size(feature.width_mm), " WIDE, ", Size(feature.depth_mm), " DEEP")
        case CrossHole():
            count = len(feature.positions()) * max(1, len(feature.angles()))
            return (f"{_verb(verb)} {count} CROSS HOLE{'S' if count > 1 else ''} ", *_size(feature, process))
        case BoltCircle():
            return (f"{_verb(verb)} {len(feature.angles())} HOLES ", *_size(feature, process), *_on(feature))
        case AxialHole():
            return (f"{_verb(verb)} HOLE ", *_size(feature, process))
        case Bore() if process == "bore":
            return ("BORE ", Size(feature.dia_mm), ", ", Size(feature.depth_mm), " DEEP")
        case Groove() if process == "groove":
            return ("GROOVE ", Size(feature.width_mm), " WIDE TO ", Size(feature.dia_mm))
        case ThreadFeature():
            return (f"THREAD {feature.thread}",)
        case _:
            return (short_title(operation, part),)


def _verb(process: str) -> str:
    for word in ("spot", "drill", "chamfer", "tap"):
        if word in process:
            return word
    return process


def _size(hole: Hole, process: str) -> tuple[TitlePart, ...]:
    if hole.thread is not None and "drill" in process:
        return (Size(hole.drilled_dia_mm), f" FOR {hole.thread}")
    if hole.thread is not None:
        return (str(hole.thread),)
    return (Size(hole.drilled_dia_mm),)


def _on(feature: BoltCircle) -> tuple[TitlePart, ...]:
    return (" ON CIRCLE ", Size(feature.circle_dia_mm))
