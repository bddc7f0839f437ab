"""Kill a gemel at a random moment of its work, then see that the next command finds everything that was promised."""

from __future__ import annotations

import os
import random
import re
import signal
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from gemel.cli import main as boundary
from gemel.edits.records import read_records
from gemel.history import read_pair
from gemel.history.mark import without_mark
from support.at_control import BRANCH, FOLDER, MACHINE, NAME, PAIR, both, program
from support.repositories import git

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["WORK", "Kill", "kill_and_look"]

TESTS = Path(__file__).parents[1]
LOWER = "port-block-20/lower.nc"
_CHILD = """
import os, sys
from pathlib import Path
sys.path.insert(0, sys.argv[1])
from support import killed
work, shop, there, first = sys.argv[2], Path(sys.argv[3]), Path(sys.argv[4]), int(sys.argv[5])
os.chdir(shop)
killed.warm_up(work, shop)
print("ready", flush=True)
for number in range(first, first + 10_000):
    killed.WORK[work].once(shop, there, number)
    print("done", number, flush=True)
"""


@dataclass(frozen=True, slots=True)
class Kill:
    """One kill.

    Attributes:
        after_s: how long after the work began.
        done: numbers of the pieces of work that were done by then.
        with_git: whether the git that gemel had started was killed too.
        locks: whether git left a lock that a person had to take away.
    """

    after_s: float
    done: tuple[int, ...]
    with_git: bool
    locks: bool


@dataclass(frozen=True, slots=True)
class _Work:
    """Something that gemel does over and over.

    Attributes:
        once: does it, a different one for each number.
        look: what must be so after a kill; given the numbers that were done.
        longest_s: how long to wait at most before the kill: a few pieces of work.
    """

    once: Callable[[Path, Path, int], None]
    look: Callable[[Path, Path, tuple[int, ...]], None]
    longest_s: float


def warm_up(work: str, shop: Path) -> None:
    """Load what the work needs, so that the kill meets the work and not the loading."""
    assert work in WORK
    quiet(["status"])
    assert shop.is_dir()


def quiet(words: list[str]) -> int:
    """A command whose words nobody reads."""
    with Path(os.devnull).open("w") as nowhere:
        saved = sys.stdout, sys.stderr
        sys.stdout = sys.stderr = nowhere
        try:
            return boundary.run(words)
        finally:
            sys.stdout, sys.stderr = saved


def _feed(number: int) -> bytes:
    return b"F0.%06d" % (10 * number + 7)


def _intake(shop: Path, there: Path, number: int) -> None:
    both(shop, there, (b"F0.08", _feed(number)))
    assert quiet(["intake", str(there), "--machine", MACHINE]) == 0


def _look_intake(shop: Path, there: Path, done: tuple[int, ...]) -> None:
    assert quiet(["intake", str(there), "--machine", MACHINE]) == 0
    words = ("log", "--full-history", "--raw", "--no-abbrev", "--no-renames", "--format=", BRANCH, "--", LOWER)
    ids = {row.split()[3] for row in git(shop, *words).splitlines()}
    copies = {git(shop, "cat-file", "blob", blob).encode() for blob in ids}
    for number in done:
        assert program(shop, "lower").replace(b"F0.08", _feed(number)) in copies, f"copy {number} is gone"
    latest = git(shop, "show", f"{BRANCH}:{LOWER}").encode()
    assert latest == (there / "port-block-20.lower.nc").read_bytes()
    assert git(shop, "ls-tree", "--name-only", f"{BRANCH}:").split() == ["port-block-20"]


def _decide(shop: Path, there: Path, number: int) -> None:
    _intake(shop, there, number)
    assert quiet(["decide", NAME, "--all", "--keep", "--by", "A. Reviewer", "--why", f"trial {number}"]) == 0


def _look_decide(shop: Path, there: Path, done: tuple[int, ...]) -> None:
    assert quiet(["intake", str(there), "--machine", MACHINE]) == 0
    assert quiet(["edits", NAME]) in (0, 1)
    path = shop / "families/port-block.edits.yaml"
    text = path.read_text() if path.exists() else "decisions:\n"
    records = read_records(text if path.exists() else f"family: port-block\n{text}", path.name)
    decided = {record.edit.why for record in records}
    assert {f"trial {number}" for number in done} <= decided, "a decision is gone"
    status = quiet(["decide", NAME, "--all", "--keep", "--by", "A. Reviewer", "--why", "again"])
    assert status in (0, 2), "what was left undecided can be decided"
    assert len(read_records(path.read_text(), path.name)) >= len(records)


