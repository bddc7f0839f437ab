"""`gemel time`: wiring, exit status, printed text."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from gemel.cli.main import run

_SHOP = Path(__file__).parents[2]
UPPER = "M701\n(DRILL)\nN10 T1\nG04 X12.5\nM702\nM30\n"
LOWER = "M701\n(FACE)\nN10 T0101\nG04 X2.5\nM702\nM30\n"
MACHINE = ("--machine", "twin-turnmill")


@pytest.fixture
def files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """A pair in a folder outside any shop."""
    monkeypatch.chdir(tmp_path)
    Path("a.upper.nc").write_text(UPPER)
    Path("a.lower.nc").write_text(LOWER)
    return ["a.upper.nc", "a.lower.nc"]


def _rows(text: str) -> list[list[str]]:
    return [row.split() for row in text.splitlines()]


def test_a_pair_of_files(files: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """Operations, waits, loads and the critical path, one below the other."""
    assert run(["time", *files, *MACHINE]) == 0
    out = capsys.readouterr().out
    assert out.startswith("a.upper.nc a.lower.nc: 15.8 s a part, 227.8 parts an hour\n")
    assert ["upper", "10", "DRILL", "end-mill-12", "0.1", "15.8", "15.7", "0%", "*", "1.00", "s"] in _rows(out)
    assert "lower 12.8 s for upper" in out
    assert ["upper", "15.8", "100%", "0.0", "0%", "0.0"] in _rows(out)


def test_a_pair_that_hangs(files: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """Exit status 1, no cycle time, and where the channels stand."""
    Path(files[1]).write_text(LOWER.replace("M702", "M703"))
    assert run(["time", *files, *MACHINE]) == 1
    out = capsys.readouterr().out
    assert "no cycle time: channels stand for ever at upper line 5 `M702`, lower line 5 `M703`" in out


def test_what_is_not_known_is_said(files: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """A block of unknown duration is named with its line, and the time is said to be the least."""
    Path(files[1]).write_text(LOWER.replace("G04 X2.5", "M00"))
    assert run(["time", *files, *MACHINE]) == 0
    out = capsys.readouterr().out
    assert "at least 15.8 s a part" in out
    assert "a.lower.nc:4: `M00` takes nobody knows how long: a person decides" in out


def test_json_is_one_object(files: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """The machine-readable form holds all that the table shows, and more."""
    assert run(["time", *files, *MACHINE, "--format", "json", "--override", "50"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["period_s"] == found["cycle_s"] == 15.8
    assert (found["override"], found["exact"], found["repeats"]) == (0.5, True, False)
    assert [c["channel"] for c in found["channels"]] == ["upper", "lower"]
    (face,) = found["channels"][1]["operations"]
    assert (face["name"], face["lines"], face["station"], face["seconds"]) == ("FACE", [3, 4], 1, 2.9)
    assert face["spent"]["dwell_s"] == 2.5
    assert [w["number"] for w in found["waits"]] == [701, 702]
    assert found["waits"][1]["last"] == ["upper"]


def test_pairs_of_the_shop(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """Without a word one line a pair; with a member the whole of it; a family is its members."""
    monkeypatch.chdir(_SHOP)
    assert run(["time"]) == 0
    rows = _rows(capsys.readouterr().out)
    assert len(rows) == 1 + len(list((_SHOP / "output").glob("*/*/record.json")))
    assert all(float(row[2]) > 10 for row in rows[1:])
    assert run(["time", "valve-stem"]) == 0
    assert {row[1].partition("/")[0] for row in _rows(capsys.readouterr().out)[1:]} == {"valve-stem"}
    assert run(["time", "valve-stem/60"]) == 0
    assert capsys.readouterr().out.startswith("valve-stem/60 on twin-turnmill: ")
    assert run(["time", "valve-stem", "-f", "json"]) == 0
    assert "twin-turnmill/valve-stem-60" in json.loads(capsys.readouterr().out)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["valve-stm"], "did you mean `valve-stem`?"),
        (["valve-stem/61"], "there is no pair of `valve-stem/61`"),
        (["none.nc", "other.nc", *MACHINE], "none.nc is not there"),
        (["output", *MACHINE], "there is no pair of `output` for twin-turnmill"),
        (["README.md", *MACHINE], "1 files for 2 channels"),
        (["README.md", "DEVELOPERS.md"], "name it: `--machine"),
        (["--override", "0"], "greater than or equal to 1"),
        (["--override", "x"], "valid number"),
        (["valve-stem", "-m", "none"], "there is no machine `none`"),
    ],
)
def test_input_that_cannot_be_used(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], words: list[str], said: str
) -> None:
    """Exit status 2 and a sentence that names what is wrong."""
    monkeypatch.chdir(_SHOP)
    assert run(["time", *words]) == 2
    assert said in capsys.readouterr().err


def test_program_text_steers_no_terminal(files: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """Brackets and control characters of a program come out as characters."""
    Path(files[0]).write_text("IF[#501GT5]GOTO10\nM701\n(DRI\x1b[2JLL)\nN10 G04 X1.\nM702\nM30\n")
    assert run(["time", *files, *MACHINE]) == 0
    out = capsys.readouterr().out
    assert "`IF[#501GT5]GOTO10`" in out
    assert "\x1b" not in out
    assert "DRI^[[2JLL" in out
