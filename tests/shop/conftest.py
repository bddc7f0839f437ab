"""A real shop, written once, and a copy of it for each test that wants one."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from gemel.cli import main as boundary
from gemel.shop.new_shop import new_shop
from support.repositories import git

ROOT = Path(__file__).parents[2]
PORT_BLOCK = "families/port-block.yaml"


@pytest.fixture(scope="session")
def laid_out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop with the port block, written once; each test works in a copy of it."""
    with pytest.MonkeyPatch.context() as patch:
        for who in ("AUTHOR", "COMMITTER"):
            patch.setenv(f"GIT_{who}_NAME", "A Programmer")
            patch.setenv(f"GIT_{who}_EMAIL", "programmer@shop.invalid")
        root = new_shop(tmp_path_factory.mktemp("laid-out") / "shop").root
        (root / "families/plain-pin.yaml").unlink()
        shutil.copy(ROOT / PORT_BLOCK, root / PORT_BLOCK)
        git(root, "add", "-A")
        git(root, "commit", "--quiet", "-m", "the port block")
        patch.chdir(root)
        assert boundary.run(["write", "port-block/20"]) == 0
    return root


@pytest.fixture
def real_shop(laid_out: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    root = tmp_path / "shop"
    shutil.copytree(laid_out, root, symlinks=True)
    monkeypatch.chdir(root)
    return root
