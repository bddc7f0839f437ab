"""A time without the search for garbage."""

from __future__ import annotations

import gc
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["without_garbage_search"]


@contextmanager
def without_garbage_search() -> Iterator[None]:
    """No search for garbage in the body.

    A proof makes many values and no rings of them: all go when the last that holds them goes. Searched for rings again
    and again, a program of 40,000 blocks takes a third longer, and twice the blocks more than twice the time.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
