"""`gemel new` lays out a shop that works at once, from a source tree and from an installed wheel."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from gemel.cli.main import run
from gemel.findings import Findings
from gemel.history import open_repository
from gemel.shop.layout import Shop
from gemel.shop.new_shop import new_shop
from gemel.shop.write_pairs import Done, Order, prepare
from support.repositories import git

ROOT = Path(__file__).parents[2]


def test_a_new_shop_is_whole_and_committed(tmp_path: Path) -> None:
    """Templates, family, schemas and git files are there, and the working tree is clean."""
    made = new_shop(tmp_path / "new" / "shop")
    assert {".gitattributes", ".gitignore", "README.md", "families/plain-pin.yaml"} <= set(made.files)
    assert {"templates/twin-turnmill/machine.yaml", "docs/schema/family.json"} <= set(made.files)
    assert made.notes == ()
    assert git(made.root, "status", "--porcelain") == ""
    assert sorted(git(made.root, "ls-files").split()) == sorted(made.files)
    assert open_repository(made.root).branch == "refs/heads/main"
    assert [p.name for p in (tmp_path / "new").iterdir()] == ["shop"]


def test_a_new_shop_works_at_once(tmp_path: Path) -> None:
    """Every member of its family is written, proved and committed, without a finding."""
    shop = Shop(new_shop(tmp_path / "shop").root)
    outcomes = list(prepare(shop, Order()).outcomes())
    assert [(o.name, o.done, o.findings) for o in outcomes] == [
        ("plain-pin/30", Done.WRITTEN, ()),
        ("plain-pin/50", Done.WRITTEN, ()),
    ]
    assert git(shop.root, "status", "--porcelain") == ""


def test_an_empty_folder_may_be_filled(tmp_path: Path) -> None:
    """An existing empty folder is taken."""
    (tmp_path / "shop").mkdir()
    assert new_shop(tmp_path / "shop").files


def test_a_full_folder_is_left_alone(tmp_path: Path) -> None:
    """Where something lies already, nothing is laid out."""
    (tmp_path / "notes.txt").write_text("mine")
    with pytest.raises(Findings) as error:
        new_shop(tmp_path)
    assert error.value.findings[0].name == "shop:not-empty"
    assert [p.name for p in tmp_path.iterdir()] == ["notes.txt"]


def test_without_identity_the_shop_stands_and_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The files and the repository are there; that the first commit is missing is a note."""
    for name in [n for n in os.environ if n.startswith(("GIT_AUTHOR", "GIT_COMMITTER"))]:
        monkeypatch.delenv(name)
    monkeypatch.delenv("EMAIL", raising=False)
    made = new_shop(tmp_path / "shop")
    assert [note.name for note in made.notes] == ["git:no-identity"]
    assert (made.root / "families/plain-pin.yaml").is_file()


def test_a_folder_that_cannot_be_made_leaves_nothing(tmp_path: Path) -> None:
    """Below a file nothing can be laid out, and nothing is left."""
    (tmp_path / "file").write_text("")
    with pytest.raises(FileExistsError):
        new_shop(tmp_path / "file" / "shop")
    assert [p.name for p in tmp_path.iterdir()] == ["file"]


def test_an_installed_wheel_carries_the_templates(tmp_path: Path) -> None:
    """Built, installed elsewhere and run from there, `gemel new` and `gemel write` work without the source tree."""
    pytest.importorskip("hatchling")
    pip = [sys.executable, "-m", "pip"]
    wheel = [*pip, "wheel", "-q", "--no-deps", "--no-build-isolation", "-w", str(tmp_path), str(ROOT)]
    subprocess.run(wheel, check=True, capture_output=True)  # noqa: S603 # our own interpreter
    [built] = tmp_path.glob("gemel-*.whl")
    place = tmp_path / "installed"
    install = [*pip, "install", "-q", "--no-deps", "--target", str(place), str(built)]
    subprocess.run(install, check=True, capture_output=True)  # noqa: S603 # our own interpreter
    env = os.environ | {"PYTHONPATH": str(place)}
    code = f"import gemel.cli.main as m; assert m.__file__.startswith({str(place)!r}), m.__file__; m.main()"
    for words, where in ((["new", "shop"], tmp_path), (["write"], tmp_path / "shop")):
        command = [sys.executable, "-c", code, *words]
        run = subprocess.run(command, cwd=where, env=env, capture_output=True, check=False)  # noqa: S603 # our own interpreter
        assert run.returncode == 0, run.stderr.decode()
    assert len(list((tmp_path / "shop/output").rglob("*.nc"))) == 4


def test_the_way_on_can_be_typed_as_it_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A name with blanks, or one that looks like an option, is said so that a shell takes it."""
    monkeypatch.chdir(tmp_path)
    for name, typed in (("my shop", "cd 'my shop' && gemel write"), ("-f", "cd ./-f && gemel write")):
        assert run(["new", "--", name]) == 0
        assert capsys.readouterr().out.rstrip().endswith(typed)


def test_a_file_in_the_way_is_called_a_file(tmp_path: Path) -> None:
    """What is there already is said as what it is."""
    place = tmp_path / "note.txt"
    place.write_text("", encoding="utf-8")
    with pytest.raises(Findings) as error:
        new_shop(place)
    assert error.value.findings[0].cause.endswith("is a file")