def _write(shop: Path, there: Path, number: int) -> None:
    assert there.is_dir()
    path = shop / "families/port-block.yaml"
    changed = re.sub(r'"20": {length: [0-9.]+', f'"20": {{length: {20 + number % 40 / 10}', path.read_text())
    staged = path.with_name("staged")
    staged.write_text(changed)
    staged.replace(path)
    assert quiet(["write", NAME]) == 0


def _look_write(shop: Path, there: Path, done: tuple[int, ...]) -> None:
    assert there.is_dir()
    assert quiet(["write", NAME]) == 0
    stored = read_pair(shop, PAIR)
    assert stored is not None
    assert (stored.edited, len(stored.texts)) == ((), 2)
    assert git(shop, "status", "--porcelain", "output") == ""
    assert int(git(shop, "rev-list", "--count", "HEAD", "--", FOLDER)) >= len(done)


def _send(shop: Path, there: Path, number: int) -> None:
    """An older writing stands there, as gemel wrote it; sending replaces both programs by marked ones."""
    assert number >= 0
    for channel in ("upper", "lower"):
        staged = there / ".staged"
        staged.write_bytes(program(shop, channel))
        staged.replace(there / f"port-block-20.{channel}.nc")
    assert quiet(["send", NAME, str(there)]) == 0


def _look_send(shop: Path, there: Path, done: tuple[int, ...]) -> None:
    names = [f"port-block-20.{channel}.nc" for channel in ("upper", "lower")]
    for name, channel in zip(names, ("upper", "lower"), strict=True):
        if (there / name).exists() or done:
            assert without_mark((there / name).read_bytes()) == program(shop, channel), "neither old nor new"
    assert quiet(["send", NAME, str(there)]) == 0
    assert sorted(path.name for path in there.iterdir() if path.name != ".staged") == sorted(names)
    for name, channel in zip(names, ("upper", "lower"), strict=True):
        data = (there / name).read_bytes()
        assert b"(NOT RELEASED)" in data
        assert git(shop, "show", f"{BRANCH}:port-block-20/sent/{channel}.nc").encode() == data


WORK = {
    "intake": _Work(_intake, _look_intake, 1.0),
    "decide": _Work(_decide, _look_decide, 3.0),
    "write": _Work(_write, _look_write, 3.0),
    "send": _Work(_send, _look_send, 3.0),
}


def kill_and_look(work: str, shop: Path, there: Path, seed: int) -> Kill:
    """Let a gemel work, kill it at a random moment, and assert that everything promised is so."""
    draw = random.Random(seed)  # noqa: S311 # a seeded choice of moments
    words = [sys.executable, "-c", _CHILD, str(TESTS), work, str(shop), str(there), str(1000 * seed)]
    with subprocess.Popen(words, stdout=subprocess.PIPE, text=True) as child:  # noqa: S603 # our own
        assert child.stdout is not None
        assert child.stdout.readline() == "ready\n"
        after_s, with_git = draw.uniform(0, WORK[work].longest_s), draw.random() < 0.5
        time.sleep(after_s)
        gits = _children(child.pid)
        child.send_signal(signal.SIGKILL)
        for pid in gits if with_git else ():
            _kill(pid)
        done = tuple(int(row.split()[1]) for row in child.stdout.read().splitlines() if row.startswith("done "))
    assert child.returncode == -signal.SIGKILL, "it ended by itself: the work failed, and nothing was killed"
    _until_gone(gits)
    locks = _take_away_locks(shop)
    assert git(shop, "fsck", "--connectivity-only", "--no-dangling") == ""
    WORK[work].look(shop, there, done)
    assert [p.name for p in (shop / ".git").iterdir() if p.name.startswith("gemel-scratch")] == [] or work == "send"
    return Kill(after_s, done, with_git, locks)


def _children(pid: int) -> list[int]:
    try:
        return [int(word) for word in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]
    except OSError:
        return []


def _kill(pid: int) -> None:
    try:
        os.kill(pid, signal.SIGKILL)
    except ProcessLookupError:
        return


def _until_gone(pids: list[int]) -> None:
    """A git that outlives its gemel ends by itself; what it does then is part of the moment."""
    while any(Path(f"/proc/{pid}").exists() and _state(pid) != "Z" for pid in pids):
        time.sleep(0.01)


def _state(pid: int) -> str:
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]
    except OSError:
        return "Z"


def _take_away_locks(shop: Path) -> bool:
    """What git itself tells a person to do when a git was killed: its lock is in the way, and is said to be.

    Locks in gemel's scratch folders are in nobody's way.
    """
    locks = [p for p in (shop / ".git").rglob("*.lock") if "gemel" not in p.relative_to(shop / ".git").parts[0]]
    for path in locks:
        path.unlink()
    return bool(locks)
