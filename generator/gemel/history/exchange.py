"""Two folders change places in one step where the system can, in two that can be undone where it cannot."""

from __future__ import annotations

import ctypes
import errno
import os
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["exchange", "flush_folder"]

_AT_FDCWD = -100
_RENAME_EXCHANGE = 2
_UNSUPPORTED = (errno.ENOSYS, errno.EINVAL, errno.EOPNOTSUPP)


def exchange(one: Path, other: Path) -> bool:
    """True when the two folders have changed places in one step; False when the system cannot do that.

    Source: renameat2(2), flag RENAME_EXCHANGE, Linux 3.15, glibc 2.28.

    Raises:
        OSError: the system can, but refused; nothing has moved.
    """
    if not sys.platform.startswith("linux"):
        return False
    try:
        renameat2 = ctypes.CDLL(None, use_errno=True).renameat2
    except (OSError, AttributeError):
        return False
    if renameat2(_AT_FDCWD, os.fsencode(one), _AT_FDCWD, os.fsencode(other), _RENAME_EXCHANGE) == 0:
        return True
    number = ctypes.get_errno()
    if number in _UNSUPPORTED:
        return False
    raise OSError(number, os.strerror(number), str(other))


def flush_folder(folder: Path) -> None:
    """Bring a folder's list of names to the disk, where the system lets a folder be opened."""
    if sys.platform == "win32":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
