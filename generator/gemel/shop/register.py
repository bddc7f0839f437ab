"""The baselines of a shop as a register: by stamp, by program number, by name; and which is nearest to a copy."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from gemel.findings import Findings
from gemel.history.baselines import Known, load_baseline
from gemel.history.intake import read_intake
from gemel.history.record import PairName, digest
from gemel.shop.recognise import likeness, words_of

if TYPE_CHECKING:
    from collections import Counter
    from collections.abc import Iterable, Mapping
    from pathlib import Path

    from gemel.history import SideBranch
    from gemel.machines.schema import Machine

__all__ = ["Named", "Register"]


@dataclass(frozen=True, slots=True)
class Named:
    """A baseline with its programs by channel.

    Attributes:
        known: which it is.
        texts: program by channel.
    """

    known: Known
    texts: Mapping[str, bytes]


@dataclass(slots=True)
class Register:
    """Every baseline that a shop knows, for one control.

    Attributes:
        shop: the shop's folder.
        side: the control's side branch.
        machine: the control's machine.
        known: baselines for any machine, those in `output/` first, then the newest.
    """

    shop: Path
    side: SideBranch
    machine: Machine
    known: list[Known]
    _texts: dict[bytes, Named | None] = field(default_factory=dict, init=False)
    _words: dict[str, Counter[str]] = field(default_factory=dict, init=False)

    @property
    def ours(self) -> list[Known]:
        """The baselines for this machine."""
        return [known for known in self.known if known.name.machine == self.machine.machine]

    def stamps(self) -> frozenset[str]:
        """Every stamp that a baseline for any machine bears."""
        return frozenset(stamp for known in self.known for stamp in known.stamps)

    def pairs(self) -> list[PairName]:
        """Every pair for this machine, each once."""
        return list(dict.fromkeys(known.name for known in self.ours))

    def with_stamp(self, stamp: str) -> list[Known]:
        """Baselines whose stamp begins so, those for this machine first."""
        found = [known for known in self.known if any(full.startswith(stamp) for full in known.stamps)]
        return sorted(found, key=lambda known: known.name.machine != self.machine.machine)

    def numbered(self, number: int) -> list[PairName]:
        """The pairs whose latest baseline has this program number; without one those that once had it."""
        latest = [known for known in self._latest() if known.record.program == number]
        return [known.name for known in latest] or list(
            dict.fromkeys(known.name for known in self.ours if known.record.program == number)
        )

    def _latest(self) -> list[Known]:
        first: dict[PairName, Known] = {}
        for known in self.ours:
            first.setdefault(known.name, known)
        return list(first.values())

    def load(self, known: Known) -> Named | None:
        """A baseline with its programs; None where they cannot be read."""
        if known.raw_record not in self._texts:
            self._texts[known.raw_record] = self._load(known)
        return self._texts[known.raw_record]

    def _load(self, known: Known) -> Named | None:
        try:
            texts = load_baseline(self.shop, self.side.repository, known).texts
        except Findings:
            return None
        channels = {self._channel_of(file): data for file, data in texts.items()}
        return Named(known, {channel: data for channel, data in channels.items() if channel})

    def _channel_of(self, file: str) -> str:
        """The channel whose program a file of a baseline is; its suffix may have been another one then."""
        facts = self.machine.channels
        fitting = [name for name, channel in facts.items() if file.endswith(str(channel.suffix))]
        return (fitting or [name for name in facts if f".{name}." in file] or [""])[0]

    def beside_earlier_copies(self, stamp: str) -> Named | None:
        """The baseline with this stamp that lies beside an earlier copy, where no branch has it any more."""
        stems = {path.partition("/")[0] for path in self.side.files if path.endswith("/intake.json")}
        for name in self._pairs_aside(stems):
            intake = read_intake(self.side, name)
            channels = intake.channels.values() if intake else ()
            fitting = {c.channel: c for c in channels if stamp in c.record.stamp.values()}
            if fitting:
                one = next(iter(fitting.values()))
                known = Known(name, one.record, one.record.to_bytes(), one.given.commit if one.given else "")
                return Named(known, {channel: c.baseline for channel, c in fitting.items()})
        return None

    def _pairs_aside(self, stems: Iterable[str]) -> list[PairName]:
        facts = self.side.read_json(f"{stem}/intake.json" for stem in sorted(stems))
        return [PairName(self.side.machine, str(v.get("family")), str(v.get("member"))) for v in facts.values()]

    def nearest(self, pair: PairName, channel: str, data: bytes) -> Named | None:
        """The baseline of a pair whose program for a channel is most like a copy; of equals the newest."""
        found = [named for known in self.ours if known.name == pair and (named := self.load(known)) is not None]
        fitting = [named for named in found if channel in named.texts]
        wanted = words_of(data)
        return max(fitting, key=lambda named: likeness(wanted, self._words_of(named.texts[channel])), default=None)

    def channels_like(self, named: Named, data: bytes) -> dict[str, float]:
        """How much a copy is like each channel's program of a baseline, 0 to 1."""
        wanted = words_of(data)
        return {channel: likeness(wanted, self._words_of(text)) for channel, text in named.texts.items()}

    def _words_of(self, data: bytes) -> Counter[str]:
        key = digest(data)
        if key not in self._words:
            self._words[key] = words_of(data)
        return self._words[key]
