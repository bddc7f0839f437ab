"""The edits of a pair at its control: its latest copy against the baseline it descends from, and what was decided.

Everything that speaks of edits asks here, so that an edit has one id everywhere.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from gemel.edits.compare import baseline_of, compare
from gemel.edits.records import read_records, standing
from gemel.history import PairName, latest_intake
from gemel.machines.dialect import dialect_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.edits.compare import Baseline
    from gemel.edits.model import Comparison, Edit, Verb
    from gemel.edits.records import Record
    from gemel.history import ChannelCopy, Intake, Repository
    from gemel.machines.schema import Machine
    from gemel.shop.layout import Shop

__all__ = ["EditedChannel", "EditedPair", "compare_channel", "compared", "decisions", "edited_pair"]


@dataclass(frozen=True, slots=True)
class EditedChannel:
    """One channel of a copy, held against its baseline.

    Attributes:
        copy: copy, baseline and record.
        baseline: read for comparing.
        found: what differs.
    """

    copy: ChannelCopy
    baseline: Baseline
    found: Comparison

    @property
    def stamp(self) -> str:
        """Of the baseline."""
        return next(iter(self.copy.record.stamp.values()), "")


@dataclass(frozen=True, slots=True)
class EditedPair:
    """The latest copy of a pair from one control.

    Attributes:
        name: which pair.
        intake: when, by whom, from where.
        channels: by name, in the machine file's order.
        decided: decisions that stand for this pair, by id of the edit.
    """

    name: PairName
    intake: Intake
    channels: Mapping[str, EditedChannel]
    decided: Mapping[str, Record]

    @property
    def edits(self) -> tuple[Edit, ...]:
        """All edits, channel by channel."""
        return tuple(edit for channel in self.channels.values() for edit in channel.found.edits)

    @property
    def undecided(self) -> tuple[Edit, ...]:
        """Those that nobody has decided about."""
        return tuple(edit for edit in self.edits if edit.id not in self.decided)

    def verb_of(self, edit: Edit) -> Verb | None:
        """What became of an edit; None while it is undecided."""
        record = self.decided.get(edit.id)
        return record.verb if record else None


def compare_channel(machine: Machine, name: str, copy: ChannelCopy) -> EditedChannel:
    """One channel's copy against its baseline; operations go by the family's ids where the record knows them."""
    file = next((file for file in copy.record.texts if file.endswith(machine.channels[name].suffix)), "")
    titles = copy.record.titles.get(file)
    baseline = baseline_of(copy.baseline, dialect_of(machine, name), titles=titles)
    return EditedChannel(copy, baseline, compare(baseline, copy.text))


def edited_pair(shop: Shop, repository: Repository, machine: Machine, name: PairName) -> EditedPair | None:
    """The latest copy of a pair from its control, compared; None when it never came back.

    Raises:
        Findings: `side:unreadable`, or faults of the family's file of decisions.
    """
    intake = latest_intake(repository, name)
    return None if intake is None else compared(shop, machine, name, intake)


def compared(shop: Shop, machine: Machine, name: PairName, intake: Intake) -> EditedPair:
    """Copies of a pair, compared.

    Raises:
        Findings: faults of the family's file of decisions.
    """
    known = [channel for channel in machine.channels if channel in intake.channels]
    channels = {channel: compare_channel(machine, channel, intake.channels[channel]) for channel in known}
    stands = standing(decisions(shop, name.family), name.member, name.machine)
    return EditedPair(name, intake, channels, stands)


def decisions(shop: Shop, family: str) -> tuple[Record, ...]:
    """All decisions about edits of a family, oldest first.

    Raises:
        Findings: faults of the file.
    """
    file = f"families/{family}.edits.yaml"
    if not (shop.root / file).is_file():
        return ()
    text = shop.read(file)
    return read_records(text.text, text.name)
