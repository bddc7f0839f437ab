"""How long a comparison by meaning takes, from bytes to named edits, against `git diff --no-index` on the same files.

Every sequence number differs. Programs of 50,000 and 2,000 blocks, with 200 and 20 edits: posted paths whose blocks
hardly repeat, paths whose blocks nearly all repeat, and a text without a wait mark, a tool or a comment.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path
from random import Random

_TESTS = Path(__file__).parents[1] / "tests"
sys.path.insert(0, str(_TESTS))

from benchmarks import side_by_side  # noqa: E402 # the same

from gemel.edits.compare import baseline_of, compare  # noqa: E402 # behind the path of the tests' support
from gemel.machines.dialect import dialect_of  # noqa: E402 # the same
from support.control_copies import edited  # noqa: E402 # the tests' own support, found above
from support.pairs import machine  # noqa: E402 # the same

_WAITS = 90
_GOALS = {50_000: 5.0, 2_000: 2.0}
_EDITS = {50_000: 200, 2_000: 20}
_MOST = 10.0


def _path(random: Random, kind: str, number: int) -> list[str]:
    """One operation: a tool, a start, passes over a contour, the way out."""
    head = [f"(OPERATION {number}, TOOL {number % 12 + 1})", f"T{(number % 12 + 1) * 101:04d}"]
    if kind == "bare":
        head = []
    head += ["G21 G40 G80 G97 G18 G99 G54", "G50 S3000", "G96 S180 M03", "M08", "G00 Z2.", "G00 X40."]
    passes = []
    for depth in range(40):
        x = 38 - depth / 2 if kind == "all repeats" else random.uniform(10, 38)
        far = 40 if kind == "all repeats" else random.uniform(5, 60)
        passes += [f"G00 X{x:.3f}", f"G01 Z-{far:.3f} F0.25", f"G01 X{x + 1:.3f} F0.3", "G00 Z2."]
    return [*head, *passes, "G00 X120.", "M09", "M05"]


def program(blocks: int, kind: str) -> list[str]:
    """Rows of a program without sequence numbers, at least `blocks` of them."""
    random = Random(blocks)  # noqa: S311 # chance for programs, not for secrets
    rows = ["%", "O1000 (A LONG ONE)"]
    every = max(2, blocks // 170 // _WAITS)
    number = 0
    while len(rows) < blocks:
        if kind != "bare" and number % every == 0 and number // every < _WAITS:
            rows.append(f"M{701 + number // every} (WAIT FOR UPPER)")
        number += 1
        rows += (
            _path(random, "all repeats" if kind == "bare" else kind, number)
            if kind != "bare"
            else _path(random, kind, 1 if number % 2 else 2)
        )
    return [*rows, "M30", "%"]


def numbered(rows: list[str], step: int) -> bytes:
    """The rows with a sequence number before each block."""
    told = (f"N{(i + 1) * step} {row}" if row[0] not in "%O(" else row for i, row in enumerate(rows))
    return ("\n".join(told) + "\n").encode()


def measure(blocks: int, kind: str, goal: float) -> side_by_side.Figure:
    """One pair of files, compared by both."""
    dialect = dialect_of(machine(), "lower")
    rows = program(blocks, kind)
    changed, done = edited("\n".join(rows).encode(), dialect, 7, _EDITS[blocks])
    before, after = numbered(rows, 1), numbered(changed.decode().split("\n"), 2)
    with tempfile.TemporaryDirectory() as folder:
        places = [Path(folder) / "before.nc", Path(folder) / "after.nc"]
        for place, data in zip(places, (before, after), strict=True):
            place.write_bytes(data)
        command = ["git", "diff", "--no-index", "--no-ext-diff", *map(str, places)]
        found = compare(baseline_of(before, dialect), after)
        figure = side_by_side.compare(
            (f"edits, {blocks} blocks, {kind}", "git diff --no-index"),
            lambda: compare(baseline_of(before, dialect), after),
            lambda: subprocess.run(command, stdout=subprocess.DEVNULL, check=False),
            goal,
            rounds=15 if blocks > 10_000 else 80,
        )
    print(f"    {len(done)} edits made, {len(found.edits)} found", flush=True)
    return figure


if __name__ == "__main__":
    print(side_by_side.HEAD)
    for size, wanted in _GOALS.items():
        for sort in ("unlike", "all repeats", "bare"):
            print(measure(size, sort, wanted if sort == "unlike" else _MOST).row(), flush=True)
