"""Programs put into a control's folder: all of a pair, or said so; read back; finished by the next one where killed.

A folder `.gemel-send-<pair>` beside them holds the new programs, flushed, and at last `order.json`, which says what
stood there and what is to stand there. Only then does one after the other take its place. Whoever finds such a folder
later knows whether it is whole, and can finish it.
"""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import stat
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING

from gemel.history.exchange import flush_folder
from gemel.history.record import digest

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

__all__ = ["Changed", "Order", "carry_out", "discard", "read_back", "read_there", "stage", "unfinished"]

_PREFIX = ".gemel-send-"
_ORDER = "order.json"


class Changed(Exception):  # noqa: N818 # not an error of gemel: somebody else wrote there
    """A program in the control's folder is neither what stood there nor what is to stand there."""

    def __init__(self, name: str) -> None:
        super().__init__(name)
        self.name = name


@dataclass(frozen=True, slots=True)
class Order:
    """What is to stand where.

    Attributes:
        machine, family, member: which pair.
        stamp, revision, released: of what is sent.
        files: name in the control's folder, by channel.
        old: SHA-256 of what stood there, by channel; empty where nothing did.
        new: SHA-256 of what is to stand there, by channel.
    """

    machine: str
    family: str
    member: str
    stamp: str
    revision: str
    released: bool
    files: Mapping[str, str]
    old: Mapping[str, str]
    new: Mapping[str, str]


def read_there(folder: Path, name: str) -> bytes | None:
    """The program of that name in a control's folder; None where there is none.

    Raises:
        IsADirectoryError: there is a folder, a link, or anything but a file.
        OSError: it cannot be read.
    """
    path = folder / name
    try:
        kind = path.lstat().st_mode
    except FileNotFoundError:
        return None
    if not stat.S_ISREG(kind):
        raise IsADirectoryError(name)
    return path.read_bytes()


def read_back(folder: Path, name: str) -> bytes | None:
    """The program as it stands on the disk, as far as the system lets its own memory of it be dropped first."""
    with contextlib.suppress(OSError), (folder / name).open("rb") as handle:
        os.fsync(handle.fileno())
        if hasattr(os, "posix_fadvise"):
            os.posix_fadvise(handle.fileno(), 0, 0, os.POSIX_FADV_DONTNEED)
    return read_there(folder, name)


def stage(folder: Path, order: Order, texts: Mapping[str, bytes]) -> Path:
    """The folder with the new programs, whole and on the disk.

    Raises:
        OSError: no room, no right, no folder; nothing that a control reads has changed.
    """
    staged = folder / f"{_PREFIX}{order.family}-{order.member}"
    discard(staged)
    staged.mkdir()
    try:
        for channel, data in texts.items():
            _write(staged / order.files[channel], data)
        _write(staged / _ORDER, json.dumps(asdict(order), indent=1, sort_keys=True).encode())
        flush_folder(staged)
    except BaseException:
        discard(staged)
        raise
    return staged


def _write(path: Path, data: bytes) -> None:
    try:
        with path.open("xb") as handle:
            handle.write(data)
            handle.flush()
            os.fsync(handle.fileno())
    except OSError as error:
        # A write that fails (disk full) does not say where by itself.
        raise OSError(error.errno, error.strerror, str(path)) from error


def unfinished(folder: Path) -> list[tuple[Path, Order | None]]:
    """What killed senders left in a control's folder; without an order where it never got whole."""
    left = (staged for staged in sorted(folder.glob(f"{_PREFIX}*")) if staged.is_dir() and not staged.is_symlink())
    return [(staged, _order(staged)) for staged in left]


def _order(staged: Path) -> Order | None:
    try:
        order = Order(**json.loads((staged / _ORDER).read_bytes()))
        plain = all(name == os.path.basename(name) and name not in ("", ".", "..") for name in order.files.values())  # noqa: PTH119 # a name, not a path
    except (OSError, ValueError, TypeError, AttributeError, RecursionError):
        return None
    return order if plain and set(order.files) == set(order.old) == set(order.new) else None


def carry_out(folder: Path, staged: Path, order: Order) -> None:
    """Put every program in its place, and take the folder of new ones away.

    Raises:
        Changed: a program was changed in the meantime; those before it are in place, and the folder of new ones stays.
        OSError: the folder went away or is full.
    """
    moves = []
    for channel, name in order.files.items():
        there = read_there(folder, name)
        now = "" if there is None else digest(there)
        if now == order.new[channel]:
            continue
        ready = staged / name
        if now != order.old[channel] or not ready.is_file() or digest(ready.read_bytes()) != order.new[channel]:
            raise Changed(name)
        moves.append((ready, folder / name))
    for ready, place in moves:
        ready.replace(place)
    flush_folder(folder)
    discard(staged)


def discard(staged: Path) -> None:
    """Take a folder of new programs away; its order goes first, so that half of one is never taken for a whole one."""
    with contextlib.suppress(OSError):
        (staged / _ORDER).unlink()
    shutil.rmtree(staged, ignore_errors=True)
