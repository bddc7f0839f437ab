"""Pairs on disk: one folder each, exchanged as a whole, never over a person's work.

A pair is `output/<machine>/<family>-<member>/` with one program a channel and `record.json`.
A new writing is built in a hidden sibling and flushed; then the two folders change places.
Whatever is killed when, the folder is the old pair or the new one.
All writing happens under the shop's lock (`lock.py`).
"""

from __future__ import annotations

import contextlib
import os
import shutil
from dataclasses import dataclass
from typing import TYPE_CHECKING

from gemel.findings import Finding, Findings, Label, Span
from gemel.history import codes
from gemel.history.exchange import exchange, flush_folder
from gemel.history.record import RECORD, PairName, Record, digest

if TYPE_CHECKING:
    from collections.abc import Container, Iterator, Mapping
    from pathlib import Path

__all__ = ["StoredPair", "orphans", "read_pair", "recover", "store_pair"]

_NEW, _OLD = ".gemel-new-", ".gemel-old-"


@dataclass(frozen=True, slots=True)
class StoredPair:
    """A pair as it stands on disk.

    Attributes:
        name: which pair.
        record: what gemel wrote down when it wrote the pair.
        raw_record: the record's own bytes.
        texts: the bytes of each program, by file name; one that was deleted is missing.
    """

    name: PairName
    record: Record
    raw_record: bytes
    texts: Mapping[str, bytes]

    @property
    def edited(self) -> tuple[str, ...]:
        """Names of the programs whose bytes are not those that gemel wrote."""
        return tuple(sorted(n for n, data in self.texts.items() if digest(data) != self.record.texts[n]))

    def hand_edits(self) -> list[Finding]:
        """A `pair:hand-edited` finding for each program that a person changed."""
        found = []
        for name in self.edited:
            path = f"{self.name.folder}/{name}"
            cause = f"{path} was changed since gemel wrote it; it is left as it is"
            found.append(codes.HAND_EDITED.found(cause, Label(Span(path))))
        return found


def read_pair(shop: Path, name: PairName) -> StoredPair | None:
    """The pair as it stands on disk, or None when there is none.

    Raises:
        Findings: `pair:` faults: a link, a file that gemel did not write, no readable record.
        OSError: it cannot be read.
    """
    _refuse_links(shop, name)
    folder = shop / name.folder
    if not folder.exists():
        return None
    return _load(folder, name)


def _load(folder: Path, name: PairName) -> StoredPair:
    files = {entry.name: entry for entry in os.scandir(folder)}
    raw = (folder / RECORD).read_bytes() if RECORD in files else b""
    record = Record.from_bytes(raw)
    if record is None:
        cause = f"{name.folder} has no readable {RECORD}: gemel cannot tell whose text it holds"
        raise Findings([codes.NO_RECORD.found(cause, Label(Span(name.folder)))])
    strange = [n for n, entry in files.items() if n not in (RECORD, *record.texts) or not entry.is_file()]
    if strange:
        cause = f"{name.folder} holds `{min(strange)}`, which gemel did not write"
        raise Findings([codes.FOREIGN_FILE.found(cause, Label(Span(f"{name.folder}/{min(strange)}")))])
    texts = {n: (folder / n).read_bytes() for n in record.texts if n in files}
    return StoredPair(name, record, raw, texts)


def _refuse_links(shop: Path, name: PairName) -> None:
    path = shop
    for part in name.folder.split("/"):
        path /= part
        if path.is_symlink():
            shown = path.relative_to(shop).as_posix()
            raise Findings([codes.LINK.found(f"{shown} is a link to somewhere else", Label(Span(shown)))])


def orphans(shop: Path, machine: str, family: str, members: Container[str]) -> list[Finding]:
    """A `pair:orphan` finding for each pair of a family on a machine that belongs to none of its members."""
    found = []
    for path in sorted((shop / "output" / machine).glob(f"{family}-*/{RECORD}")):
        record = Record.from_bytes(path.read_bytes())
        if record is not None and record.family == family and record.member not in members:
            folder = path.parent.relative_to(shop).as_posix()
            cause = f"{folder} belongs to no member of {family} any more"
            found.append(codes.ORPHAN.found(cause, Label(Span(folder))))
    return found


def store_pair(shop: Path, texts: Mapping[str, bytes], record: Record, before: StoredPair | None) -> None:
    """Put a pair in place, all of it or nothing.

    Args:
        shop: the shop's folder; its lock is held.
        texts: the programs by file name.
        record: what they were made from.
        before: the pair as it was read when the decision to write was taken.

    Raises:
        Findings: `pair:hand-edited` when somebody changed the old pair in the meantime; it stands as it was.
        OSError: the disk is full, read-only, gone; the old pair stands as it was.
    """
    name = PairName(record.machine, record.family, record.member)
    standing = shop / name.folder
    made = _make_folders(shop, standing.parent)
    staged = standing.parent / f"{_NEW}{name.stem}"
    try:
        _fill(staged, texts, record)
        _swap(staged, standing, name, before)
    except BaseException:
        _discard(staged)
        _unmake(made)
        raise
    flush_folder(standing.parent)


