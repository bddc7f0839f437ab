"""Runs every benchmark and prints the figures side by side: `python -m benchmarks.run`."""

from __future__ import annotations

import os
import platform

from benchmarks import commit, cuts, load, start, timeline, write
from benchmarks.side_by_side import HEAD

if __name__ == "__main__":
    print(f"Python {platform.python_version()}, {os.cpu_count()} cores; medians, both sides in turns in one run")
    print(HEAD)
    for benchmark in (start, write, load, timeline, cuts, commit):
        print(benchmark.measure().row(), flush=True)
