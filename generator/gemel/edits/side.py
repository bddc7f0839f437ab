"""One of two texts that are compared."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from gemel.edits.normal import Normal
    from gemel.edits.sections import Outline
    from gemel.edits.spelling import Speller, Spoken

__all__ = ["Side"]


@dataclass(slots=True)
class Side:
    """A text that is compared with another.

    Attributes:
        normal: it, stripped to its meaning.
        outline: its stages and operations.
        speller: of its channel.
    """

    normal: Normal
    outline: Outline
    speller: Speller

    def spoken(self, block: int) -> Spoken:
        """A block by its meaning."""
        normal = self.normal
        return self.speller.block(normal.text(block), normal.parts(block), normal.labels)
