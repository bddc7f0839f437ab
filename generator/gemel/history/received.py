"""What came from a control and is not recognised yet: stored first, before anything reads it.

On the side branch, `received/<digest>.nc` holds a file byte for byte, `received/<digest>.json` says what it was called
and when it came. A file leaves the folder once every program in it lies with its pair; the branch's history has it
for ever.
"""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING

from gemel.findings import printable
from gemel.history.record import digest

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from gemel.history.intake import IntakeFacts
    from gemel.history.side import SideBranch

__all__ = ["File", "Received", "received", "store_received"]

FOLDER = "received"
_SHORT = 16


@dataclass(frozen=True, slots=True)
class File:
    """A file as it was given: its name relative to the folder that was given, and its bytes."""

    name: str
    data: bytes

    @property
    def sha256(self) -> str:
        """Digest of its bytes."""
        return digest(self.data)


@dataclass(frozen=True, slots=True)
class Received:
    """What is known of a file that waits to be recognised.

    Attributes:
        file: its name as it was given.
        sha256: of its bytes.
        received_at: when it came, ISO 8601 in UTC.
        sorted: offsets of the programs in it that lie with their pair already.
    """

    file: str
    sha256: str
    received_at: str
    sorted: tuple[int, ...] = ()

    @property
    def id(self) -> str:
        """By which it is named in `received/` and on the command line."""
        return self.sha256[:_SHORT]

    @property
    def paths(self) -> tuple[str, str]:
        """Where its bytes and its facts lie on the side branch."""
        return f"{FOLDER}/{self.id}.nc", f"{FOLDER}/{self.id}.json"

    def to_bytes(self) -> bytes:
        """What its facts are stored as."""
        return (json.dumps(asdict(self), indent=1, sort_keys=True) + "\n").encode()


def received(side: SideBranch) -> list[Received]:
    """Every file that waits to be recognised, the oldest first.

    Raises:
        Findings: `side:unreadable`.
    """
    names = [path for path in side.files if path.startswith(f"{FOLDER}/") and path.endswith(".json")]
    found = []
    for value in side.read_json(names).values():
        try:
            facts = (str(value["file"]), str(value["sha256"]), str(value["received_at"]))
            one = Received(*facts, tuple(int(offset) for offset in value["sorted"]))
        except (TypeError, KeyError, ValueError):
            continue
        if one.paths[0] in side.files:
            found.append(one)
    return sorted(found, key=lambda one: (one.received_at, one.file, one.sha256))


def store_received(side: SideBranch, files: Iterable[File], now: str) -> str | None:
    """The id of the commit that stores files as they came; None where all of them wait there already.

    Raises:
        Findings: `git:` and `side:` faults; nothing is stored then.
    """
    waiting = {one.sha256 for one in received(side)}
    new = {file.sha256: file for file in files if file.sha256 not in waiting}
    if not new:
        return None
    stored: dict[str, bytes] = {}
    rows = []
    for file in new.values():
        one = Received(file.name, file.sha256, now)
        stored |= dict(zip(one.paths, (file.data, one.to_bytes()), strict=True))
        rows.append(f"{printable(file.name)}: {len(file.data)} bytes, sha256 {file.sha256}")
    count = f"{len(new)} file{'s' if len(new) > 1 else ''}"
    message = "\n".join([f"{count} from the control of {side.machine}", "", *rows, ""])
    return side.commit(stored, (), message)


def is_current(facts: Mapping[object, IntakeFacts], sha256: str) -> bool:
    """Whether a file with this digest is what all its pairs had as their latest copy."""
    given = [one for about in facts.values() for one in about.given.values()]
    return any(one.file_sha256 == sha256 for one in given)
