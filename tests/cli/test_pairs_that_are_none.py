"""Words that mean no pair, no machine, no member or no folder: status 2, and what is meant by the remedy is there."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest

from gemel.cli.main import run
from support.repositories import git

_SHOP = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo shop with the pairs as they are kept, in a repository of its own."""
    folder = tmp_path_factory.mktemp("shop") / "shop"
    folder.mkdir()
    for part in ("families", "templates", "output"):
        shutil.copytree(_SHOP / part, folder / part)
    shutil.copy(_SHOP / ".gitattributes", folder)
    for words in (("init", "-q"), ("add", "."), ("commit", "-q", "-m", "All of it")):
        git(folder, *words)
    return folder


@pytest.fixture
def shop(demo: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The working folder is the shop."""
    monkeypatch.chdir(demo)
    return demo


@pytest.mark.usefixtures("shop")
@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("prove", "-m", "nope"), "there is no machine `nope`"),
        (("time", "-m", "nope"), "there is no machine `nope`"),
        (("power", "-m", "nope"), "there is no machine `nope`"),
        (("prove", "port-blok"), "did you mean `port-block`?"),
        (("prove", "--member", "port-block/20"), "no file is named"),
        (("prove", "a.nc", "b.nc"), "name it: `--machine inch-duplex` or `--machine twin-turnmill`"),
        (("edits", "-m", "nope"), "there is no machine `nope`"),
        (("intake", "nowhere", "-m", "twin-turnmill"), "name what the control wrote"),
        (("log", "port-block"), "name a member: `port-block/20`"),
        (("log", "port-block/20", "-m", "inch-duplex"), "`port-block/20` on inch-duplex"),
        (("send", "port-block", "."), "name a member: `port-block/20`"),
        (("send", "prt-block/20", "."), "did you mean `port-block/20`?"),
        (("send", "port-block/99", "."), "write it first"),
        (("send", "port-block/20", "templates/tools.yaml"), "templates/tools.yaml is no folder"),
        (("send", "port-block/20", "nowhere"), "nowhere is not there"),
        (("release", "port-block", "--by", "A. Setter"), "name a member: `port-block/20`"),
        (("release", "port-block/20", "--by", ""), "nobody is named"),
        (("release", "port-block/20", "--by", "A. Setter", "--on", "monday"), "`monday` is no day"),
        (("watch", "nowhere", "-m", "twin-turnmill"), "name the folder that the control writes to"),
        (("watch", ".", "-m", "nope"), "there is no machine `nope`"),
    ],
)
def test_what_means_nothing_is_refused_and_answered(
    words: tuple[str, ...], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Status 2, nothing on standard output, and the sentence that helps."""
    assert run(list(words)) == 2
    heard = capsys.readouterr()
    assert said in heard.err
    assert heard.out == ""


@pytest.mark.usefixtures("shop")
def test_a_shop_that_no_copy_came_back_to_says_so(capsys: pytest.CaptureFixture[str]) -> None:
    """An empty answer is explained beside it; for a program it is an empty list."""
    for words in (["edits"], ["edits", "port-block/20"], ["edits", "--format", "json"]):
        assert run(words) == 0
        heard = capsys.readouterr()
        assert "no copy came back" in heard.err
        assert heard.out.split() == (["[]"] if "json" in words else [])


@pytest.mark.usefixtures("shop")
def test_pairs_are_proved_by_name_and_by_machine(capsys: pytest.CaptureFixture[str]) -> None:
    """`FAMILY/MEMBER` is that pair, a family its pairs, in the order of the words; nothing else is proved."""
    assert run(["prove", "port-block/35", "valve-stem", "--machine", "twin-turnmill"]) == 0
    rows = [row.split()[1] for row in capsys.readouterr().out.splitlines()]
    assert rows == ["port-block/35", "valve-stem/60", "valve-stem/75", "valve-stem/90"]
    assert run(["prove", "port-block/35", "--format", "json"]) == 0
    assert list(json.loads(capsys.readouterr().out)) == ["twin-turnmill/port-block-35"]
    assert run(["prove", "--machine", "inch-duplex"]) == 0
    assert "there is no pair for inch-duplex in output/ yet" in capsys.readouterr().err


def test_one_of_a_kind_is_told_in_the_singular(shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One pair, file, bar, edit: not `1 edits`."""
    folder = shop / "output/twin-turnmill/port-block-20"
    copy = tmp_path / "20.lower.nc"
    copy.write_text((folder / "port-block-20.lower.nc").read_text().replace("F0.08", "F0.06"))
    strange = tmp_path / "notes.txt"
    strange.write_text("G1 X1.\nM30\n")
    assert run(["sheet", "port-block/20", "--no-pdf", "--to", str(tmp_path / "sheets")]) == 0
    assert run(["bars", "port-block/20=10", "--bar", "6000"]) == 0
    assert run(["intake", str(copy), str(strange), "-m", "twin-turnmill"]) == 1
    assert run(["review", "port-block/20", "--out", str(tmp_path / "page.html")]) == 1
    assert run(["status"]) == 1
    words = ("decide", "port-block/20", "--all", "--keep", "--by", "A. Setter", "--why", "this bar only")
    assert run(list(words)) == 0
    said = capsys.readouterr().out + git(shop, "log", "-1", "--format=%s")
    for one in ("1 of 1 pair;", ": 1 bar,", "1 file from twin-turnmill is", "1 edit, 1 undecided", "20: 1 edit from"):
        assert one in said
    assert not re.search(r"\b1 (edit|file|bar|pair|intake|error|warning)s\b", said)
