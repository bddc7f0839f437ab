"""`families/<family>.edits.yaml`: what was decided about edits, in the order in which it was decided.

A file that people read and git compares. Records are only ever added at its end; the last one about an edit of a pair
counts. Nothing that stands in the file is written anew, so comments and spelling of it stay.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING, Literal

from pydantic import Field

from gemel.documents import Strict, compose, validate
from gemel.edits.model import Anchor, Decision, KeptEdit, Kind, Verb

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = ["EditsFile", "Record", "append_records", "read_records", "standing"]

_HEAD = """\
# yaml-language-server: $schema=../docs/schema/edits.json
# Edits from the control and what was decided about them. `gemel decide` adds records at the end; `gemel write` sets
# the kept ones in again. The last record about an edit of a pair counts.

family: {family}
decisions:
"""


class PlaceRecord(Strict):
    """Where an edit belongs, by ids and never by line."""

    channel: str
    """Channel, as the machine file names it."""
    stage: int
    """Row of the stage table from 1, 0 before the first wait mark, when it was decided."""
    operation: str = ""
    """Id of the operation; empty outside of one."""
    block: str = ""
    """Block of the baseline as typed; for something added the block that it stands behind."""
    nth: int = 1
    """Which of equal blocks in this operation and stage, from 1."""
    word: str = ""
    """Letter or code of the word, `/` for block skip, `(` for a comment; empty for a whole block."""
    no: int | None = None
    """Which block of the baseline it is, from 1; comments are none."""

    def anchor(self) -> Anchor:
        """As the edits know it."""
        return Anchor(
            str(self.channel), int(self.stage), str(self.operation), str(self.block), self.nth, str(self.word)
        )


class EditRecord(Strict):
    """One edit that a decision is about."""

    id: str
    """Id of the edit."""
    kind: str
    """What the edit is about: feed, speed, wait removed ..."""
    said: str = ""
    """The edit in shop words."""
    old: str | list[str] = ""
    """What the baseline has there; several blocks as a list."""
    new: str | list[str] = ""
    """What the control has there; several blocks as a list."""
    at: PlaceRecord
    """Where it belongs."""
    behind: PlaceRecord | None = None
    """For a move: the block behind which it now stands."""


class DecisionRecord(Strict):
    """One decision about edits of one pair."""

    decision: Literal["keep", "drop", "into family"]
    """What became of them."""
    member: str
    """Member whose program was edited."""
    machine: str
    """Machine it is written for."""
    baseline: str = ""
    """Stamp of the baseline that the edits were found against."""
    changes: list[str] = Field(default_factory=list)
    """For `into family`: the YAML values that were changed."""
    replaces: str = ""
    """Id of a kept edit that this one stands in for, after it was stranded."""
    by: str
    """Who decided."""
    when: str
    """Day, ISO 8601."""
    why: str
    """The reason given."""
    edits: list[EditRecord]
    """The edits, one line each."""


class EditsFile(Strict):
    """Decisions about the edits of a family's pairs."""

    family: str
    """Name of the family."""
    decisions: list[DecisionRecord] | None = None
    """In the order in which they were made; the last about an edit of a pair counts."""


@dataclass(frozen=True, slots=True)
class Record:
    """One decision with all that is known of its edit.

    Attributes:
        edit: the edit, with who decided, when and why.
        verb: what became of it.
        said: the edit in shop words.
        changes: for `into family` the YAML values that were changed.
        replaces: id of a stranded edit that this one stands in for.
    """

    edit: KeptEdit
    verb: Verb
    said: str = ""
    changes: tuple[str, ...] = ()
    replaces: str = ""

    @property
    def decision(self) -> Decision:
        """The decision alone."""
        edit = self.edit
        return Decision(edit.id, self.verb, edit.by, edit.when, edit.why, self.changes)


def read_records(text: str, file: str) -> tuple[Record, ...]:
    """All decisions of a family, oldest first.

    Raises:
        Findings: every fault of the file.
    """
    model = validate(EditsFile, compose(text, file))
    return tuple(_record(row, edit) for row in model.decisions or () for edit in row.edits)


