"""What came back from a control: the latest copy of each pair, and the baseline that each program descends from.

On the side branch of a machine, readable with plain git:

    <family>-<member>/<channel>.nc              the program as it came, byte for byte
    <family>-<member>/baseline/<channel>.nc     the program that it descends from, as gemel wrote it
    <family>-<member>/baseline/<channel>.json   the record that lay beside that one
    <family>-<member>/intake.json               when, by whom, from which file, known by what
    received/<digest>/...                       what came and is not recognised yet (`history/received.py`)

The baseline is kept here too: no other branch has to stand for a copy to be compared.
"""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

from gemel.findings import Findings, Label, Span
from gemel.history import codes
from gemel.history.mark import without_mark
from gemel.history.record import PairName, Record, digest
from gemel.history.side import look_aside

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.history.git import Repository
    from gemel.history.side import SideBranch

__all__ = [
    "INTAKE",
    "ChannelCopy",
    "Given",
    "Intake",
    "IntakeFacts",
    "facts_bytes",
    "facts_of",
    "latest_intake",
    "read_intake",
]

INTAKE = "intake.json"


@dataclass(frozen=True, slots=True)
class Given:
    """Where a channel's copy came from.

    Attributes:
        file: name of the file that was given, relative to the folder that was.
        file_sha256: of the bytes of that file.
        offset, length: where the program lies in the file, in bytes; a file may hold several programs.
        sha256: of the program's own bytes.
        known_by: `stamp`, `number` (program number and name) or `told`.
        stamp: of the baseline that it is compared with.
        commit: the commit that wrote that baseline; empty when git has none.
        received: the commit that first stored the file.
    """

    file: str
    file_sha256: str
    offset: int
    length: int
    sha256: str
    known_by: str
    stamp: str
    commit: str
    received: str


@dataclass(frozen=True, slots=True)
class IntakeFacts:
    """What is known of a pair's latest intake without reading its programs.

    Attributes:
        pair: which pair.
        taken_at: when, as ISO 8601 in UTC with seconds.
        taken_by: git's name of who took it in.
        given: by channel, for each channel that ever came back.
        blobs: git's ids of copies and baselines on the side branch, by path inside the pair's folder; they change
            with any byte of these.
    """

    pair: PairName
    taken_at: str
    taken_by: str
    given: Mapping[str, Given]
    blobs: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class ChannelCopy:
    """One channel of a pair at a control.

    Attributes:
        channel: as the machine file names it.
        copy: the program as it came, byte for byte; None when this channel never came back.
        baseline: the program that it descends from, as gemel wrote it.
        record: the record that lay beside that program.
        given: where the copy came from; None without one.
    """

    channel: str
    copy: bytes | None
    baseline: bytes
    record: Record
    given: Given | None

    @property
    def text(self) -> bytes:
        """The program to compare: as it stands at the control as far as anybody knows (the copy, else the baseline).

        The mark that sending puts behind the program number is taken off; lines stay what they were.
        """
        return self.baseline if self.copy is None else without_mark(self.copy)


@dataclass(frozen=True, slots=True)
class Intake:
    """The latest copy of a pair from one control, whole.

    Attributes:
        facts: when, by whom, from where.
        commit: the side branch's commit that it was read from.
        channels: every channel of the pair, in the order of its names.
    """

    facts: IntakeFacts
    commit: str
    channels: Mapping[str, ChannelCopy]

    @property
    def mixed(self) -> bool:
        """Whether the channels descend from different writings: they were never proved together."""
        return len({tuple(sorted(channel.record.texts.items())) for channel in self.channels.values()}) > 1


def facts_of(side: SideBranch) -> dict[PairName, IntakeFacts]:
    """The latest intake of every pair from one control, without its programs, sorted by name.

    Raises:
        Findings: `side:unreadable`.
    """
    files = [path for path in side.files if path.count("/") == 1 and path.endswith(f"/{INTAKE}")]
    found = {}
    for path, value in side.read_json(files).items():
        facts = _facts(side, path.partition("/")[0], value)
        if facts is not None:
            found[facts.pair] = facts
    return dict(sorted(found.items()))


def latest_intake(repository: Repository, pair: PairName) -> Intake | None:
    """The latest copy of a pair from its machine's control; None when it never came back.

    Raises:
        Findings: `side:unreadable`, `git:refused`.
    """
    return read_intake(look_aside(repository, pair.machine), pair)


def read_intake(side: SideBranch, pair: PairName) -> Intake | None:
    """The latest copy of a pair on a side branch; None when it never came back.

    Raises:
        Findings: `side:unreadable`.
    """
    path = f"{pair.stem}/{INTAKE}"
    value = side.read_json([path]).get(path)
    facts = None if value is None else _facts(side, pair.stem, value)
    if facts is None:
        return None
    data = side.read(f"{pair.stem}/{name}" for name in facts.blobs)
    names = sorted(name.removeprefix("baseline/")[: -len(".nc")] for name in facts.blobs if _is_baseline(name))
    channels = {name: _channel(data, pair, name, facts) for name in names}
    return Intake(facts, side.tip, channels)


def _is_baseline(name: str) -> bool:
    return name.startswith("baseline/") and name.endswith(".nc")


def _channel(data: Mapping[str, bytes], pair: PairName, channel: str, facts: IntakeFacts) -> ChannelCopy:
    record = Record.from_bytes(data.get(f"{pair.stem}/baseline/{channel}.json", b""))
    baseline = data[f"{pair.stem}/baseline/{channel}.nc"]
    copy = data.get(f"{pair.stem}/{channel}.nc")
    given = facts.given.get(channel)
    fits = record is not None and digest(baseline) in record.texts.values()
    if record is None or not fits or (copy is not None and (given is None or digest(copy) != given.sha256)):
        cause = f"{pair.stem}, channel {channel}: what git holds is not what gemel recorded"
        raise Findings([codes.UNREADABLE.found(cause, Label(Span(f"at-control/{pair.machine}")))])
    return ChannelCopy(channel, copy, baseline, record, given)


def _facts(side: SideBranch, stem: str, value: Any) -> IntakeFacts | None:
    """The facts of one pair; None where the file is none of gemel's."""
    try:
        pair = PairName(side.machine, str(value["family"]), str(value["member"]))
        given = {str(channel): Given(**about) for channel, about in value["channels"].items()}
        facts = IntakeFacts(pair, str(value["taken_at"]), str(value["taken_by"]), given, {})
    except (TypeError, KeyError, AttributeError):
        return None
    if pair.stem != stem:
        return None
    prefix = f"{stem}/"
    blobs = {path.removeprefix(prefix): blob for path, blob in side.files.items() if path.startswith(prefix)}
    blobs = {path: blob for path, blob in blobs.items() if not path.startswith("sent")}
    return IntakeFacts(pair, facts.taken_at, facts.taken_by, given, blobs)


def facts_bytes(facts: IntakeFacts) -> bytes:
    """What `intake.json` holds."""
    value = {
        "family": facts.pair.family,
        "member": facts.pair.member,
        "taken_at": facts.taken_at,
        "taken_by": facts.taken_by,
        "channels": {channel: asdict(given) for channel, given in sorted(facts.given.items())},
    }
    return (json.dumps(value, indent=1, sort_keys=True) + "\n").encode()
