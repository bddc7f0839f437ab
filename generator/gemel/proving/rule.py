"""What a rule is made of: its entry in the table of codes, the sentence of its cause, and the moment it looks at."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from gemel.findings import Explanation

if TYPE_CHECKING:
    from gemel.proving.facts import Facts
    from gemel.proving.shared import Deed, Shared

__all__ = ["Moment", "Place", "Rule"]


@dataclass(frozen=True, slots=True)
class Rule(Explanation):
    """A code of the table with the sentence of its cause.

    Attributes:
        cause: the cause; `{a}` and `{b}` stand for the first and the second block concerned, `{detail}` for more.
    """

    cause: str = ""


class Place(NamedTuple):
    """One block of one channel's run.

    Attributes:
        channel: index of the channel in the model.
        step: index of the step in the channel's unrolled run.
    """

    channel: int
    step: int


class Moment(NamedTuple):
    """One deed being done, as the rules of the family `holding` see it.

    Attributes:
        deed: what is done.
        before: shared state before it.
        after: shared state behind it.
        opened_by_block: sides whose clamp the same block has opened, this deed included.
        joined_at_start: whether the joined part was held when the block began.
        first_parts: whether this is the first pass of a pair whose channels all repeat.
        facts: of the machine.
    """

    deed: Deed
    before: Shared
    after: Shared
    opened_by_block: int
    joined_at_start: bool
    first_parts: bool
    facts: Facts

    @property
    def excused(self) -> bool:
        """Whether the right spindle cannot have had a part yet, because the pair has only just started."""
        return self.first_parts and not self.before.had_part
