"""What edits do to a pair: findings that came and went, seconds of a part, and which edit brings what.

Takes the texts of a pair before and after and what was found to differ; believes texts and machine file alone.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from gemel.edits.keeping import Circumstances, kept_edit
from gemel.edits.replay import replay
from gemel.findings import Severity
from gemel.machines.dialect import dialect_of
from gemel.proving import prove
from gemel.proving.for_people import in_parts
from gemel.reading.blocks import read
from gemel.reading.channel import ChannelText
from gemel.reading.words import parts_of
from gemel.timing import time_texts

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from gemel.cutting.facts import CuttingFacts
    from gemel.edits.model import Edit
    from gemel.edits.replay import Replayed
    from gemel.edits.side import Side
    from gemel.edits.spelling import Speller
    from gemel.findings import Label
    from gemel.machines.schema import Machine
    from gemel.proving import Fault, Verdict
    from gemel.timing import Timeline

__all__ = ["Before", "Bench", "Change", "between", "concerns"]

_WEIGHT = {Severity.ERROR: 0, Severity.WARNING: 1, Severity.NOTE: 2}
_AS_IT_IS = Circumstances("", "", "baseline", "", "", "")


class Before(NamedTuple):
    """One channel before: name of its program, its bytes, and it read for comparing."""

    name: str
    data: bytes
    side: Side


class Change(NamedTuple):
    """What two verdicts differ in.

    Attributes:
        new: findings that came, errors first, and first of these what is to be mended first.
        gone: findings that went, errors first.
        both: how many are in both.
        following: those of `new` that may come from another one alone.
    """

    new: tuple[Fault, ...]
    gone: tuple[Fault, ...]
    both: int
    following: frozenset[int] = frozenset()

    def may_follow(self, fault: Fault) -> bool:
        """Whether a new finding may come from another one alone."""
        return id(fault) in self.following

    @property
    def errors(self) -> tuple[Fault, ...]:
        """New errors."""
        return tuple(fault for fault in self.new if fault.is_error)


def between(before: Verdict, after: Verdict, spellers: Mapping[str, Speller]) -> Change:
    """The findings that came and went.

    Two findings are the same when rule, code and the meaning of the blocks agree, wherever these stand.

    Args:
        before: verdict on the pair as it was.
        after: verdict on the pair as it is.
        spellers: of each channel, for the meaning of blocks.
    """
    parts = in_parts(after)
    ordered = [fault for part in parts for fault in part.faults]
    old, new = ([(_identity(fault, spellers), fault) for fault in found] for found in (before.findings, ordered))
    came, went = _unmatched(new, old), _unmatched(old, new)
    following = {id(fault) for part in parts if part.in_short for fault in part.faults}
    return Change(came, went, len(new) - len(came), frozenset(following & {id(fault) for fault in came}))


def _unmatched(these: Sequence[tuple[object, Fault]], those: Sequence[tuple[object, Fault]]) -> tuple[Fault, ...]:
    """The findings of `these` that have no partner among `those`."""
    left = Counter(identity for identity, _ in those)
    found = []
    for identity, fault in these:
        left[identity] -= 1
        if left[identity] < 0:
            found.append(fault)
    return tuple(sorted(found, key=lambda fault: _WEIGHT[fault.severity]))


def _identity(fault: Fault, spellers: Mapping[str, Speller]) -> object:
    blocks = frozenset(Counter(_meaning(label, spellers) for label in fault.labels).items())
    return fault.name, fault.severity, fault.skipped, blocks


def _meaning(label: Label, spellers: Mapping[str, Speller]) -> tuple[str, str]:
    speller = spellers.get(label.channel)
    text = label.text.strip()
    return label.channel, speller.block(text, parts_of(text)).key if speller else text


def concerns(fault: Fault, edit: Edit) -> bool:
    """Whether a finding about the copy names a line of an edit."""
    first, last = edit.where.copy, edit.where.copy_to or edit.where.copy
    if first is None or last is None:
        return False
    lines = (label.span.line for label in fault.labels if label.channel == edit.anchor.channel)
    return any(first <= line <= last for line in lines)


@dataclass(slots=True)
class Bench:
    """A pair before its edits, on which some of them can be tried.

    Attributes:
        machine: it runs on.
        channels: of each channel its program before.
        cutting: what is known of material and tools.
    """

    machine: Machine
    channels: Mapping[str, Before]
    cutting: CuttingFacts | None
    _texts: dict[str, ChannelText] = field(default_factory=dict, init=False)

    def __post_init__(self) -> None:
        self._texts = {name: self._text(name, before.data) for name, before in self.channels.items()}

    def verdict(self, changed: Mapping[str, bytes] | None = None) -> Verdict:
        """The proof of the pair, with other programs in some channels."""
        data = changed or {}
        programs = {name: (before.name, data.get(name, before.data)) for name, before in self.channels.items()}
        return prove(programs, self.machine, (), self.cutting)

    def timeline(self, changed: Mapping[str, bytes] | None = None) -> Timeline:
        """The pair in time, with other programs in some channels."""
        texts = {name: self._text(name, data) for name, data in (changed or {}).items()}
        return time_texts({**self._texts, **texts}, self.machine)

    def with_only(self, edits: Iterable[Edit]) -> dict[str, bytes] | None:
        """The programs of the channels concerned with these edits in and no others; None where one finds no place."""
        made = self._made(edits)
        whole = all(not (one.stranded or one.settled) for one in made.values())
        return {name: one.data for name, one in made.items()} if whole else None

    def with_most(self, edits: Iterable[Edit]) -> dict[str, bytes]:
        """The same with as many of the edits in as find their places."""
        return {name: one.data for name, one in self._made(edits).items()}

    def _made(self, edits: Iterable[Edit]) -> dict[str, Replayed]:
        by_channel: dict[str, list[Edit]] = {}
        # What is put in behind a block finds it before that block goes.
        for edit in sorted(edits, key=lambda edit: bool(edit.old) + (not edit.new)):
            by_channel.setdefault(edit.anchor.channel, []).append(edit)
        found = {}
        for name, mine in by_channel.items():
            before = self.channels[name]
            kept = [kept_edit(edit, before.side, _AS_IT_IS) for edit in mine]
            titles = before.side.outline.titles()
            base = {_AS_IT_IS.baseline: before.data}
            found[name] = replay(before.data, titles, before.side.speller, kept, base)
        return found

    def _text(self, channel: str, data: bytes) -> ChannelText:
        dialect = dialect_of(self.machine, channel)
        return ChannelText(dialect, (read(data, self.channels[channel].name),))
