"""Put recognised programs with their pairs on the side branch, one commit a pair."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from gemel.findings import Finding, Label, Span, printable
from gemel.history import digest, facts_of, look_aside, read_intake
from gemel.history.intake import INTAKE, Given, IntakeFacts, facts_bytes
from gemel.history.mark import without_mark
from gemel.history.received import received
from gemel.shop import intake_codes as codes

if TYPE_CHECKING:
    from gemel.history import PairName, SideBranch
    from gemel.history.received import File, Received
    from gemel.shop.identify import Identity
    from gemel.shop.recognise import Piece

__all__ = ["Found", "TakenIn", "place_copies"]


@dataclass(frozen=True, slots=True)
class Found:
    """A program of a file, recognised.

    Attributes:
        file: that it came in.
        piece: the program.
        identity: what it is.
        waiting: what `received/` knows of the file; None when it left there earlier.
        offsets: where this program, and subprograms that belong to it, begin in the file.
        all_offsets: where any program begins in the file.
        superseded: whether a newer copy was taken in since; it leaves `received/` and does not become the latest.
    """

    file: File
    piece: Piece
    identity: Identity
    waiting: Received | None
    offsets: tuple[int, ...]
    all_offsets: frozenset[int]
    superseded: bool = False

    @property
    def sha256(self) -> str:
        """Digest of the program's bytes."""
        return digest(self.piece.data)


@dataclass(frozen=True, slots=True)
class TakenIn:
    """A pair that programs were put to.

    Attributes:
        pair: which pair.
        files: name of the file by channel, for the programs of this intake.
        changed: channels whose bytes are not those of the baseline.
        commit: of the side branch; empty where the latest copy had these bytes already.
        undecided: how many edits of the pair nobody has decided about; None where they could not be counted.
    """

    pair: PairName
    files: dict[str, str]
    changed: tuple[str, ...]
    commit: str
    undecided: int | None = None


def place_copies(side: SideBranch, found: list[Found], channels: list[str]) -> tuple[list[TakenIn], list[Finding]]:
    """What was put where, in the order of the pairs' names, and what was said about it.

    Raises:
        Findings: `git:` and `side:` faults; pairs before the one concerned are in.
    """
    taken: list[TakenIn] = []
    findings: list[Finding] = []
    old = [one for one in found if one.superseded]
    by_pair: dict[PairName, list[Found]] = {}
    for one in found:
        if not one.superseded:
            findings.extend(one.identity.findings)
            by_pair.setdefault(one.identity.pair, []).append(one)
    leaving = _Leaving(side)
    for pair, group in sorted(by_pair.items()):
        side = look_aside(side.repository, side.machine)
        taken.append(_place(side, pair, group, channels, leaving))
        findings.extend(_mixed(look_aside(side.repository, side.machine), pair))
    if old:
        files, removed = leaving.after(old)
        message = "older than what was taken in since: " + ", ".join(sorted({printable(one.file.name) for one in old}))
        look_aside(side.repository, side.machine).commit(files, removed, f"{message}\n")
    return taken, findings


class _Leaving:
    """Which files leave `received/`: those of which every program lies with its pair."""

    def __init__(self, side: SideBranch) -> None:
        self._sorted = {one.sha256: set(one.sorted) for one in received(side)}

    def after(self, group: list[Found]) -> tuple[dict[str, bytes], tuple[str, ...]]:
        """What to write and what to remove in the commit that puts these programs to their pair."""
        for one in group:
            self._sorted.setdefault(one.file.sha256, set()).update(one.offsets)
        files: dict[str, bytes] = {}
        removed: list[str] = []
        for one in group:
            if one.waiting is None:
                continue
            placed = self._sorted[one.file.sha256]
            if one.all_offsets <= placed:
                removed.extend(one.waiting.paths)
            else:
                files[one.waiting.paths[1]] = replace(one.waiting, sorted=tuple(sorted(placed))).to_bytes()
        return files, tuple(dict.fromkeys(removed))


