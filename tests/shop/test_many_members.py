"""A family of many members, as a person runs it: interrupted on the way, then carried on."""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import sys
import time
from typing import TYPE_CHECKING

import pytest

from gemel.history import PairName, read_pair
from gemel.shop.new_shop import new_shop
from support.repositories import git

if TYPE_CHECKING:
    from pathlib import Path

_MEMBERS = 40
_MAIN = "from gemel.cli.main import main; main()"


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A new shop whose one family has forty members."""
    root = new_shop(tmp_path / "shop").root
    family = root / "families/plain-pin.yaml"
    rows = "".join(f'  "{30 + n}": {{length: {30 + n}, program: {101 + n}}}\n' for n in range(_MEMBERS))
    text, found = re.subn(r"members:\n(  \".*\n)+", f"members:\n{rows}", family.read_text())
    assert found == 1
    family.write_text(text)
    git(root, "add", "-A")
    git(root, "commit", "--quiet", "-m", "forty pins")
    return root


def _commits(root: Path) -> int:
    return int(git(root, "rev-list", "--count", "HEAD"))


def _whole_pairs(root: Path) -> int:
    """How many pairs stand in the shop; each of them must be whole, as its record says, and in git."""
    names = [PairName("twin-turnmill", "plain-pin", str(30 + n)) for n in range(_MEMBERS)]
    pairs = [pair for name in names if (pair := read_pair(root, name)) is not None]
    assert [pair.name for pair in pairs if pair.edited] == []
    assert git(root, "status", "--porcelain") == ""
    return len(pairs)


def _write(root: Path, *words: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-c", _MAIN, "write", *words]
    return subprocess.run(command, cwd=root, capture_output=True, text=True, check=False)  # noqa: S603 # fixed words


def _begin(root: Path) -> subprocess.Popen[str]:
    """The command at work, in a process group of its own, as a terminal gives it one."""
    return subprocess.Popen(  # noqa: S603 # fixed words
        [sys.executable, "-c", _MAIN, "write"],
        cwd=root,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
        env=os.environ | {"PYTHONUNBUFFERED": "1"},
    )


def test_ctrl_c_leaves_whole_pairs_and_the_same_command_does_the_rest(shop: Path) -> None:
    """Ctrl-C goes to all processes of the terminal; what was written is whole and committed, the rest is named."""
    before = _commits(shop)
    run = _begin(shop)
    assert run.stdout is not None
    seen = 0
    for line in run.stdout:
        seen += line.startswith("written")
        if seen == 3:
            os.killpg(run.pid, signal.SIGINT)
            break
    out, err = run.communicate()
    written = seen + out.count("\nwritten") + out.startswith("written")
    assert run.returncode == 130, err
    assert "Traceback" not in err
    assert 3 <= written < _MEMBERS
    assert (_whole_pairs(shop), _commits(shop) - before) == (written, written)
    first, last = 30 + written, 30 + _MEMBERS - 1
    assert f"interrupted: {written} of {_MEMBERS} pairs are done, not plain-pin/{first} to plain-pin/{last}" in err
    again = _write(shop)
    assert again.returncode == 0, again.stderr
    assert again.stdout.endswith(f"{_MEMBERS - written} written, {written} unchanged\n")
    assert (_whole_pairs(shop), _commits(shop) - before) == (_MEMBERS, _MEMBERS)
    assert _write(shop).stdout == f"{_MEMBERS} unchanged\n"


def test_a_killed_run_leaves_whole_pairs_and_no_process(shop: Path) -> None:
    """`kill -9` of the command alone: every pair is whole, its helpers end, and the next run does the rest."""
    run = _begin(shop)
    assert run.stdout is not None
    next(line for line in run.stdout if line.startswith("written"))
    run.kill()
    run.communicate()
    for _ in range(6000):
        if not _alive(run.pid):
            break
        time.sleep(0.05)
    else:
        pytest.fail("a helper of the killed command is still alive")
    again = _write(shop)
    assert again.returncode == 0, again.stderr
    assert _whole_pairs(shop) == _MEMBERS


def _alive(group: int) -> bool:
    """Whether a process of that group is there."""
    try:
        os.killpg(group, 0)
    except ProcessLookupError:
        return False
    return True


def test_both_programs_of_a_member_do_not_depend_on_the_others(shop: Path, tmp_path: Path) -> None:
    """A member written alone, in this process, has the bytes that it has when forty are written over all cores."""
    other = tmp_path / "other"
    shutil.copytree(shop, other)
    assert _write(shop).returncode == 0
    alone = _write(other, "plain-pin/55")
    assert alone.returncode == 0, alone.stderr
    name = PairName("twin-turnmill", "plain-pin", "55")
    one, many = read_pair(other, name), read_pair(shop, name)
    assert one is not None
    assert many is not None
    assert (one.texts, one.raw_record) == (many.texts, many.raw_record)
