"""Killed at random moments, gemel loses nothing; `benchmarks/faults.py` does it hundreds of times."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import pytest

from support.killed import WORK, kill_and_look

if TYPE_CHECKING:
    from pathlib import Path


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="finds the git of a killed gemel in /proc")
@pytest.mark.parametrize("work", WORK)
def test_killed_at_any_moment_nothing_is_lost(real_shop: Path, tmp_path: Path, work: str) -> None:
    """Three kills: what was done before each is found by the next command, which does its own work."""
    there = tmp_path / "control"
    there.mkdir()
    for seed in range(1, 4):
        kill_and_look(work, real_shop, there, seed)
