"""Every baseline that a shop ever had: what is in `output/` now, and what git remembers of it on any branch."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from gemel.findings import Findings, Label, Span
from gemel.history import codes
from gemel.history.pairs import read_pair
from gemel.history.record import RECORD, PairName, Record, digest

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from gemel.findings import Finding
    from gemel.history.git import Repository

__all__ = ["Baseline", "Known", "known_baselines", "load_baseline"]


@dataclass(frozen=True, slots=True)
class Known:
    """A baseline that is known to have been, without its programs.

    Attributes:
        name: which pair.
        record: what gemel wrote down with it.
        raw_record: the record's own bytes.
        commit: the newest commit that brought it; empty when it only stands in `output/`.
    """

    name: PairName
    record: Record
    raw_record: bytes
    commit: str

    @property
    def stamps(self) -> frozenset[str]:
        """The stamps that its programs bear; one, unless somebody wrote the record by hand."""
        return frozenset(self.record.stamp.values())


@dataclass(frozen=True, slots=True)
class Baseline:
    """A baseline with its programs by file name, checked against the digests in its record."""

    known: Known
    texts: Mapping[str, bytes]


def known_baselines(shop: Path, repository: Repository) -> tuple[list[Known], list[Finding]]:
    """Every baseline for any machine: those in `output/` first, then those in git, newest first.

    What git cannot read is passed over, with a finding of the second list; the rest is there.
    """
    rows, faults = _in_history(repository)
    raw, more = _readable(repository, list(dict.fromkeys(blob for _, blob in rows)))
    commits: dict[bytes, str] = {}
    for commit, blob in rows:
        if blob in raw:
            commits.setdefault(raw[blob], commit)
    found = {}
    for data in (*_on_disk(shop), *commits):
        record = Record.from_bytes(data)
        if record is not None:
            name = PairName(record.machine, record.family, record.member)
            found[data] = Known(name, record, data, commits.get(data, ""))
    return list(found.values()), faults + more


def _readable(repository: Repository, blobs: list[str]) -> tuple[dict[str, bytes], list[Finding]]:
    """The bytes of those blobs that git can read; all at once where it can read all."""
    if not blobs:
        return {}, []
    try:
        return dict(zip(blobs, repository.read_blobs(blobs), strict=True)), []
    except Findings as error:
        if len(blobs) == 1:
            return {}, list(error.findings)
    half = len(blobs) // 2
    one, first = _readable(repository, blobs[:half])
    two, second = _readable(repository, blobs[half:])
    return one | two, first + second


def _on_disk(shop: Path) -> Iterator[bytes]:
    for path in sorted((shop / "output").glob(f"*/*/{RECORD}")):
        if path.is_file() and not path.parent.name.startswith("."):
            yield path.read_bytes()


def _in_history(repository: Repository) -> tuple[list[tuple[str, str]], list[Finding]]:
    """Commit and blob of every record that any commit brought, newest first; what git says where it cannot go on."""
    where = f":(glob)output/*/*/{RECORD}"
    words = ("--all", "-m", "--raw", "--no-renames", "--no-abbrev", "--diff-filter=AM", "--format=commit %H")
    answer = repository.ask("log", *words, "--", where)
    faults = []
    if answer.status and "does not have any commits" not in answer.said:
        cause = f"git cannot read all of the history of output/: {answer.said}"
        faults.append(codes.UNREADABLE.found(cause, Label(Span("output"))))
    rows, commit = [], ""
    for row in answer.out.decode("utf-8", "replace").splitlines():
        if row.startswith("commit "):
            commit = row.split()[1]
        elif row.startswith(":"):
            rows.append((commit, row.split()[3]))
    return rows, faults


def load_baseline(shop: Path, repository: Repository, known: Known) -> Baseline:
    """A baseline with its programs, from `output/` where it stands there unchanged, else from git.

    Raises:
        Findings: `side:no-baseline` where its programs can be read from neither.
    """
    texts = _standing(shop, known) or _committed(repository, known)
    if texts is None:
        cause = f"the programs of baseline {_named(known)} are neither in output/ nor in git"
        raise Findings([codes.NO_BASELINE.found(cause, Label(Span(known.name.folder)))])
    return Baseline(known, texts)


def _named(known: Known) -> str:
    return f"{', '.join(sorted(known.stamps))} of {known.name.stem}"


def _standing(shop: Path, known: Known) -> Mapping[str, bytes] | None:
    try:
        stored = read_pair(shop, known.name)
    except Findings:
        return None
    return stored.texts if stored is not None and _fits(stored.texts, known) else None


def _committed(repository: Repository, known: Known) -> Mapping[str, bytes] | None:
    if not known.commit:
        return None
    try:
        files = repository.files(known.commit, known.name.folder)
        blobs = {name: files.get(f"{known.name.folder}/{name}", "") for name in known.record.texts}
        if not all(blobs.values()):
            return None
        texts = dict(zip(blobs, repository.read_blobs(list(blobs.values())), strict=True))
    except Findings:
        return None
    return texts if _fits(texts, known) else None


def _fits(texts: Mapping[str, bytes], known: Known) -> bool:
    return {name: digest(data) for name, data in texts.items()} == dict(known.record.texts)
