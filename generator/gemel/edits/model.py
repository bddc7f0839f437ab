"""An edit, what a comparison gives, what was decided, and what is kept."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field
from enum import StrEnum
from typing import NamedTuple

__all__ = ["Anchor", "Comparison", "Decision", "Edit", "KeptEdit", "Kind", "Stranded", "Verb", "Where"]

_ID_LENGTH = 8


class Kind(StrEnum):
    """What an edit is about; the order is that of risk, the gravest first."""

    WAIT_REMOVED = "wait removed"
    WAIT_ADDED = "wait added"
    WAIT_MOVED = "wait moved"
    WAIT_CHANGED = "wait changed"
    TOOL = "tool"
    OFFSET = "offset"
    CODE = "code"
    BLOCK_REMOVED = "block removed"
    BLOCK_ADDED = "block added"
    BLOCK_MOVED = "block moved"
    BLOCK_CHANGED = "block changed"
    BLOCK_SKIP = "block skip"
    POSITION = "position"
    DEPTH = "depth"
    LEAD = "lead"
    SPEED = "speed"
    SPEED_LIMIT = "speed limit"
    FEED = "feed"
    PECK = "peck"
    NUMBER = "number"
    PROGRAM_NUMBER = "program number"
    STOP = "program stop"
    OPTIONAL_STOP = "optional stop"
    DWELL = "dwell"
    COMMENT = "comment"

    @property
    def risk(self) -> int:
        """Place in the order of risk, 0 the gravest."""
        return list(Kind).index(self)


class Anchor(NamedTuple):
    """Where an edit belongs, by ids and never by line number.

    Attributes:
        channel: as the machine file names it.
        stage: 1-based row of the stage table, 0 before the first wait mark.
        operation: id in the family, or what the program calls it where no family is at hand; empty outside of one.
        block: the baseline's block in canonical spelling; for something added the block that it stands behind,
            empty for the beginning of the operation or stage.
        nth: which of equal blocks in this operation and stage, from 1.
        word: letter of the word, a code for one of several G or M words (`G99`), `/` for block skip, `(` for a
            comment; empty for a whole block.
    """

    channel: str
    stage: int
    operation: str
    block: str
    nth: int
    word: str = ""


class Where(NamedTuple):
    """Lines of an edit, 1-based; None where that text has no such block. `copy_to` is the last line of several."""

    baseline: int | None
    copy: int | None
    baseline_to: int | None = None
    copy_to: int | None = None


@dataclass(frozen=True, slots=True)
class Edit:
    """One meaningful difference between two texts of a program.

    Attributes:
        id: eight hexadecimal digits over anchor and content; the same in every comparison that finds this edit.
        kind: what it is about.
        anchor: where it belongs.
        old: word, blocks (a line each) or comment in the baseline; empty for something added.
        new: the same in the copy; empty for something removed.
        where: lines in both texts.
        target: for a move the anchor of the block behind which it now stands.
        said: one sentence in shop words, with size.
        size: the size alone, `20 % slower`; empty where there is none to tell.
        place: stage and operation in words.
        blocks: how many blocks it concerns.
    """

    id: str
    kind: Kind
    anchor: Anchor
    old: str
    new: str
    where: Where
    target: Anchor | None = None
    said: str = ""
    size: str = ""
    place: str = ""
    blocks: int = 1

    @classmethod
    def identify(cls, anchor: Anchor, kind: Kind, old: str, new: str, target: Anchor | None = None) -> str:
        """The id of an edit with this anchor and content; lines and stage numbers do not enter."""
        parts = [kind.value, old, new]
        for place in (anchor, target):
            if place is not None:
                parts += [place.channel, place.operation, place.block, str(place.nth), place.word]
        return hashlib.sha256("\x1f".join(parts).encode()).hexdigest()[:_ID_LENGTH]


@dataclass(frozen=True, slots=True)
class Comparison:
    """What two texts of one program differ in.

    Attributes:
        channel: whose program it is.
        edits: in the order of the baseline's blocks.
        blocks: how many blocks each text has, baseline first; comments and wrapper are none.
        same: how many blocks of the baseline stand in the copy with the same meaning.
        respelled: how many of those are written differently.
        renumbered: whether sequence numbers differ.
        comments_lost: how many comments are cut or gone, which is no edit.
        wrapped: how many blocks of the baseline stand on several lines in the copy.
    """

    channel: str
    edits: tuple[Edit, ...]
    blocks: tuple[int, int] = (0, 0)
    same: int = 0
    respelled: int = 0
    renumbered: bool = False
    comments_lost: int = 0
    wrapped: int = 0

    @property
    def is_same(self) -> bool:
        """Whether both texts mean the same."""
        return not self.edits


class Verb(StrEnum):
    """What becomes of an edit."""

    INTO_FAMILY = "into family"
    KEEP = "keep"
    DROP = "drop"


@dataclass(frozen=True, slots=True)
class Decision:
    """What was decided about an edit.

    Attributes:
        edit: its id.
        verb: what becomes of it.
        by: who decided. when: ISO date. why: the reason given.
        changes: for `into family` the YAML values that were changed, `operations.face.cutting.feed: 0.2 -> 0.15`.
    """

    edit: str
    verb: Verb
    by: str
    when: str
    why: str
    changes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class KeptEdit:
    """An edit that every regeneration carries on; a record of `families/<family>.edits.yaml`.

    Attributes:
        id: of the edit it was made from.
        member, machine: of which pair.
        kind: what it is about.
        anchor: where it belongs, in the baseline that it was decided on.
        old, new, target: as in `Edit`.
        baseline: stamp of that baseline; empty when it had none.
        block: which block of that baseline the anchor's is, from 1; comments are none. None where it names no block.
            Headers may differ between baselines of one stamp; the count of blocks does not.
        target_block: the same for the target.
        by, when, why: of the decision.
    """

    id: str
    member: str
    machine: str
    kind: Kind
    anchor: Anchor
    old: str
    new: str
    target: Anchor | None = None
    baseline: str = ""
    block: int | None = None
    target_block: int | None = None
    by: str = ""
    when: str = ""
    why: str = ""


@dataclass(frozen=True, slots=True)
class Stranded:
    """A kept edit that does not find its place on a new baseline, with both sides.

    Attributes:
        edit: the kept edit.
        reason: one sentence: the place is gone, or the same word was changed by both.
        ours: what the new baseline has there, empty where the place is gone.
        line: of that block in the new baseline, None where the place is gone.
        near: blocks of the new baseline around where it would be, for showing.
    """

    edit: KeptEdit
    reason: str
    ours: str = ""
    line: int | None = None
    near: tuple[str, ...] = field(default=())
