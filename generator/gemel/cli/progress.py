"""Progress on standard error, in a terminal only, once a work has taken more than a second."""

from __future__ import annotations

import sys
import time
from contextlib import contextmanager
from typing import TYPE_CHECKING

from gemel.cli.screen import is_terminal

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["Progress", "progress"]

_WIDTH = 24
_QUIET_S = 1.0
_EVERY_S = 0.1


class Progress:
    """A bar that says how far the work is, with the last piece of it that is done."""

    def __init__(self, total: int, *, shown: bool) -> None:
        self._total = total
        self._shown = shown
        self._begun = time.monotonic()
        self._last = 0.0
        self._length = 0
        self.done = 0

    def step(self, what: str) -> None:
        """One more is done."""
        self.done += 1
        now = time.monotonic()
        if self._shown and now - self._begun > _QUIET_S and now - self._last > _EVERY_S:
            self._last = now
            filled = _WIDTH * self.done // max(self._total, 1)
            bar = "#" * filled + "." * (_WIDTH - filled)
            self._draw(f"[{bar}] {self.done} of {self._total}  {what}")

    def clear(self) -> None:
        """Take the line away, so that something else can be printed."""
        if self._length:
            self._draw("")

    def _draw(self, text: str) -> None:
        shown = text[:78]
        sys.stderr.write(f"\r{shown.ljust(self._length)}\r{shown}")
        sys.stderr.flush()
        self._length = len(shown)


@contextmanager
def progress(total: int) -> Iterator[Progress]:
    """A progress line for the body."""
    line = Progress(total, shown=is_terminal(sys.stderr))
    try:
        yield line
    finally:
        line.clear()
