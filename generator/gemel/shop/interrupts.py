"""Ctrl-C while pairs are written: the pair in hand is finished first."""

from __future__ import annotations

import signal
import threading
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator
    from types import FrameType

__all__ = ["Interrupts", "deferred_interrupts", "ignore_interrupts"]


class Interrupts:
    """Whether somebody has asked to stop."""

    def __init__(self) -> None:
        self.asked = False

    def note(self, _number: int, _frame: FrameType | None) -> None:
        """The first Ctrl-C is remembered; a second one ends at once, which loses nothing but the pair in hand."""
        if self.asked:
            raise KeyboardInterrupt
        self.asked = True


@contextmanager
def deferred_interrupts() -> Iterator[Interrupts]:
    """Ctrl-C remembered instead of raised, for as long as the body runs."""
    interrupts = Interrupts()
    if threading.current_thread() is not threading.main_thread():
        yield interrupts
        return
    before = signal.signal(signal.SIGINT, interrupts.note)
    try:
        yield interrupts
    finally:
        signal.signal(signal.SIGINT, before)


def ignore_interrupts() -> None:
    """Leave Ctrl-C to the parent process; it decides when to stop."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
