"""Edits that are settled by one decision, as one row."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from gemel.edits.model import Kind

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from gemel.edits.model import Edit, Verb
    from gemel.edits.records import Record
    from gemel.proving import Fault
    from gemel.shop.edited import EditedPair
    from gemel.shop.tracing import Proposal

__all__ = ["Row", "proposal_said", "rows_of"]

_HIGH, _MEDIUM = Kind.BLOCK_CHANGED.risk, Kind.PECK.risk


@dataclass(frozen=True, slots=True)
class Row:
    """Edits that are one thing to decide about.

    Attributes:
        family: that the pair is a member of.
        edits: they, in the order of the text.
        record: what was decided; None while it is not.
        proposals: values of the YAML that explain all of them, the likeliest first.
        faults: new findings that name their lines, or that they bring alone.
        alone: whether they bring one of these errors without any other edit.
        seconds: what a part takes longer with them alone; None where it cannot be told.
        time: the same in words, or why it is not told: `hangs`, `not alone`.
    """

    family: str
    edits: tuple[Edit, ...]
    record: Record | None
    proposals: tuple[Proposal, ...] = ()
    faults: tuple[Fault, ...] = ()
    seconds: float | None = None
    time: str = ""
    alone: bool = False

    @property
    def kind(self) -> Kind:
        """The gravest kind among them."""
        return min((edit.kind for edit in self.edits), key=lambda kind: kind.risk)

    @property
    def verb(self) -> Verb | None:
        """What became of them; None while they are undecided."""
        return self.record.verb if self.record else None

    @property
    def verdict(self) -> str:
        """The same as a word."""
        return self.verb.value if self.verb else "undecided"

    @property
    def risk(self) -> str:
        """`error` or `warning` for what brings a new finding of that weight; else `high`, `medium`, `low` by kind."""
        weights = {fault.severity.value for fault in self.faults}
        found = next((word for word in ("error", "warning") if word in weights), "")
        if found:
            return found
        return "high" if self.kind.risk <= _HIGH else "medium" if self.kind.risk <= _MEDIUM else "low"

    @property
    def accused(self) -> str:
        """The findings that speak of them, in words; empty without."""
        codes = ", ".join(dict.fromkeys(fault.name for fault in self.faults))
        return f"{'brings, alone already:' if self.alone else 'named in'} {codes}" if codes else ""

    @property
    def said(self) -> str:
        """One sentence in shop words, with size, seconds, and how many there are."""
        sentences = dict.fromkeys(edit.said for edit in self.edits)
        first = next(iter(sentences))
        more = len(self.edits) - 1
        if more and len(sentences) == 1:
            first += f", {len(self.edits)} times"
        elif more:
            first += f", and {more} more"
        return f"{first}, {self.time} per part" if self.time.endswith(" s") else first

    @property
    def place(self) -> str:
        """Channels, stages and operations."""
        channels = dict.fromkeys(edit.anchor.channel for edit in self.edits)
        places = list(dict.fromkeys(edit.place for edit in self.edits))
        more = f" and {len(places) - 2} more" if len(places) > 2 else ""
        return f"{', '.join(channels)}: {'; '.join(places[:2])}{more}"

    @property
    def lines(self) -> str:
        """Lines of the first one in both texts, `47 > 46`."""
        where = self.edits[0].where
        more = f" (+{len(self.edits) - 1})" if len(self.edits) > 1 else ""
        return f"{_range(where.baseline, where.baseline_to)} > {_range(where.copy, where.copy_to)}{more}"

    @property
    def changes(self) -> tuple[str, ...]:
        """Values of the YAML: those that a decision changed, else those that are proposed, with what else they do."""
        if self.record is not None:
            return self.record.changes
        return tuple(proposal_said(proposal, self.family) for proposal in self.proposals)


def _range(first: int | None, last: int | None) -> str:
    if first is None:
        return "-"
    return str(first) if last in (None, first) else f"{first}-{last}"


def proposal_said(proposal: Proposal, family: str) -> str:
    """`operations.turn.cutting.feed: 0.25 -> 0.2 (12 edits; also 3 words in 50)`."""
    count = len(proposal.explains)
    said = [f"{count} edit{'' if count == 1 else 's'}"]
    by_count: dict[int, list[str]] = {}
    for member, words in proposal.others.items():
        by_count.setdefault(words, []).append(member)
    for words, members in by_count.items():
        each = " each" if len(members) > 1 else ""
        said.append(f"also changes {words} word{'' if words == 1 else 's'}{each} in {', '.join(members)}")
    guess = proposal.guess
    if not guess.path and guess.at.file != f"families/{family}.yaml":
        said.append("other families use it too")
    return f"{proposal.shown()} ({'; '.join(said)})"


def rows_of(pair: EditedPair, proposals: Mapping[str, tuple[Proposal, ...]], *, single: bool) -> list[Row]:
    """The edits of a pair in rows, in the order of the texts.

    Args:
        pair: compared.
        proposals: what explains each edit, by its id.
        single: make every edit a row of its own.
    """
    groups: dict[tuple[object, ...], list[Edit]] = {}
    for edit in pair.edits:
        key = (edit.id,) if single else _key(edit, pair.decided.get(edit.id), proposals.get(edit.id, ()))
        groups.setdefault(key, []).append(edit)
    return [
        Row(pair.name.family, tuple(group), pair.decided.get(group[0].id), _common(group, proposals))
        for group in groups.values()
    ]


def _key(edit: Edit, record: Record | None, proposals: Iterable[Proposal]) -> tuple[object, ...]:
    """What edits of one row share."""
    if record is not None:
        decided = (record.verb, record.edit.by, record.edit.why, record.changes)
        return (*decided, *(() if record.changes else _alike(edit)))
    likeliest = next(iter(proposals), None)
    if likeliest is not None:
        return (likeliest.guess,)
    return _alike(edit)


def _alike(edit: Edit) -> tuple[object, ...]:
    place = edit.anchor
    return edit.kind, place.channel, place.stage, place.operation, place.word, edit.old, edit.new


def _common(group: list[Edit], proposals: Mapping[str, tuple[Proposal, ...]]) -> tuple[Proposal, ...]:
    """What explains the first of a group, as far as it explains all of it."""
    ids = {edit.id for edit in group}
    return tuple(one for one in proposals.get(group[0].id, ()) if ids <= set(one.explains))
