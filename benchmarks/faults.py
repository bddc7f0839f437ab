"""Hundreds of random kills over intake, writing and sending: `PYTHONPATH=tests python -m benchmarks.faults [KILLS]`.

After each kill the next command must find everything that had been done. A failure ends the run with its seed.
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from pathlib import Path

from gemel.shop.new_shop import new_shop
from support.at_control import NAME
from support.killed import WORK, Kill, kill_and_look, quiet
from support.repositories import git

_ROOT = Path(__file__).parents[1]
_KILLS = 240


def _shop(folder: Path) -> Path:
    root = new_shop(folder).root
    (root / "families/plain-pin.yaml").unlink()
    shutil.copy(_ROOT / "families/port-block.yaml", root / "families/port-block.yaml")
    git(root, "add", "-A")
    git(root, "commit", "--quiet", "-m", "the port block")
    os.chdir(root)
    assert quiet(["write", NAME]) == 0
    return root


def _row(work: str, kills: list[Kill]) -> str:
    done = sum(len(kill.done) for kill in kills)
    with_git, locks = sum(kill.with_git for kill in kills), sum(kill.locks for kill in kills)
    return (
        f"{work:<8} {len(kills):>5} kills, {with_git} with git; {done:>4} pieces of work done before; {locks} git locks"
    )


def main(kills: int) -> None:
    """Kill each kind of work equally often."""
    for who in ("AUTHOR", "COMMITTER"):
        os.environ |= {f"GIT_{who}_NAME": "A Programmer", f"GIT_{who}_EMAIL": "programmer@shop.invalid"}
    for work in WORK:
        found = []
        with tempfile.TemporaryDirectory() as scratch:
            shop, there = _shop(Path(scratch) / "shop"), Path(scratch) / "control"
            there.mkdir()
            for seed in range(1, kills // len(WORK) + 1):
                try:
                    found.append(kill_and_look(work, shop, there, seed))
                except BaseException:
                    print(f"{work}: lost at seed {seed}", flush=True)
                    raise
            os.chdir(_ROOT)
        print(_row(work, found), "nothing lost", flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else _KILLS)
