"""A family of a thousand members in one run: how long, how much memory, over how many cores.

`python -m benchmarks.many [MEMBERS]`. Memory is that of all of gemel's processes, looked at twice a second; it is flat
when there is no more of it near the end than when a tenth was written.
"""

from __future__ import annotations

import os
import re
import resource
import subprocess
import sys
import tempfile
import threading
from pathlib import Path
from time import monotonic, sleep
from typing import NamedTuple

from gemel.shop.new_shop import new_shop

_MAIN = "from gemel.cli.main import main; main()"
_EVERY_S = 0.5


class Run(NamedTuple):
    """One run of the command: seconds of the wall and of the cores, and samples of (pairs written, bytes of memory)."""

    wall_s: float
    cores_s: float
    samples: list[tuple[int, int]]
    last_line: str


def shop_of(folder: Path, members: int) -> Path:
    """A new shop whose one family has that many members, in git."""
    root = new_shop(folder / "shop").root
    family = root / "families/plain-pin.yaml"
    rows = "".join(f'  "{n}": {{length: {30 + n / 100:.2f}, program: {n}}}\n' for n in range(1, members + 1))
    family.write_text(re.sub(r"members:\n(  \".*\n)+", f"members:\n{rows}", family.read_text()))
    subprocess.run(["git", "commit", "--quiet", "-am", "many pins"], cwd=root, check=True)
    return root


def write(root: Path) -> Run:
    """`gemel write` in a process of its own, watched."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    begun = monotonic()
    run = subprocess.Popen(
        [sys.executable, "-c", _MAIN, "write"],
        cwd=root,
        stdout=subprocess.PIPE,
        text=True,
        start_new_session=True,
        env=os.environ | {"PYTHONUNBUFFERED": "1"},
    )
    written, samples, last = 0, [], ""
    ended = threading.Event()

    def watch() -> None:
        while not ended.is_set():
            samples.append((written, _memory(run.pid)))
            sleep(_EVERY_S)

    watcher = threading.Thread(target=watch, daemon=True)
    watcher.start()
    assert run.stdout is not None
    for line in run.stdout:
        written += line.startswith("written")
        last = line.rstrip()
    run.wait()
    ended.set()
    watcher.join()
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    cores = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return Run(monotonic() - begun, cores, samples, last)


def _memory(group: int) -> int:
    """Bytes that the processes of a group have for themselves (resident, without what they share)."""
    total = 0
    for status in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = status.read_text().rpartition(")")[2].split()
            if int(fields[2]) == group:
                resident, shared = (status.parent / "statm").read_text().split()[1:3]
                total += (int(resident) - int(shared)) * resource.getpagesize()
        except (OSError, ValueError, IndexError):
            continue  # it ended between the two looks
    return total


def _at(samples: list[tuple[int, int]], written: int) -> float:
    """Megabytes in use once that many pairs were written."""
    return next((size for done, size in samples if done >= written), samples[-1][1]) / 1e6


def main(members: int) -> None:
    """Write all, then all again."""
    with tempfile.TemporaryDirectory() as scratch:
        root = shop_of(Path(scratch), members)
        first = write(root)
        tenth, late = _at(first.samples, members // 10), _at(first.samples, members - members // 20)
        print(f"{members} members, {os.cpu_count()} cores: {first.last_line}")
        print(f"  {first.wall_s:.1f} s, {first.wall_s / members * 1000:.1f} ms a pair, proved and committed")
        print(f"  busy {first.cores_s / first.wall_s:.2f} cores, git and all")
        print(f"  memory {tenth:.0f} MB when a tenth is written, {late:.0f} MB near the end: {late / tenth:.2f} times")
        again = write(root)
        print(f"  the same command again: {again.last_line}, {again.wall_s:.1f} s")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
