"""`gemel prove`: wiring, exit status, printed text."""

from __future__ import annotations

import io
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from gemel.cli.main import run
from gemel.cli.progress import progress

_SHOP = Path(__file__).parents[2]
UPPER = "G21 G18 G40 G80\nG28 U0. V0. W0.\nM701\n{}M30\n"
LOWER = "G21 G18 G40 G80\nG28 U0. W0.\nM701\n{}M30\n"
MACHINE = ("--machine", "twin-turnmill")


@pytest.fixture
def files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """A pair without a fault, in a folder outside any shop."""
    monkeypatch.chdir(tmp_path)
    Path("a.upper.nc").write_text(UPPER.format(""))
    Path("a.lower.nc").write_text(LOWER.format(""))
    return ["a.upper.nc", "a.lower.nc"]


def test_pair_without_fault_passes(files: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """Exit status 0 and one line that says so."""
    assert run(["prove", *files, *MACHINE]) == 0
    assert capsys.readouterr().out.startswith("pass: no findings")


def test_error_is_shown_in_both_channels(files: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """Exit status 1; the programs stand side by side with the blocks concerned marked."""
    Path(files[0]).write_text(UPPER.format("T1\nG00 X60.\nG00 X200.\n"))
    Path(files[1]).write_text(LOWER.format("T0101\nG00 X50.\nG00 X200.\n"))
    assert run(["prove", *files, *MACHINE]) == 1
    out = capsys.readouterr().out
    assert any(row.count(">") == 2 and "G00 X60." in row and "G00 X50." in row for row in out.splitlines())
    assert "[zones:left]" in out
    assert "after wait 701" in out
    assert "remedy:" in out


def test_exit_status_is_that_of_the_page(files: list[str]) -> None:
    """0 with warnings only, 1 with an error, 2 where the input cannot be used; the same for both forms."""
    for form in ("text", "json"):
        Path(files[1]).write_text(LOWER.format("M700\n"))
        Path(files[0]).write_text(UPPER.format("M700\n"))
        assert run(["prove", *files, *MACHINE, "--format", form]) == 0
        Path(files[1]).write_text(LOWER.format("M70\nM700\n"))
        assert run(["prove", *files, *MACHINE, "--format", form]) == 1
        assert run(["prove", files[0], "none.nc", *MACHINE, "--format", form]) == 2


def test_json_is_one_object_with_the_keys_of_the_page(files: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """The machine-readable form has the keys that other programs rely on."""
    Path(files[1]).write_text(LOWER.format("M70\n"))
    assert run(["prove", *files, *MACHINE, "--format", "json"]) == 1
    found = json.loads(capsys.readouterr().out)
    assert set(found) == {"verdict", "findings", "understood", "checked"}
    (finding,) = found["findings"]
    assert set(finding) == {"rule", "code", "severity", "where", "cause", "remedy", "trace"}
    assert finding["where"] == [{"channel": "lower", "file": "a.lower.nc", "line": 4, "block": "M70"}]
    assert finding["trace"] == [["lower", 4]]
    assert found["understood"] == {"upper": 1.0, "lower": 1.0}


def test_program_text_is_printed_as_it_stands(files: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """Brackets of a macro statement reach the screen."""
    Path(files[1]).write_text(LOWER.format("IF[#501GT5]GOTO10\nN10 G04 X0.1\n"))
    run(["prove", *files, *MACHINE])
    assert "IF[#501GT5]GOTO10" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("names", "said"),
    [
        (["a.upper.nc", "none.nc"], "none.nc is not there"),
        (["a.upper.nc", "."], "is a folder"),
        (["a.upper.nc"], "1 files for 2 channels"),
        (["a.upper.nc", "a.upper.nc"], "is given for upper and for lower"),
        (["a.lower.nc", "a.upper.nc"], "this looks like the lower program"),
        (["a.upper.nc", "picture.nc"], "picture.nc is no text"),
    ],
)
def test_input_that_cannot_be_used(
    files: list[str], capsys: pytest.CaptureFixture[str], names: list[str], said: str
) -> None:
    """Exit status 2 and a sentence that names the file and what is wrong with it."""
    assert files
    Path("picture.nc").write_bytes(bytes(range(256)) * 8)
    assert run(["prove", *names, *MACHINE]) == 2
    assert said in capsys.readouterr().err


def test_swapped_files_are_known_by_their_tools(files: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """Without a telling name, the tools that a program calls say whose it is."""
    assert files
    Path("first.nc").write_text(LOWER.format("T0101\n"))
    Path("second.nc").write_text(UPPER.format("T1\n"))
    assert run(["prove", "first.nc", "second.nc", *MACHINE]) == 2
    assert "this looks like the lower program" in capsys.readouterr().err


def test_tools_are_believed_more_than_a_name(files: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """A lower program under the upper one's name is known by its tools; one wrong T word alone is no proof of that."""
    Path(files[0]).write_text(LOWER.format("T0101\nT0202\n"))
    assert run(["prove", *files, *MACHINE]) == 2
    assert "looks like the lower program: no other channel holds the tools that it calls (T0101, T0202)" in (
        capsys.readouterr().err
    )
    Path(files[0]).write_text(UPPER.format("T0101\n"))
    assert run(["prove", *files, *MACHINE]) == 1
    assert "[words:tool-unknown]" in capsys.readouterr().out


def test_machine_file_that_does_not_fit(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """Programs of one machine under another's name are refused with the machine that knows their codes."""
    monkeypatch.chdir(_SHOP)
    folder = next(iter(sorted((_SHOP / "output" / "twin-turnmill").glob("*"))))
    pair = [str(next(folder.glob(f"*.{c}.nc"))) for c in ("upper", "lower")]
    assert run(["prove", *pair, "--machine", "inch-duplex"]) == 2
    said = capsys.readouterr().err
    assert "not written for inch-duplex" in said
    assert "--machine twin-turnmill" in said


def test_machine_that_is_not_there(files: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """A machine without a file is named, with the nearest one that there is."""
    assert run(["prove", *files, "--machine", "twin-turnmil"]) == 2
    assert "twin-turnmill" in capsys.readouterr().err


def test_pipes_and_devices_are_no_files(files: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """What has no size and may never end is refused unread."""
    os.mkfifo("pipe.nc")
    for name in ("pipe.nc", "/dev/zero"):
        assert run(["prove", files[0], name, *MACHINE]) == 2
        assert f"{name} is no file" in capsys.readouterr().err


def _nested(depth: int) -> str:
    """A program that calls one that calls one..."""
    calls = "".join(f"O{n}\nM98 P{n + 1}\nM99\n" for n in range(1, depth))
    return LOWER.format("M98 P1\n") + calls + f"O{depth}\nG04 X1.\nM99\n"


_ENDLESS = [
    ("N10 GOTO 10\n", "words:jump"),
    ("N10 #1=#1+1\nGOTO 10\n", "words:jump"),
    ("#1=1\nWHILE[1EQ1]DO1\n#1=#1+1\nEND1\n", "words:bounded"),
]


@pytest.mark.parametrize(("body", "code"), _ENDLESS)
def test_endless_programs_end(files: list[str], capsys: pytest.CaptureFixture[str], body: str, code: str) -> None:
    """A program that goes round for ever is read up to a bound, and that is said."""
    Path(files[1]).write_text(LOWER.format(body))
    assert run(["prove", *files, *MACHINE]) == 1
    assert f"[{code}]" in capsys.readouterr().out


@pytest.mark.parametrize(
    "text", [_nested(40), LOWER.format("M98 P7\n") + "O7\nM98 P7\nM99\n"], ids=["40 deep", "itself"]
)
def test_nested_calls_end(files: list[str], capsys: pytest.CaptureFixture[str], text: str) -> None:
    """Forty nested subprograms, and one that calls itself, are an error where the control's depth ends."""
    Path(files[1]).write_text(text)
    assert run(["prove", *files, *MACHINE]) == 1
    assert "[words:call-depth]" in capsys.readouterr().out


def test_calls_that_multiply_end(files: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """Nine subprograms that call each other ninety-nine times each are read up to a bound."""
    calls = "".join(f"O{n}\nM98 P{n + 1} L99\nM99\n" for n in range(1, 9))
    Path(files[1]).write_text(LOWER.format("M98 P1 L99\n") + calls + "O9\nM702\nM99\n")
    assert run(["prove", *files, *MACHINE]) == 1
    assert "[words:bounded]" in capsys.readouterr().out


def test_ten_thousand_waits_are_one_line_each(files: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """Ten thousand waits in both channels pass; where the numbers begin anew a warning stands."""
    waits = "".join(f"M{701 + n % 99}\n" for n in range(10_000))
    for name in files:
        Path(name).write_text(waits + "M30\n")
    assert run(["prove", *files, *MACHINE]) == 0
    assert "pass: 202 warnings; checked: all" in capsys.readouterr().out


def test_output_in_a_pipe_is_plain(files: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """No colour and no other control characters where nobody looks at a screen."""
    Path(files[1]).write_text(LOWER.format("M70\n"))
    run(["prove", *files, *MACHINE])
    assert all(c.isprintable() or c == "\n" for c in capsys.readouterr().out)


def test_huge_file_is_refused_unread(files: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """A file of 200 MB is refused by its size."""
    with Path(files[1]).open("wb") as file:
        file.truncate(200_000_000)
    assert run(["prove", *files, *MACHINE]) == 2
    assert "200,000,000 bytes" in capsys.readouterr().err


def test_every_pair_of_the_shop_is_proved(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """Without files, one line for each pair in output/, and exit status 0 where all pass."""
    monkeypatch.chdir(_SHOP)
    assert run(["prove"]) == 0
    rows = capsys.readouterr().out.splitlines()
    assert len(rows) == len(list((_SHOP / "output").glob("*/*/record.json")))
    assert all("  pass: " in row for row in rows)


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A shop with three pairs of the demo; the second one has lost a wait at the control."""
    root = tmp_path / "shop"
    for part in ("templates", "families"):
        shutil.copytree(_SHOP / part, root / part)
    for stem in ("port-block-20", "port-block-35", "port-block-50"):
        shutil.copytree(_SHOP / "output" / "twin-turnmill" / stem, root / "output" / "twin-turnmill" / stem)
    program = root / "output/twin-turnmill/port-block-35/port-block-35.lower.nc"
    rows = program.read_text().splitlines(keepends=True)
    program.write_text("".join(row for row in rows if "M702" not in row))
    monkeypatch.chdir(root)
    return root


def test_failing_pair_says_where_to_begin(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Exit status 1; the line of the pair that fails names the fault that is to be mended first."""
    assert shop
    assert run(["prove"]) == 1
    rows = capsys.readouterr().out.splitlines()
    assert [("  pass: " in row, "  fail: " in row) for row in rows] == [(True, False), (False, True), (True, False)]
    assert "begin with waits:deadlock at upper line " in rows[1]
    assert len({row.index(": ") for row in rows}) == 1, "the columns stand below each other"


def test_every_pair_as_json_is_one_object(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One object, a verdict of the page's form under each pair's folder."""
    assert shop
    assert run(["prove", "--format", "json"]) == 1
    found = json.loads(capsys.readouterr().out)
    assert list(found) == [f"twin-turnmill/port-block-{n}" for n in (20, 35, 50)]
    assert [v["verdict"] for v in found.values()] == ["pass", "fail", "pass"]
    assert all(list(v) == ["verdict", "findings", "understood", "checked"] for v in found.values())


def test_pair_that_cannot_be_read_does_not_stop_the_others(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Exit status 2; the other pairs are proved all the same."""
    (shop / "output/twin-turnmill/port-block-20/port-block-20.lower.nc").unlink()
    assert run(["prove"]) == 2
    said = capsys.readouterr()
    assert "port-block-20" in said.err
    assert len(said.out.splitlines()) == 2


def test_shop_without_a_pair_says_so(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Nothing to prove is said, and is no fault."""
    shutil.rmtree(shop / "output")
    assert run(["prove"]) == 0
    assert "no pair in output/" in capsys.readouterr().err


def test_progress_is_a_bar_in_a_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where somebody looks, and the work takes long, a bar grows; cleared, it leaves nothing behind."""
    screen = io.StringIO()
    monkeypatch.setattr(sys, "stderr", screen)
    monkeypatch.setattr("gemel.cli.progress.is_terminal", lambda _stream: True)
    monkeypatch.setattr("gemel.cli.progress._QUIET_S", -1.0)
    monkeypatch.setattr("gemel.cli.progress._EVERY_S", -1.0)
    with progress(4) as line:
        line.step("one")
        line.step("two")
    drawn = [piece for piece in screen.getvalue().split("\r") if piece.strip()]
    assert drawn[-1] == "[############............] 2 of 4  two"
    assert screen.getvalue().split("\r")[-1] == ""


def test_proof_of_files_loads_nothing_that_it_does_not_need(files: list[str]) -> None:
    """No library of other commands and no layer that writes programs is loaded for a proof of two files."""
    script = (
        "import sys\nfrom gemel.cli.main import run\n"
        f"run(['prove', *{files!r}, *{list(MACHINE)!r}])\n"
        "heavy = {'numpy', 'rich', 'jinja2', 'git', 'shapely', 'ortools', 'multiprocessing', 'asyncio'}\n"
        "above = ('writing', 'pairs', 'operations', 'families', 'timing', 'edits', 'reports')\n"
        "layers = {f'gemel.{name}' for name in above}\n"
        "print(sorted((heavy | layers) & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)  # noqa: S603 # our own interpreter
    assert done.stdout.splitlines()[-1] == "[]"
