"""`gemel status` for a hundred pairs, and a commit to a side branch against a plain `git commit` of the same files.

Every one of the hundred has a copy with an edit on the side branch, and every third one a release.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tempfile
from itertools import count
from pathlib import Path
from time import perf_counter

from benchmarks.side_by_side import HEAD, Figure, compare

from gemel.history import create_repository, look_aside, read_repository
from gemel.shop.intake import Request, take_in
from gemel.shop.layout import Shop
from gemel.shop.new_shop import new_shop
from gemel.shop.release import Wish, release

_ROOT = Path(__file__).parents[1]
_FAMILIES, _MEMBERS = 25, ("20", "35", "50", "65")
_GOAL_S = 1.0
_MACHINE = "twin-turnmill"
_GEMEL = (sys.executable, "-c", "import sys; from gemel.cli.main import run; sys.exit(run(sys.argv[1:]))")


def _run(folder: Path, *words: str) -> None:
    subprocess.run(words, cwd=folder, check=False, capture_output=True)


def hundred_pairs(folder: Path) -> Shop:
    """A shop with a hundred pairs, each written, with a copy from the control that has an edit; a third released."""
    root = new_shop(folder).root
    (root / "families/plain-pin.yaml").unlink()
    text = (_ROOT / "families/port-block.yaml").read_text()
    for number in range(_FAMILIES):
        mine = text.replace("family: port-block", f"family: block-{number}")
        mine = re.sub(r"program: 120(\d)", rf"program: {200 + number}\1", mine)
        (root / f"families/block-{number}.yaml").write_text(mine)
    _run(root, "git", "add", "-A")
    _run(root, "git", "commit", "-m", "families")
    _run(root, *_GEMEL, "write")
    stick = root.parent / "stick"
    stick.mkdir()
    for path in (root / "output").rglob("*.lower.nc"):
        (stick / path.name).write_bytes(path.read_bytes().replace(b"F0.08", b"F0.06"))
    shop = Shop(root)
    for name in [f"block-{number}/{member}" for number in range(_FAMILIES) for member in _MEMBERS][::3]:
        release(shop, Wish(name, _MACHINE, "A. Setter", "2024-03-01"))
    assert len(take_in(shop, Request((str(stick),), _MACHINE)).taken) == _FAMILIES * len(_MEMBERS)
    return shop


def status_s(shop: Shop) -> tuple[float, float]:
    """Seconds of the first look, where everything is worked out, and of the fastest of ten later ones."""
    shutil.rmtree(shop.root / ".git/gemel", ignore_errors=True)
    times = []
    for _ in range(11):
        begin = perf_counter()
        said = subprocess.run([*_GEMEL, "status"], cwd=shop.root, check=False, capture_output=True, text=True)
        times.append(perf_counter() - begin)
        assert said.stdout.count("1 undecided") == _FAMILIES * len(_MEMBERS), said.stderr
    return times[0], min(times[1:])


def measure() -> Figure:
    """A commit of two programs of three hundred blocks to a side branch, and the same with plain git."""
    _identify()
    with tempfile.TemporaryDirectory() as scratch:
        mine, theirs = (Path(scratch) / name for name in ("gemel", "git"))
        for folder in (mine, theirs):
            folder.mkdir()
            create_repository(folder)
            _run(folder, "git", "commit", "--allow-empty", "-m", "begin")
        repository = read_repository(mine)
        numbers = count(1)

        def texts() -> dict[str, bytes]:
            number = next(numbers)
            body = "".join(f"G01 X{n}. Z-{number}.{n}\n" for n in range(300)).encode()
            return {f"{channel}.nc": body + channel.encode() for channel in ("upper", "lower")}

        def ours() -> None:
            assert look_aside(repository, _MACHINE).commit(texts(), (), "a copy\n")

        def plain() -> None:
            for name, data in texts().items():
                (theirs / name).write_bytes(data)
            _run(theirs, "git", "add", "upper.nc", "lower.nc")
            _run(theirs, "git", "commit", "--quiet", "-m", "a copy")

        return compare(("commit to a side branch", "git add + git commit"), ours, plain, goal=3.0)


def main() -> None:
    """Both figures."""
    print(HEAD, measure().row(), sep="\n", flush=True)
    with tempfile.TemporaryDirectory() as scratch:
        first_s, later_s = status_s(hundred_pairs(Path(scratch) / "shop"))
    met = "met" if later_s <= _GOAL_S else "MISSED"
    print(
        f"status of 100 pairs, from the start of the process: {later_s * 1000:.0f} ms (goal {_GOAL_S * 1000:.0f}) {met}"
    )
    print(f"  the first look, which proves and times them and compares their copies: {first_s * 1000:.0f} ms")


def _identify() -> None:
    for who in ("AUTHOR", "COMMITTER"):
        os.environ |= {f"GIT_{who}_NAME": "A Programmer", f"GIT_{who}_EMAIL": "programmer@shop.invalid"}


if __name__ == "__main__":
    main()