def _record(row: DecisionRecord, one: EditRecord) -> Record:
    edit = KeptEdit(
        id=str(one.id),
        member=str(row.member),
        machine=str(row.machine),
        kind=Kind(str(one.kind)),
        anchor=one.at.anchor(),
        old=_joined(one.old),
        new=_joined(one.new),
        target=one.behind.anchor() if one.behind else None,
        baseline=str(row.baseline),
        block=None if one.at.no is None else int(one.at.no),
        target_block=None if one.behind is None or one.behind.no is None else int(one.behind.no),
        by=str(row.by),
        when=str(row.when),
        why=str(row.why),
    )
    return Record(edit, Verb(str(row.decision)), str(one.said), tuple(map(str, row.changes)), str(row.replaces))


def _joined(blocks: str | list[str]) -> str:
    return str(blocks) if isinstance(blocks, str) else "\n".join(map(str, blocks))


def standing(records: Iterable[Record], member: str, machine: str) -> dict[str, Record]:
    """The decisions that count for one pair, by id of the edit, in the order in which they were first made."""
    found: dict[str, Record] = {}
    for record in records:
        if (record.edit.member, record.edit.machine) == (member, machine):
            found.pop(record.replaces, None)
            found[record.edit.id] = record
    return found


def append_records(text: str, family: str, records: Iterable[Record]) -> str:
    """The text of the file with records added at its end; what stands there stays to the character.

    Args:
        text: the file as it is; empty where there is none yet.
        family: its family.
        records: what is to be added.
    """
    base = text or _HEAD.format(family=_quoted(family) if _odd(family) else family)
    if not base.endswith("\n"):
        base += "\n"
    return base + "".join(_rows(list(group)) for _, group in groupby(records, _shared))


def _shared(record: Record) -> tuple[str | tuple[str, ...], ...]:
    """What one decision has in common for all its edits."""
    edit = record.edit
    who = edit.by, edit.when, edit.why
    return (record.verb.value, edit.member, edit.machine, edit.baseline, record.changes, record.replaces, *who)


def _rows(records: list[Record]) -> str:
    """One decision as YAML, a line an edit; free text is quoted, so that no word of it is taken for anything else."""
    first, edit = records[0], records[0].edit
    pairs: list[tuple[str, str]] = [
        ("decision", first.verb.value),
        ("member", _quoted(edit.member)),
        ("machine", edit.machine),
    ]
    pairs += [("baseline", _quoted(edit.baseline))] if edit.baseline else []
    pairs += [("changes", f"[{', '.join(map(_quoted, first.changes))}]")] if first.changes else []
    pairs += [("replaces", _quoted(first.replaces))] if first.replaces else []
    pairs += [("by", _quoted(edit.by)), ("when", _quoted(edit.when)), ("why", _quoted(edit.why))]
    lines = [f"    {key}: {value}" for key, value in pairs]
    lines += ["    edits:", *(f"      - {_edit(record)}" for record in records)]
    return "  - " + "\n".join(lines)[4:] + "\n"


def _edit(record: Record) -> str:
    edit = record.edit
    words = [f"id: {_quoted(edit.id)}", f"kind: {edit.kind.value}", f"said: {_quoted(record.said)}"]
    words += [f"old: {_blocks(edit.old)}", f"new: {_blocks(edit.new)}", f"at: {_place(edit.anchor, edit.block)}"]
    words += [f"behind: {_place(edit.target, edit.target_block)}"] if edit.target else []
    return "{" + ", ".join(words) + "}"


def _place(anchor: Anchor, number: int | None) -> str:
    words = [f"channel: {anchor.channel}", f"stage: {anchor.stage}", f"operation: {_quoted(anchor.operation)}"]
    words += [f"block: {_quoted(anchor.block)}", f"nth: {anchor.nth}", f"word: {_quoted(anchor.word)}"]
    words += [f"no: {number}"] if number is not None else []
    return "{" + ", ".join(words) + "}"


def _blocks(text: str) -> str:
    return f"[{', '.join(map(_quoted, text.split(chr(10))))}]" if "\n" in text else _quoted(text)


def _quoted(text: str) -> str:
    """A double-quoted scalar; what a reader cannot see is escaped."""
    return '"' + "".join(c if c.isprintable() and c not in '"\\' else _escaped(c) for c in text) + '"'


def _escaped(character: str) -> str:
    if character in '"\\':
        return "\\" + character
    code = ord(character)
    return f"\\x{code:02X}" if code < 0x100 else f"\\U{code:08X}"


def _odd(name: str) -> bool:
    return not name.replace("-", "").replace("_", "").isalpha()
