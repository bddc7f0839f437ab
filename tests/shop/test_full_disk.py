"""However little room is left, a run ends with a message, whole pairs and no litter, and the next one completes it."""

from __future__ import annotations

import os
import shutil
import subprocess
from typing import TYPE_CHECKING

import pytest

from gemel.cli import main as boundary
from gemel.history import PairName, read_pair
from support.makers import small_shop, use_simple_pairs
from support.repositories import git

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

NAMES = [PairName("lathe", "bush", member) for member in ("1", "2")]
PAGE = 4096


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of one megabyte."""
    if not hasattr(os, "geteuid") or os.geteuid() != 0:
        pytest.skip("mounting a small disk needs root")
    mount = ["mount", "-t", "tmpfs", "-o", "size=1m", "none", str(tmp_path)]
    if subprocess.run(mount, check=False, capture_output=True).returncode:  # noqa: S603 # fixed words
        pytest.skip("no small disk can be mounted here")
    yield tmp_path
    os.chdir("/")
    subprocess.run(["umount", str(tmp_path)], check=True)  # noqa: S603, S607 # fixed words


def leave(disk: Path, pages: int) -> Path:
    """A file that takes all room but so many pages."""
    filler = disk / "filler"
    free = shutil.disk_usage(disk).free
    filler.write_bytes(b"x" * max(0, free - pages * PAGE))
    return filler


def litter(shop: Path) -> list[str]:
    """Temporary files of gemel, in the shop and in git's folder."""
    return [p.name for p in shop.rglob("*") if p.name.startswith((".gemel-", "gemel-scratch-"))]


@pytest.mark.parametrize("pages", [0, 1, 2, 3, 4, 5, 6, 8, 10, 13, 16, 20, 25, 32, 40, 60])
def test_no_room_left(
    disk: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], pages: int
) -> None:
    """With this many pages free: status 0 or 2, never a traceback; afterwards the same command does the rest."""
    use_simple_pairs(monkeypatch)
    body = "X" * 9000
    shop = small_shop(disk / "shop", {"bush": f"1={body}\n2={body}\n"}).root
    monkeypatch.chdir(shop)
    filler = leave(disk, pages)
    status = boundary.run(["write"])
    said = capsys.readouterr().err
    assert status in (0, 2), said
    assert "fault of gemel" not in said
    assert status == 0 or "no space left" in said.lower(), said
    for name in NAMES:
        stored = read_pair(shop, name)
        assert stored is None or (stored.edited, len(stored.texts)) == ((), 2)
    assert litter(shop) == []
    assert git(shop, "fsck", "--connectivity-only", "--no-dangling") == ""
    filler.unlink()
    assert boundary.run(["write"]) == 0, capsys.readouterr().err
    assert [stored for name in NAMES if (stored := read_pair(shop, name)) is None] == []
    assert git(shop, "status", "--porcelain", "output") == ""
