"""Scratch folders in git's folder: for private indexes, swept away once their maker no longer lives."""

from __future__ import annotations

import os
import shutil
import socket
import sys
import tempfile
import time
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["scratch_folder", "sweep"]

_PREFIX = "gemel-scratch-"
_DAY_S = 86_400


@contextmanager
def scratch_folder(inside: Path) -> Iterator[Path]:
    """A folder of one's own, named so that `sweep` can tell whether its maker lives."""
    prefix = f"{_PREFIX}{socket.gethostname()}-{os.getpid()}-"
    with tempfile.TemporaryDirectory(prefix=prefix, dir=inside) as folder:
        yield Path(folder)


def sweep(inside: Path) -> None:
    """Take away what killed ones left; the folder of one that lives is left to it."""
    for left in inside.glob(f"{_PREFIX}*"):
        if not _in_use(left):
            shutil.rmtree(left, ignore_errors=True)


def _in_use(folder: Path) -> bool:
    """Whether the process that made a folder lives; where nobody can say, it is left for a day."""
    host, _, process = folder.name.removeprefix(_PREFIX).rpartition("-")[0].rpartition("-")
    if host != socket.gethostname() or not process.isdigit() or sys.platform == "win32":
        return time.time() - folder.stat().st_mtime < _DAY_S
    try:
        os.kill(int(process), 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    return True
