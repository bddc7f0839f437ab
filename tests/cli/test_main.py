"""The boundary: every way in which a command can end becomes a message and an exit status."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from gemel.cli import main as boundary
from gemel.cli import write
from gemel.findings import Finding, Findings, Severity
from support.makers import small_shop, use_simple_pairs

if TYPE_CHECKING:
    from typer.models import CommandInfo


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    use_simple_pairs(monkeypatch)
    root = small_shop(tmp_path / "shop", {"bush": "1=10.\n2=20.\n"}).root
    monkeypatch.chdir(root)
    return root


def test_writing_says_what_it_did(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One line a pair, one a program, one that counts; the second run says that nothing changed."""
    assert boundary.run(["write"]) == 0
    out = capsys.readouterr()
    assert out.out.splitlines() == [
        "written      bush/1  output/lathe/bush-1",
        "    bush-1.lower.nc: new",
        "    bush-1.upper.nc: new",
        "written      bush/2  output/lathe/bush-2",
        "    bush-2.lower.nc: new",
        "    bush-2.upper.nc: new",
        "families/bush.yaml is not committed as it is now; the pairs made from it are",
        "2 written",
    ]
    assert out.err == ""
    assert boundary.run(["write"]) == 0
    assert capsys.readouterr().out == "2 unchanged\n"
    assert (shop / "output/lathe/bush-2/record.json").exists()


