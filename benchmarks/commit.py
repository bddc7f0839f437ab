"""How long a commit of one pair takes, against `git add` and `git commit` of the same files."""

from __future__ import annotations

import os
import subprocess
import tempfile
from itertools import count
from pathlib import Path

from benchmarks.side_by_side import HEAD, Figure, compare, work_s

from gemel.history import create_repository, open_repository

_BLOCKS = 300


def _git(folder: Path, *words: str) -> None:
    subprocess.run(["git", *words], cwd=folder, check=True, capture_output=True)


def _pair(number: int) -> dict[str, bytes]:
    body = "".join(f"G01 X{n}. Z-{number}.{n}\n" for n in range(_BLOCKS)).encode()
    files = {f"output/machine/part-1/part-1.{channel}.nc": body + channel.encode() for channel in ("upper", "lower")}
    return files | {"output/machine/part-1/record.json": f'{{"program": {number}}}'.encode()}


def _shop(folder: Path) -> Path:
    folder.mkdir()
    create_repository(folder)
    _git(folder, "config", "user.name", "A Programmer")
    _git(folder, "config", "user.email", "programmer@shop.invalid")
    (folder / "output/machine/part-1").mkdir(parents=True)
    return folder


def _put(folder: Path, files: dict[str, bytes]) -> None:
    for name, data in files.items():
        (folder / name).write_bytes(data)


def measure() -> Figure:
    """The files are on disk in both; each commit changes every block of both."""
    with tempfile.TemporaryDirectory() as scratch:
        os.environ.update({f"GIT_{who}_{what}": v for who in ("AUTHOR", "COMMITTER") for what, v in _who()})
        mine, theirs = (_shop(Path(scratch) / name) for name in ("gemel", "git"))
        repository = open_repository(mine)
        numbers = count(1)

        def ours() -> None:
            files = _pair(next(numbers))
            _put(mine, files)
            assert repository.commit(files, (), "part 1: revision A\n")

        def plain() -> None:
            files = _pair(next(numbers))
            _put(theirs, files)
            _git(theirs, "add", *files)
            _git(theirs, "commit", "--quiet", "-m", "part 1: revision A")

        return compare(("commit of a pair", "git add + git commit"), ours, plain, goal=3.0, clock=work_s)


def _who() -> tuple[tuple[str, str], ...]:
    return (("NAME", "A Programmer"), ("EMAIL", "programmer@shop.invalid"))


if __name__ == "__main__":
    print(HEAD, measure().row(), sep="\n")
