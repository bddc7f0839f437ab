"""One gemel at a time in a shop. The lock dies with the process that holds it."""

from __future__ import annotations

import os
import socket
import sys
import time
from contextlib import contextmanager
from typing import TYPE_CHECKING

from gemel.findings import Findings, Label, Span
from gemel.history import codes

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

__all__ = ["hold_shop", "hold_side_branches"]

# The byte that is locked lies far behind the text, so that others may read who holds it where locks bind readers.
_FAR = 1 << 30
_PAUSE_S = 0.02
_WAIT_S = 60.0


@contextmanager
def hold_shop(shop: Path, what: str) -> Iterator[None]:
    """The shop's lock, for as long as the body runs.

    Args:
        shop: the shop's folder.
        what: what is being done, for whoever finds the door closed.

    Raises:
        Findings: `lock:held` with process, machine and work of the holder.
        OSError: the shop cannot be written to.
    """
    folder = shop / ".gemel"
    folder.mkdir(exist_ok=True)
    with _hold(folder / "lock", what, wait_s=0.0):
        yield


@contextmanager
def hold_side_branches(git_folder: Path, what: str) -> Iterator[None]:
    """The lock of all side branches; one who comes second waits a while, since an intake is short.

    It lies in git's folder: nothing appears in the working tree.

    Raises:
        Findings: `lock:held` with process, machine and work of the holder.
        OSError: git's folder cannot be written to.
    """
    folder = git_folder / "gemel"
    folder.mkdir(exist_ok=True)
    with _hold(folder / "side.lock", what, wait_s=_WAIT_S):
        yield


@contextmanager
def _hold(path: Path, what: str, wait_s: float) -> Iterator[None]:
    handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o644)
    try:
        until = time.monotonic() + wait_s
        while not _take(handle):
            if time.monotonic() >= until:
                holder = os.read(handle, 400).decode("utf-8", "replace").strip() or "somebody who has not said who"
                label = Label(Span(f"{path.parent.name}/{path.name}"))
                raise Findings([codes.LOCKED.found(f"another gemel is at work in this shop: {holder}", label)])
            time.sleep(_PAUSE_S)
        os.ftruncate(handle, 0)
        os.write(handle, f"process {os.getpid()} on {socket.gethostname()}, {what}\n".encode())
        try:
            yield
        finally:
            os.ftruncate(handle, 0)
    finally:
        # Closing the file gives the lock back; the file stays, since taking it away would race with the next holder.
        os.close(handle)


def _take(handle: int) -> bool:
    if sys.platform == "win32":
        import msvcrt  # noqa: PLC0415 # exists on this system only

        os.lseek(handle, _FAR, os.SEEK_SET)
        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        finally:
            os.lseek(handle, 0, os.SEEK_SET)
        return True
    import fcntl  # noqa: PLC0415 # exists on this system only

    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True
