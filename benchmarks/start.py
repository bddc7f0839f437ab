"""How long `gemel --help` takes, against the help of a program of the same command library with a single command."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from benchmarks.side_by_side import HEAD, Figure, compare, work_s

_BARE = Path(__file__).with_name("bare_program.py")


def _run(*words: str) -> None:
    subprocess.run([sys.executable, *words], check=True, capture_output=True)


def measure() -> Figure:
    """Whole processes, from start to end."""
    return compare(
        ("gemel --help", "a bare Typer program's --help"),
        lambda: _run("-c", "from gemel.cli.main import main; main()", "--help"),
        lambda: _run(str(_BARE), "--help"),
        goal=1.3,
        clock=work_s,
    )


if __name__ == "__main__":
    print(HEAD, measure().row(), sep="\n")
