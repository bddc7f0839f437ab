"""The files that a control wrote: regular files only, whole, named relative to the folder that was given."""

from __future__ import annotations

import os
import stat
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from gemel.findings import Findings, Label, Span, printable
from gemel.history.received import File
from gemel.shop import codes, intake_codes
from gemel.shop.program_files import LARGEST_PROGRAM, looks_binary

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from gemel.findings import Finding

__all__ = ["Gathered", "files_of", "read_whole", "walk"]

_MOST_FILES = 5_000
_READ = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)


@dataclass(slots=True)
class Gathered:
    """What can be taken in, and what was said about the rest.

    Attributes:
        files: in the order given, those of a folder sorted.
        alone: names of those that were named themselves.
        findings: about those that are left where they are.
    """

    files: list[File] = field(default_factory=list)
    alone: set[str] = field(default_factory=set)
    findings: list[Finding] = field(default_factory=list)


def files_of(paths: Iterable[str], only: frozenset[Path] | None = None) -> Gathered:
    """The files that are named, and all files of the folders that are named, however deep; hidden ones are left out.

    Args:
        paths: as the user names them.
        only: of the files in the folders these alone; all when None.

    Raises:
        Findings: `shop:no-file`, `intake:nothing`.
        OSError: the system does not let a file be read.
    """
    gathered = Gathered()
    missing = []
    for name in paths:
        path = Path(name)
        if path.is_dir() and not path.is_symlink():
            for inside in walk(path):
                if only is not None and inside not in only:
                    continue
                _add(gathered, inside, inside.relative_to(path).as_posix(), alone=False)
        elif path.exists() or path.is_symlink():
            _add(gathered, path, path.name, alone=True)
        else:
            remedy = "name what the control wrote; plug in or mount what it lies on"
            missing.append(codes.NO_FILE.found(f"{printable(name)} is not there", _label(name), remedy=remedy))
    if missing:
        raise Findings(missing)
    if not gathered.files:
        nothing = intake_codes.NOTHING.found("no program was found", Label(Span("gemel intake")))
        raise Findings([*gathered.findings, nothing])
    return gathered


def walk(folder: Path) -> Iterator[Path]:
    """The files of a folder, sorted; links to folders are not followed."""
    count = 0
    for here, folders, files in os.walk(folder):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        for name in sorted(files):
            if name.startswith("."):
                continue
            count += 1
            if count > _MOST_FILES:
                cause = f"{folder} holds more than {_MOST_FILES} files; this looks like no control's folder"
                raise Findings([intake_codes.NOTHING.found(cause, _label(str(folder)))])
            yield Path(here, name)


def _add(gathered: Gathered, path: Path, name: str, *, alone: bool) -> None:
    try:
        data = read_whole(path, name)
    except Findings as error:
        gathered.findings.extend(error.findings)
        return
    if not alone and (not data or looks_binary(data)):
        cause = f"{printable(name)} is empty" if not data else f"{printable(name)} looks like no program"
        gathered.findings.append(intake_codes.NO_PROGRAM.found(cause, _label(name)))
        return
    gathered.files.append(File(name, data))
    if alone:
        gathered.alone.add(name)


def read_whole(path: Path, name: str) -> bytes:
    """The bytes of a regular file that stands still while it is read.

    Raises:
        Findings: `intake:link`, `intake:too-large`, `intake:unstable`.
        OSError: the system does not let it be read.
    """
    if path.is_symlink():
        raise Findings([intake_codes.LINK.found(f"{printable(name)} is a link; it is not followed", _label(name))])
    handle = os.open(path, _READ)
    try:
        before = os.fstat(handle)
        if not stat.S_ISREG(before.st_mode):
            raise Findings([intake_codes.LINK.found(f"{printable(name)} is no regular file", _label(name))])
        if before.st_size > LARGEST_PROGRAM:
            cause = f"{printable(name)} has {before.st_size:,} bytes; gemel takes in up to {LARGEST_PROGRAM:,}"
            raise Findings([intake_codes.TOO_LARGE.found(cause, _label(name))])
        with os.fdopen(os.dup(handle), "rb") as file:
            data = file.read(LARGEST_PROGRAM + 1)
        after = os.fstat(handle)
    finally:
        os.close(handle)
    if (before.st_size, before.st_mtime_ns) != (after.st_size, after.st_mtime_ns) or len(data) != after.st_size:
        raise Findings([intake_codes.UNSTABLE.found(f"{printable(name)} changed while it was read", _label(name))])
    return data


def _label(name: str) -> Label:
    return Label(Span(printable(name)))