def _make_folders(shop: Path, folder: Path) -> list[Path]:
    missing = [p for p in (folder, *folder.parents) if p != shop and p.is_relative_to(shop) and not p.exists()]
    folder.mkdir(parents=True, exist_ok=True)
    return missing


def _unmake(folders: list[Path]) -> None:
    for folder in folders:
        try:
            folder.rmdir()
        except OSError:
            return


def _fill(staged: Path, texts: Mapping[str, bytes], record: Record) -> None:
    """The new pair in its hidden folder, flushed; the record comes last and says that it is whole."""
    _discard(staged)
    staged.mkdir()
    for file, data in (*texts.items(), (RECORD, record.to_bytes())):
        path = staged / file
        try:
            with path.open("xb") as handle:
                handle.write(data)
                handle.flush()
                os.fsync(handle.fileno())
        except OSError as error:
            # A write that fails (disk full) does not say where by itself.
            raise OSError(error.errno, error.strerror, str(path)) from error
    flush_folder(staged)


def _swap(staged: Path, standing: Path, name: PairName, before: StoredPair | None) -> None:
    if before is None:
        # A folder that appeared meanwhile is not empty, and renaming onto it is refused by the system.
        staged.rename(standing)
        return
    old = _trade(staged, standing)
    if _same(old, name, before):
        _discard(old)
        return
    # Somebody changed a program between reading and writing: their version goes back to its place.
    taken = _trade(old, standing)
    _discard(taken)
    cause = f"{name.folder} was changed while gemel was writing it; it is left as it is"
    raise Findings([codes.HAND_EDITED.found(cause, Label(Span(name.folder)))])


def _trade(incoming: Path, standing: Path) -> Path:
    """Put `incoming` at `standing`; gives the folder that now holds what stood there."""
    if exchange(incoming, standing):
        return incoming
    away = standing.parent / f"{_OLD}{standing.name}"
    if incoming == away:
        away = standing.parent / f"{_NEW}{standing.name}"
    standing.rename(away)
    try:
        incoming.rename(standing)
    except BaseException:
        away.rename(standing)
        raise
    return away


def _same(folder: Path, name: PairName, before: StoredPair) -> bool:
    try:
        now = _load(folder, name)
    except Findings:
        return False
    return now == before


def recover(shop: Path) -> tuple[str, ...]:
    """Put right what a killed writer left; gives the pairs concerned. The shop's lock is held.

    A pair whose folder is missing is rolled forward when the new one is whole, else back.
    A copy that was set aside and turns out to hold a person's change is put back.
    """
    found: dict[Path, None] = {}
    for left in _leftovers(shop):
        found[left.parent / left.name.removeprefix(_NEW).removeprefix(_OLD)] = None
    for standing in found:
        _put_right(standing)
    return tuple(standing.relative_to(shop).as_posix() for standing in found)


def _leftovers(shop: Path) -> Iterator[Path]:
    output = shop / "output"
    if not output.is_dir():
        return
    for machine in sorted(p for p in output.iterdir() if p.is_dir() and not p.is_symlink()):
        yield from sorted(p for p in machine.iterdir() if p.name.startswith((_NEW, _OLD)) and p.is_dir())


def _put_right(standing: Path) -> None:
    new, old = (standing.parent / f"{prefix}{standing.name}" for prefix in (_NEW, _OLD))
    if not standing.exists():
        # A first writing that was killed leaves no pair; one over an old pair is finished when it is whole.
        if old.exists():
            (new if _state(new) == "whole" else old).rename(standing)
    else:
        for left in (new, old):
            if _state(left) == "edited" and _state(standing) == "whole":
                _trade(left, standing)
    for left in (new, old):
        _discard(left)


def _discard(folder: Path) -> None:
    """Take a folder away. Its record goes first: one half taken away must not look like one that a person changed."""
    with contextlib.suppress(OSError):
        (folder / RECORD).unlink()
    shutil.rmtree(folder, ignore_errors=True)


def _state(folder: Path) -> str:
    """`whole`: every text as recorded; `edited`: a text differs, or a file is strange; `torn`: no record."""
    if not folder.is_dir() or not (folder / RECORD).is_file():
        return "torn"
    record = Record.from_bytes((folder / RECORD).read_bytes())
    if record is None:
        return "torn"
    files = {p.name: digest(p.read_bytes()) for p in folder.iterdir() if p.name != RECORD and p.is_file()}
    return "whole" if files == dict(record.texts) else "edited"