def _place(side: SideBranch, pair: PairName, group: list[Found], channels: list[str], leaving: _Leaving) -> TakenIn:
    facts = facts_of(side).get(pair)
    given = dict(facts.given) if facts else {}
    new = [one for one in group if not _is_latest(one, given)]
    mine = {one.identity.channel for one in group}
    others = [name for name in channels if name not in given and name not in mine]
    files, removed = leaving.after(group)
    for one in new:
        files |= {f"{pair.stem}/{path}": data for path, data in _files_of(one, others).items()}
        given[one.identity.channel] = _given(one, side)
    if new:
        about = IntakeFacts(pair, datetime.now(UTC).isoformat(timespec="seconds"), _who(side), given, {})
        files[f"{pair.stem}/{INTAKE}"] = facts_bytes(about)
    commit = side.commit(files, removed, _message(pair, new)) if files or removed else None
    changed = tuple(one.identity.channel for one in group if _differs(one))
    names = {one.identity.channel: one.file.name for one in group}
    return TakenIn(pair, names, changed, commit or "" if new else "")


def _is_latest(one: Found, given: dict[str, Given]) -> bool:
    """Whether the pair's latest copy has these bytes already, compared with this baseline."""
    latest = given.get(one.identity.channel)
    return latest is not None and latest.sha256 == one.sha256 and latest.stamp == _stamp(one)


def _stamp(one: Found) -> str:
    return min(one.identity.baseline.known.stamps, default="")


def _given(one: Found, side: SideBranch) -> Given:
    return Given(
        file=one.file.name,
        file_sha256=one.file.sha256,
        offset=one.piece.offset,
        length=len(one.piece.data),
        sha256=one.sha256,
        known_by=one.identity.known_by,
        stamp=_stamp(one),
        commit=one.identity.baseline.known.commit,
        received=_first_commit(side, one),
    )


def _first_commit(side: SideBranch, one: Found) -> str:
    """A commit that holds the file as it came: the present one while it waits, else that of an earlier copy."""
    if one.waiting is not None:
        return side.tip
    earlier = (given for about in facts_of(side).values() for given in about.given.values())
    return next((given.received for given in earlier if given.file_sha256 == one.file.sha256), side.tip)


def _files_of(one: Found, others: list[str]) -> dict[str, bytes]:
    """The copy and its baseline, and that of `others`: channels that never came back and follow this one."""
    named, channel = one.identity.baseline, one.identity.channel
    files = {f"{channel}.nc": one.piece.data}
    for name in (channel, *others):
        if name in named.texts:
            files[f"baseline/{name}.nc"] = named.texts[name]
            files[f"baseline/{name}.json"] = named.known.raw_record
    return files


def _differs(one: Found) -> bool:
    return without_mark(one.piece.data) != one.identity.baseline.texts.get(one.identity.channel)


def _who(side: SideBranch) -> str:
    """Git's name of who takes in."""
    return side.repository.run("var", "GIT_COMMITTER_IDENT").out.decode("utf-8", "replace").partition(" <")[0]


def _message(pair: PairName, new: list[Found]) -> str:
    channels = ", ".join(sorted(one.identity.channel for one in new))
    rows = [f"{pair.family} {pair.member} at {pair.machine}: {channels or 'as it was'}", ""]
    for one in sorted(new, key=lambda one: one.identity.channel):
        same = "other bytes than its baseline" if _differs(one) else "the bytes of its baseline"
        known = f"known by {one.identity.known_by}, baseline {_stamp(one)}"
        rows.append(f"{one.identity.channel}: {printable(one.file.name)}, {same}, {known}, sha256 {one.sha256}")
    return "\n".join([*rows, ""])


def _mixed(side: SideBranch, pair: PairName) -> list[Finding]:
    intake = read_intake(side, pair)
    if intake is None or not intake.mixed:
        return []
    stamps = ", ".join(
        f"{c.channel} from {min(c.record.stamp.values(), default='?')}" for c in intake.channels.values()
    )
    cause = f"{pair.family}/{pair.member}: the programs at {pair.machine} are of different writings: {stamps}"
    return [codes.MIXED.found(cause, Label(Span(f"at-control/{pair.machine}", 0), pair.stem))]
