"""Timing two pieces of work side by side in one run, so that a figure is a ratio and not a property of the machine."""

from __future__ import annotations

import gc
from resource import RUSAGE_CHILDREN, RUSAGE_SELF, getrusage
from time import perf_counter
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["Figure", "compare", "work_s"]


class Figure(NamedTuple):
    """One comparison.

    Attributes:
        name: what gemel does.
        against: what it is compared with.
        ours_s, theirs_s: seconds of the fastest go; what others do on the machine only ever makes a go slower.
        goal: the ratio that is aimed at.
    """

    name: str
    against: str
    ours_s: float
    theirs_s: float
    goal: float

    @property
    def ratio(self) -> float:
        """How many times as long ours takes."""
        return self.ours_s / self.theirs_s

    def row(self) -> str:
        """One line for people."""
        met = "met" if self.ratio <= self.goal else "MISSED"
        times = f"{self.ours_s * 1000:9.1f} ms  {self.theirs_s * 1000:9.1f} ms"
        return f"{self.name:<28} {self.against:<34} {times}  {self.ratio:5.2f}  {self.goal:4.1f}  {met}"


def work_s() -> float:
    """Seconds that this process and those that it has started and seen end have worked, system and all."""
    return sum(usage.ru_utime + usage.ru_stime for usage in map(getrusage, (RUSAGE_SELF, RUSAGE_CHILDREN)))


HEAD = f"{'gemel':<28} {'against':<34} {'gemel':>12}  {'against':>12}  ratio  goal"


def compare(  # noqa: PLR0913 # each is said by name where it is called
    names: tuple[str, str],
    ours: Callable[[], object],
    theirs: Callable[[], object],
    goal: float,
    rounds: int = 30,
    *,
    clock: Callable[[], float] = perf_counter,
) -> Figure:
    """The fastest go of both, run in turns so that a busy moment hits both; one go of each before is not counted.

    `clock` is that of the wall, or `work_s` where nothing waits: then what others do on the machine does not count.
    """
    ours()
    theirs()
    taken: tuple[list[float], list[float]] = ([], [])
    for _ in range(rounds):
        for work, times in zip((ours, theirs), taken, strict=True):
            gc.collect()
            begin = clock()
            work()
            times.append(clock() - begin)
    return Figure(*names, min(taken[0]), min(taken[1]), goal)