def test_a_dry_run_shows_the_difference(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Both sides of each changed block, the file named, nothing written."""
    boundary.run(["write"])
    (shop / "families/bush.yaml").write_text("1=10.\n2=IF[#1GT5]GOTO10\n")
    capsys.readouterr()
    assert boundary.run(["write", "--dry-run"]) == 0
    out = capsys.readouterr().out
    assert "--- output/lathe/bush-2/bush-2.lower.nc" in out
    assert "-G1 X20.\n+G1 XIF[#1GT5]GOTO10\n" in out
    assert out.endswith("1 unchanged, 1 would change\n")


def test_a_family_that_cannot_be_made_is_status_2(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A refused pair is said on standard error, the others are written, and the status tells."""
    (shop / "families/bush.yaml").write_text("1=!\n2=20.\n")
    assert boundary.run(["write"]) == 2
    out = capsys.readouterr()
    assert "error: 1 cannot be made [family:made-up]" in out.err
    assert out.out.endswith("1 written, 1 refused\n")


def test_an_unknown_family_is_status_2(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What is asked cannot be done as asked."""
    assert boundary.run(["write", "bsh"]) == 2
    assert "did you mean `bush`?" in capsys.readouterr().err
    assert not (shop / "output").exists()


def test_no_shop_is_status_2(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Outside a shop the message says how to get one."""
    monkeypatch.chdir(tmp_path)
    assert boundary.run(["write"]) == 2
    assert "gemel new DIR" in capsys.readouterr().err


@pytest.mark.parametrize("words", [["wriet"], ["write", "--no-such"], ["new"], ["write", "--machine"]])
def test_a_wrong_command_line_is_status_2(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """The fault is named, no traceback."""
    assert boundary.run(words) == 2
    assert "Error: " in capsys.readouterr().err


def ending_in(error: BaseException, monkeypatch: pytest.MonkeyPatch) -> int:
    def fail(_writing: object) -> int:
        raise error

    monkeypatch.setattr(write, "_carry_out", fail)
    return boundary.run(["write"])


def test_a_full_disk_is_status_2(
    shop: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The system's own words and the place, no traceback, and nothing left behind."""
    assert ending_in(OSError(28, "No space left on device", str(shop / "output/x")), monkeypatch) == 2
    assert capsys.readouterr().err.startswith(f"error: {shop}/output/x: no space left on device\n")


def test_ctrl_c_is_status_130(shop: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """Interrupted before anything was in hand."""
    assert shop.exists()
    assert ending_in(KeyboardInterrupt(), monkeypatch) == 130
    assert "interrupted" in capsys.readouterr().err


def test_a_fault_of_ours_is_status_3_with_a_log(
    shop: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The message says that it is ours and where the log is; the log has the command and the traceback."""
    assert ending_in(ZeroDivisionError("of ours"), monkeypatch) == 3
    err = capsys.readouterr().err
    assert "fault of gemel" in err
    assert "Traceback" not in err
    [log] = (shop / ".gemel").glob("gemel-fault-*.log")
    assert str(log) in err
    assert "command: write" in log.read_text()
    assert "ZeroDivisionError: of ours" in log.read_text()


def test_what_cannot_be_used_is_status_2_and_a_faulty_program_1(
    shop: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """git, lock, shop and files are used or not; a proof that fails is a result, unless something could not be used."""
    assert shop.exists()
    git = Finding("git", "no-identity", Severity.ERROR, "who are you")
    part = Finding("family", "circular", Severity.ERROR, "in a circle")
    program = Finding("waits", "deadlock", Severity.ERROR, "both wait")
    assert ending_in(Findings([git]), monkeypatch) == 2
    assert ending_in(Findings([part]), monkeypatch) == 2
    assert ending_in(Findings([program]), monkeypatch) == 1
    assert ending_in(Findings([program, part]), monkeypatch) == 2
    assert "who are you [git:no-identity]" in capsys.readouterr().err


OTHER_USER = """
import os, sys
from pathlib import Path
sys.path.insert(0, sys.argv[1])
from gemel.cli.main import run
from gemel.shop import pipeline
from support.makers import simple_pair, simple_tasks, small_shop
pipeline.tasks, pipeline.make = simple_tasks, simple_pair
os.chdir(small_shop(Path(sys.argv[3]), {"bush": "1=1."}).root)
assert run(["write", "--no-commit"]) == 0  # all modules are loaded now; another user may not be able to read them
os.chdir(sys.argv[2])
os.setgid(65534)
os.setuid(65534)
sys.exit(run(["write", "--no-commit"]))
"""


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() != 0, reason="needs to become another user")
def test_a_read_only_shop_is_status_2(shop: Path) -> None:
    """As a user who may not write there: the place is named, nothing changes, no traceback."""
    for folder in (shop, *shop.parents):
        if folder.stat().st_uid == os.geteuid() and folder != folder.parent:
            folder.chmod(folder.stat().st_mode | 0o055)
    command = [sys.executable, "-c", OTHER_USER, str(Path(__file__).parents[1]), str(shop), str(shop.parent / "warm")]
    run = subprocess.run(command, cwd=shop, capture_output=True, check=False)  # noqa: S603 # our own interpreter
    assert run.returncode == 2, run.stderr
    assert b"permission denied" in run.stderr
    assert b"Traceback" not in run.stderr
    assert not (shop / "output").exists()


def test_a_closed_pipe_is_no_fault(shop: Path) -> None:
    """`gemel explain | head -1` ends without a traceback."""
    code = "from gemel.cli.main import main; main()"
    command = f'"{sys.executable}" -c "{code}" explain | head -1'
    run = subprocess.run(["sh", "-c", command], cwd=shop, capture_output=True, check=False)  # noqa: S603, S607 # fixed words
    assert run.stdout.startswith(b"finding")
    assert b"Traceback" not in run.stderr
    assert b"BrokenPipe" not in run.stderr


@pytest.mark.parametrize("command", ["write", "check", "why", "schema", "new", "explain", "version"])
def test_help_teaches_with_examples(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Each command's help shows how it is called."""
    assert boundary.run([command, "--help"]) == 0
    out = capsys.readouterr().out
    assert f"Usage: gemel {command}" in out
    assert command == "version" or f"gemel {command} " in out.partition("Example")[2]


def test_help_loads_nothing_heavy() -> None:
    """`gemel --help` needs neither git nor templates nor YAML nor Rich."""
    code = (
        "import sys\nfrom gemel.cli.main import run\nstatus = run(['--help'])\n"
        "heavy = {'git', 'numpy', 'rich', 'jinja2', 'pydantic', 'ruamel', 'shapely'} & set(sys.modules)\n"
        "print(sorted(heavy), status)"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True)  # noqa: S603 # our own interpreter
    assert run.stdout.decode().splitlines()[-1] == "[] 0"


def test_completion_names_families(shop: Path) -> None:
    """The shell asks, gemel answers with the families of the shop."""
    assert shop.exists()
    code = "from gemel.cli.main import main; main()"
    env = os.environ | {"_GEMEL_COMPLETE": "complete_zsh", "_TYPER_COMPLETE_ARGS": "gemel write b"}
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, env=env, check=False)  # noqa: S603 # our own interpreter
    assert b"bush" in run.stdout, run.stderr


@pytest.mark.parametrize("command", [one for one in boundary.app.registered_commands if one.epilog])
def test_examples_are_read_whole_in_eighty_columns(
    command: CommandInfo, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """What can be typed after an example stands on its own line, with what it is for beside it."""
    monkeypatch.setenv("COLUMNS", "80")
    assert command.callback is not None
    assert command.epilog is not None
    assert boundary.run([command.name or command.callback.__name__, "--help"]) == 0
    shown = [row.strip() for row in capsys.readouterr().out.splitlines()]
    given = [row.strip() for row in command.epilog.splitlines() if row.startswith("  gemel ")]
    assert [row for row in given if row not in shown] == []
