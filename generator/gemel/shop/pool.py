"""Many pairs on all cores: results in order, a few in flight, memory flat."""

from __future__ import annotations

import errno
import os
import threading
from collections import deque
from typing import TYPE_CHECKING, TypeVar

from gemel.shop.garbage import look_seldom
from gemel.shop.interrupts import ignore_interrupts

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator
    from concurrent.futures import Future

__all__ = ["in_order"]

Task = TypeVar("Task")
Result = TypeVar("Result")
_FEW = 8


def _begin() -> None:
    """Leave Ctrl-C to the parent, and end with it: one that was killed cannot tell its children."""
    from multiprocessing import parent_process  # noqa: PLC0415 # heavy

    ignore_interrupts()
    look_seldom()
    parent = parent_process()
    assert parent is not None, "this runs in a child alone"

    def follow() -> None:
        parent.join()
        os._exit(1)

    threading.Thread(target=follow, daemon=True).start()


def in_order(work: Callable[[Task], Result], tasks: Iterable[Task], total: int) -> Iterator[Result]:
    """`work(task)` for each task, in the order of the tasks.

    A handful is done in this process; more are spread over the cores, never more than a few ahead of what was taken.
    """
    cores = min(os.cpu_count() or 1, 8)
    if total <= _FEW or cores == 1:
        yield from map(work, tasks)
        return
    from concurrent.futures import ProcessPoolExecutor  # noqa: PLC0415 # heavy
    from concurrent.futures.process import BrokenProcessPool  # noqa: PLC0415 # heavy
    from multiprocessing import get_context  # noqa: PLC0415 # heavy

    # Fresh processes: a forked one would inherit locks and whatever else this one holds.
    context = get_context("spawn")
    with ProcessPoolExecutor(cores, mp_context=context, initializer=_begin) as pool:
        waiting: deque[Future[Result]] = deque()
        try:
            for task in tasks:
                waiting.append(pool.submit(work, task))
                if len(waiting) > 3 * cores:
                    yield waiting.popleft().result()
            while waiting:
                yield waiting.popleft().result()
        except BrokenProcessPool as error:
            said = "a process of gemel was ended from outside, perhaps for want of memory"
            raise ChildProcessError(errno.ECHILD, said) from error
        finally:
            # Also when the caller stops early: what has not begun is dropped.
            pool.shutdown(wait=True, cancel_futures=True)
