"""From the files of a control to the review page, `gemel review PAIR --from DIR`, from process start.

A pair of the demo shop with three edits, each traced to the YAML, judged by proof and time. Each go takes in other
bytes, so that nothing is there already. Compared with proving the same pair twice, as it was and as it came back.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from itertools import count
from pathlib import Path
from time import perf_counter

from benchmarks.side_by_side import HEAD, Figure, compare, work_s

_ROOT = Path(__file__).parents[1]
_GEMEL = (sys.executable, "-c", "import sys; from gemel.cli.main import run; sys.exit(run(sys.argv[1:]))")
_NAME, _MACHINE = "port-block-35", "twin-turnmill"
_GOAL_S = 1.5
_EDITS = ((b"Q12000", b"Q9000"), (b"G01 X-1.6 F0.2\n", b"G01 X-1.6 F0.15\n"))


class _Bench:
    """A clone of the demo shop, and a control's folder with the copies."""

    def __init__(self, folder: Path) -> None:
        self.shop, self._stick = folder / "shop", folder / "stick"
        subprocess.run(["git", "clone", "--quiet", str(_ROOT), str(self.shop)], check=True)
        self._stick.mkdir()
        self._number = count(1)
        pair = self.shop / "output" / _MACHINE / _NAME
        self._files = {f"{_NAME}.{channel}.nc": (pair / f"{_NAME}.{channel}.nc").read_bytes() for channel in _CHANNELS}

    def put(self) -> None:
        """Copies with three edits, and bytes that no go before had."""
        for name, data in self._files.items():
            edited = data
            for old, new in _EDITS if ".lower." in name else ():
                edited = edited.replace(old, new)
            (self._stick / name).write_bytes(edited + b" " * next(self._number))

    def ours(self) -> None:
        """Take in, and make the page."""
        self.put()
        said = self._run("review", "port-block/35", "--from", str(self._stick), "--machine", _MACHINE)
        assert "3 undecided, 0 new errors" in said, said

    def theirs(self) -> None:
        """Prove both."""
        for folder in (self.shop / "output" / _MACHINE / _NAME, self._stick):
            files = [str(folder / f"{_NAME}.{channel}.nc") for channel in _CHANNELS]
            self._run("prove", *files, "--machine", _MACHINE)

    def _run(self, *words: str) -> str:
        return subprocess.run([*_GEMEL, *words], cwd=self.shop, check=False, capture_output=True, text=True).stdout


_CHANNELS = ("upper", "lower")


def measure() -> Figure:
    """One process against two; by the work they do, since nothing here waits."""
    with tempfile.TemporaryDirectory() as folder:
        bench = _Bench(Path(folder))
        names = ("intake to review page", "proving it twice")
        return compare(names, bench.ours, bench.theirs, goal=3.0, rounds=5, clock=work_s)


def seconds() -> tuple[float, float]:
    """Of the fastest of ten goes: by the wall, and the work in it."""
    with tempfile.TemporaryDirectory() as folder:
        bench = _Bench(Path(folder))
        taken = []
        for _ in range(10):
            begin, worked = perf_counter(), work_s()
            bench.ours()
            taken.append((perf_counter() - begin, work_s() - worked))
        return min(taken)


if __name__ == "__main__":
    print(HEAD, measure().row(), sep="\n")
    wall, work = seconds()
    met = "met" if wall <= _GOAL_S else "MISSED"
    print(f"intake to review page, from process start: {wall:.2f} s, of it {work:.2f} s work; goal {_GOAL_S} s  {met}")
