"""One file of the shop read as it is, and replaced whole."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from gemel.history.exchange import flush_folder

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["raw_file", "remove_file", "replace_file"]


def raw_file(shop: Path, name: str) -> bytes | None:
    """The bytes of a file by its name relative to the shop; None where there is none."""
    try:
        return (shop / name).read_bytes()
    except FileNotFoundError:
        return None


def remove_file(path: Path) -> None:
    """Take a file away; one that is gone already is as wanted."""
    path.unlink(missing_ok=True)


def replace_file(shop: Path, name: str, data: bytes) -> None:
    """Put new bytes in place of a file, or make it: the old or the new, never a part, whatever is killed when.

    A link is followed, so that it stays one; the rights of the file stay.

    Raises:
        OSError: no room, no right; the old file stands.
    """
    path = (shop / name).resolve()
    path.parent.mkdir(parents=True, exist_ok=True)
    staged = path.with_name(f".{path.name}.gemel")
    try:
        with staged.open("wb") as handle:
            handle.write(data)
            handle.flush()
            os.fsync(handle.fileno())
        if path.exists():
            staged.chmod(path.stat().st_mode & 0o7777)
        staged.replace(path)
    except OSError as error:
        staged.unlink(missing_ok=True)
        raise OSError(error.errno, error.strerror, str(path)) from error
    flush_folder(path.parent)
