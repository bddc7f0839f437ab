"""The folder of sheets and charts: exchanged as a whole, never over somebody's own files.

Beside the pages lies `manifest.json`: which pairs are in it, with the digest of every file. What the manifest does not
name was put there by somebody else, and the folder is left alone.
"""

from __future__ import annotations

import contextlib
import json
import os
import shutil
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from gemel.findings import Findings, Label, Span
from gemel.history import digest
from gemel.history.exchange import exchange, flush_folder
from gemel.shop import sheet_codes

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

__all__ = ["Contents", "read_contents", "store_contents"]

MANIFEST = "manifest.json"
_IGNORE = ".gitignore"
_OURS = frozenset({MANIFEST, _IGNORE})


@dataclass(frozen=True, slots=True)
class Contents:
    """What the folder holds.

    Attributes:
        entries: what the index says of each page or pair, by its name; plain values.
        files: bytes by path relative to the folder.
        owners: name of the entry that each file belongs to.
    """

    entries: Mapping[str, Mapping[str, Any]]
    files: Mapping[str, bytes]
    owners: Mapping[str, str]

    def without(self, names: set[str]) -> Contents:
        """The same without some entries and their files."""
        files = {path: data for path, data in self.files.items() if self.owners[path] not in names}
        owners = {path: self.owners[path] for path in files}
        return Contents({n: e for n, e in self.entries.items() if n not in names}, files, owners)

    def and_(self, other: Contents) -> Contents:
        """The same with the entries of another in place of those of that name."""
        left = self.without(set(other.entries))
        return Contents(
            {**left.entries, **other.entries}, {**left.files, **other.files}, {**left.owners, **other.owners}
        )


EMPTY = Contents({}, {}, {})


def read_contents(folder: Path) -> Contents:
    """What the folder holds; nothing where there is none.

    Raises:
        Findings: `sheet:foreign-file`.
        OSError: it cannot be read.
    """
    if folder.is_symlink() or (folder.exists() and not folder.is_dir()):
        raise _foreign(folder, f"{folder.name} is no folder of its own")
    if not folder.exists() or not any(folder.iterdir()):
        return EMPTY
    manifest = _manifest(folder)
    owners = {path: name for name, entry in manifest.items() for path in entry["files"]}
    files: dict[str, bytes] = {}
    for path in sorted(p for p in folder.rglob("*") if not p.is_dir() or p.is_symlink()):
        name = path.relative_to(folder).as_posix()
        if name in _OURS or name == "index.html":
            continue
        if name not in owners or path.is_symlink():
            raise _foreign(folder, f"{folder.name} holds `{name}`, which gemel did not put there")
        files[name] = path.read_bytes()
    entries = {name: entry["about"] for name, entry in manifest.items()}
    return Contents(entries, files, {path: owners[path] for path in files})


def _manifest(folder: Path) -> dict[str, Any]:
    try:
        held = json.loads((folder / MANIFEST).read_bytes())
        entries: dict[str, Any] = held["entries"]
        if all(isinstance(entry["files"], dict) and isinstance(entry["about"], dict) for entry in entries.values()):
            return entries
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        pass
    raise _foreign(folder, f"{folder.name} is there, and gemel did not make it: it has no readable {MANIFEST}")


def _foreign(folder: Path, cause: str) -> Findings:
    return Findings([sheet_codes.FOREIGN_FILE.found(cause, Label(Span(str(folder))))])


def store_contents(folder: Path, contents: Contents, index: str) -> None:
    """Put the folder in place, all of it or nothing; the shop's lock is held.

    Raises:
        OSError: the disk is full, read-only, gone; the old folder stands as it was.
    """
    staged = folder.parent / f".gemel-new-{folder.name}"
    old = folder.parent / f".gemel-old-{folder.name}"
    folder.parent.mkdir(parents=True, exist_ok=True)
    if old.exists() and not folder.exists():
        # Somebody was killed between the two renames of a system that cannot exchange folders.
        old.rename(folder)
    try:
        _fill(staged, contents, index)
        if not folder.exists():
            staged.rename(folder)
        elif not exchange(staged, folder):
            shutil.rmtree(old, ignore_errors=True)
            folder.rename(old)
            staged.rename(folder)
    finally:
        shutil.rmtree(staged, ignore_errors=True)
    shutil.rmtree(old, ignore_errors=True)
    flush_folder(folder.parent)


def _fill(staged: Path, contents: Contents, index: str) -> None:
    shutil.rmtree(staged, ignore_errors=True)
    staged.mkdir()
    manifest = {
        name: {
            "about": dict(about),
            "files": {p: digest(data) for p, data in sorted(contents.files.items()) if contents.owners[p] == name},
        }
        for name, about in sorted(contents.entries.items())
    }
    held = json.dumps({"entries": manifest}, indent=1, ensure_ascii=False, sort_keys=True).encode()
    ours = {"index.html": index.encode(), MANIFEST: held, _IGNORE: b"*\n"}
    for name, data in {**contents.files, **ours}.items():
        path = staged / name
        path.parent.mkdir(parents=True, exist_ok=True)
        with _named(path), path.open("xb") as handle:
            handle.write(data)
            handle.flush()
            os.fsync(handle.fileno())
    flush_folder(staged)


@contextlib.contextmanager
def _named(path: Path) -> Any:
    """A write that fails (disk full) does not say where by itself."""
    try:
        yield
    except OSError as error:
        raise OSError(error.errno, error.strerror, str(path)) from error
