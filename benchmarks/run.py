"""Runs every benchmark and prints the figures side by side: `python -m benchmarks.run`."""

from __future__ import annotations

import os
import platform

from benchmarks import commit, cuts, load, prove, read, review, sheets, start, status, timeline, write
from benchmarks.side_by_side import HEAD

if __name__ == "__main__":
    print(f"Python {platform.python_version()}, {os.cpu_count()} cores; the fastest go of many, both sides in turns")
    print(HEAD)
    asked = (start, read, write, load, timeline, cuts, sheets, commit, status, review)
    for benchmark in (*asked, prove) if prove.is_available() else asked:
        print(benchmark.measure().row(), flush=True)
