"""Many tasks on all cores: in order, a few ahead, and no process left behind."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from gemel.shop import pool

if TYPE_CHECKING:
    from collections.abc import Iterator

ROOT = Path(__file__).parents[1]


def test_results_come_in_the_order_of_the_tasks() -> None:
    """Spread over processes, the results are those of a plain loop."""
    assert list(pool.in_order(abs, range(-40, 0), 40)) == list(range(40, 0, -1))


def test_a_caller_who_stops_early_leaves_the_rest_undone() -> None:
    """Only a few tasks are drawn ahead of what was taken, so that memory stays flat."""
    drawn: list[int] = []

    def tasks() -> Iterator[int]:
        for number in range(1000):
            drawn.append(number)
            yield number

    results = pool.in_order(abs, tasks(), 1000)
    assert [next(results) for _ in range(3)] == [0, 1, 2]
    results.close()  # type: ignore[attr-defined] # it is a generator
    assert len(drawn) < 3 + 4 * 8 + 1


CHILD = """
import os, sys, time
sys.path.insert(0, sys.argv[1])
from gemel.shop import pool
if __name__ == "__main__":
    for one in pool.in_order(time.sleep, [0] * 9 + [60] * 20, 29):
        print(one, flush=True)
"""


def children_of(pid: int) -> list[int]:
    tasks = Path(f"/proc/{pid}/task/{pid}/children")
    return [int(word) for word in tasks.read_text().split()] if tasks.exists() else []


@pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="looks into /proc")
def test_a_killed_gemel_leaves_no_process_behind(tmp_path: Path) -> None:
    """When the parent is killed in the middle of its work, its workers end too."""
    script = tmp_path / "child.py"
    script.write_text(CHILD)
    with subprocess.Popen([sys.executable, str(script), str(ROOT)], stdout=subprocess.PIPE) as child:  # noqa: S603 # our own
        assert child.stdout is not None
        child.stdout.readline()
        workers = children_of(child.pid)
        child.kill()
    assert len(workers) >= 2 or os.cpu_count() == 1
    deadline = 200
    while deadline and any(Path(f"/proc/{pid}").exists() and state_of(pid) != "Z" for pid in workers):
        time.sleep(0.05)
        deadline -= 1
    assert deadline, "workers live on"


def state_of(pid: int) -> str:
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]
    except OSError:
        return "Z"
