"""Which words of a block were changed, taken away, put in."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from gemel.edits.spelling import Said, Spoken

__all__ = ["WordChange", "word_changes"]


class WordChange(NamedTuple):
    """One word: `old` None for one that was put in, `new` None for one that was taken away."""

    slot: str
    old: Said | None
    new: Said | None

    @property
    def name(self) -> str:
        """What an anchor calls the word: its letter, or the whole word where the letter alone does not tell it."""
        word = self.old or self.new
        assert word is not None
        if self.slot.startswith(("#", "?")) or self.slot[:1] in ("G", "M") or self.slot == "wait":
            return word.typed
        return self.slot


def word_changes(old: Spoken, new: Spoken) -> list[WordChange]:
    """The words that differ, in the order of the old block, then of the new one. Words that both have count as one."""
    left, right = list(old.words), list(new.words)
    texts = [word.text for word in right]
    for word in old.words:
        if word.text in texts:
            at = texts.index(word.text)
            left.remove(word)
            del texts[at], right[at]
    found = []
    for word in left:
        partner = next((other for other in right if other.slot == word.slot), None)
        if partner is not None:
            right.remove(partner)
        found.append(WordChange(word.slot, word, partner))
    return [*found, *(WordChange(word.slot, None, word) for word in right)]
