"""What was sent to a control, beside what came back from it.

`<family>-<member>/sent/<channel>.nc` holds the bytes; `<family>-<member>/sent.json` says when, by whom, and whether the
pair was released.
"""

from __future__ import annotations

import json
from contextlib import suppress
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from gemel.history.record import PairName
    from gemel.history.side import SideBranch

__all__ = ["SENT", "Sent", "last_sent", "sent_texts", "store_sent"]

SENT = "sent.json"


@dataclass(frozen=True, slots=True)
class Sent:
    """What was sent last of a pair.

    Attributes:
        sent_at: when, ISO 8601 in UTC.
        sent_by: git's name of who sent it.
        stamp: of the writing that was sent.
        revision: of its drawing.
        released: whether it was marked as released.
        texts: SHA-256 of what was sent, by channel.
        files: name at the control, by channel.
    """

    sent_at: str
    sent_by: str
    stamp: str
    revision: str
    released: bool
    texts: Mapping[str, str]
    files: Mapping[str, str]


def last_sent(side: SideBranch, pairs: Iterable[PairName]) -> dict[PairName, Sent]:
    """What was sent last of some pairs; one of which nothing was is missing.

    Raises:
        Findings: `side:unreadable`.
    """
    paths = {f"{pair.stem}/{SENT}": pair for pair in pairs}
    found = {}
    for path, value in side.read_json(paths).items():
        with suppress(TypeError):
            found[paths[path]] = Sent(**value)
    return found


def sent_texts(side: SideBranch, pair: PairName) -> dict[str, bytes]:
    """The bytes that were sent last, by channel."""
    prefix = f"{pair.stem}/sent/"
    paths = [path for path in side.files if path.startswith(prefix) and path.endswith(".nc")]
    return {path.removeprefix(prefix)[: -len(".nc")]: data for path, data in side.read(paths).items()}


def store_sent(side: SideBranch, pair: PairName, sent: Sent, texts: Mapping[str, bytes], *, wrote: bool) -> str | None:
    """The id of the commit that puts a sending on record; None where nothing was written and all is on record.

    Raises:
        Findings: `git:` and `side:` faults.
    """
    before = last_sent(side, [pair]).get(pair)
    if not wrote and before is not None and _but_time(before) == _but_time(sent):
        return None
    files = {f"{pair.stem}/sent/{channel}.nc": data for channel, data in texts.items()}
    files[f"{pair.stem}/{SENT}"] = (json.dumps(asdict(sent), indent=1, sort_keys=True) + "\n").encode()
    gone = tuple(p for p in side.files if p.startswith(f"{pair.stem}/sent/") and p not in files)
    mark = "released" if sent.released else "not released"
    rows = [f"{channel}: {sent.files[channel]}, sha256 {sha256}" for channel, sha256 in sorted(sent.texts.items())]
    head = f"{pair.family} {pair.member} sent to {pair.machine}: revision {sent.revision}, stamp {sent.stamp}, {mark}"
    return side.commit(files, gone, "\n".join([head, "", *rows, ""]))


def _but_time(sent: Sent) -> tuple[object, ...]:
    return sent.stamp, sent.released, dict(sent.texts), dict(sent.files)
