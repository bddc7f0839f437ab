"""Names and texts that come from a control are data: never an option, a path, an escape or a command."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from gemel.cli import main as boundary
from gemel.findings import Findings
from gemel.shop.intake import Request, take_in
from gemel.shop.layout import Shop
from support.at_control import BRANCH, MACHINE, NAME, PAIR, both, codes, program, take
from support.repositories import git

NAMES = [
    b"--upload-pack=touch ran",
    b"-rf",
    b"CON",
    b"nul.nc",
    b"a b\tc",
    b"line\nfeed.nc",
    b"\x1b]0;owned\x07\x1b[2J.nc",
    b"\xff\xfe.nc",
    "\u202egnp.cn".encode(),
    b"$(touch ran);`touch ran`",
    b"%00..%2f..%2fx",
    b"refs:HEAD@{0}^{tree}",
    b"x" * 250,
]
ESCAPES = b"(\x1b[31mRED\x1b[0m \x1b]0;title\x07 \x9b31m \x08\x08 [bold]MARKUP[/bold])\n"


@pytest.fixture
def stick(tmp_path: Path) -> Path:
    folder = tmp_path / "stick"
    folder.mkdir()
    return folder


def safe(text: str) -> bool:
    """Whether a terminal shows it and does nothing else."""
    return all(c.isprintable() or c == "\n" for c in text)


@pytest.mark.parametrize("name", NAMES, ids=range(len(NAMES)))
def test_any_file_name_is_a_file_name(
    real_shop: Path, stick: Path, capsys: pytest.CaptureFixture[str], name: bytes
) -> None:
    """The file is taken in whatever it is called; paths on the branch are plain, nothing runs, the screen is safe."""
    Path(os.fsdecode(os.fsencode(stick) + b"/" + name)).write_bytes(program(real_shop, "upper"))
    assert boundary.run(["intake", str(stick), "--machine", MACHINE]) == 0
    stranger = Path(os.fsdecode(os.fsencode(stick) + b"/" + name))
    stranger.write_bytes(b"O4711 (NOBODY'S)\nM30\n")
    boundary.run(["intake", str(stick), "--machine", MACHINE])
    boundary.run(["intake", str(stick), "--machine", MACHINE, "--format", "json"])
    boundary.run(["log", NAME])
    boundary.run(["status"])
    said = capsys.readouterr()
    assert safe(said.out)
    assert safe(said.err)
    assert "Traceback" not in said.err
    paths = git(real_shop, "-c", "core.quotePath=false", "ls-tree", "-r", "--name-only", BRANCH).splitlines()
    assert all(path.split("/")[0] in ("received", "port-block-20") for path in paths)
    assert all(set(path) <= set("abcdefghijklmnopqrstuvwxyz0123456789-./") for path in paths)
    assert git(real_shop, "fsck", "--strict") == ""
    assert not list(real_shop.rglob("ran"))
    assert not list(stick.rglob("ran"))


def test_an_option_like_path_on_the_command_line_is_a_path(
    real_shop: Path, stick: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Behind `--` a file called like an option is that file."""
    shop = real_shop
    (shop / "--upload-pack").write_bytes(program(shop, "upper"))
    assert boundary.run(["intake", "--machine", MACHINE, "--", "--upload-pack"]) == 0
    monkeypatch.chdir(stick)
    assert boundary.run(["intake", "--machine", MACHINE, "--", "--upload-pack"]) == 2


@pytest.mark.parametrize("machine", ["../../x", "--upload-pack", "twin-turnmill/../..", "", "a\nb", "HEAD"])
def test_a_machine_that_is_none_makes_no_branch(real_shop: Path, stick: Path, machine: str) -> None:
    """A path, an option, a revision as the name of a machine: refused, and no ref appears."""
    both(real_shop, stick)
    with pytest.raises(Findings):
        take_in(Shop(real_shop), Request((str(stick),), machine))
    assert git(real_shop, "for-each-ref", "refs/gemel", "refs/heads/at-control") == ""


@pytest.mark.parametrize("machine", ["--upload-pack", "a..b", "x.lock", ".x"])
def test_a_machine_folder_with_such_a_name_is_refused(real_shop: Path, stick: Path, machine: str) -> None:
    """Also when the shop has a folder of that name: a finding, no ref, no traceback."""
    folder = real_shop / "templates" / machine
    folder.mkdir()
    (folder / "machine.yaml").write_bytes((real_shop / f"templates/{MACHINE}/machine.yaml").read_bytes())
    both(real_shop, stick)
    with pytest.raises(Findings):
        take_in(Shop(real_shop), Request((str(stick),), machine))
    assert git(real_shop, "for-each-ref", "refs/gemel", "refs/heads/at-control") == ""


@pytest.mark.parametrize(
    "told", ["../../x:upper", "--upload-pack:upper", "port-block/20:../../x", "\x1b[2J:upper", "=:"]
)
def test_an_answer_is_a_name_and_no_path(
    real_shop: Path, stick: Path, capsys: pytest.CaptureFixture[str], told: str
) -> None:
    """`--as` with a path, an option or an escape is no member; the screen stays safe."""
    (stick / "x").write_bytes(b"O4711\nM30\n")
    assert boundary.run(["intake", str(stick), "--machine", MACHINE, "--as", told]) == 1
    said = capsys.readouterr()
    assert safe(said.out + said.err)
    assert not (real_shop.parent / "x").exists()


def test_escapes_in_a_program_never_reach_the_terminal(
    real_shop: Path, stick: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Colours, titles, backspaces and markup in comments and in a program's name are shown, not obeyed."""
    for channel in ("upper", "lower"):
        text = program(real_shop, channel)
        (stick / channel).write_bytes(text.replace(b"M08\n", ESCAPES + b"M08\n", 1))
    (stick / "stranger").write_bytes(b"O4711 " + ESCAPES + b"M30\n")
    boundary.run(["intake", str(stick), "--machine", MACHINE])
    for words in (["status"], ["log", NAME], ["status", "--format", "json"]):
        boundary.run(words)
    said = capsys.readouterr()
    assert safe(said.out + said.err)
    assert [one.pair for one in take(real_shop, stick).taken] == [PAIR]


def test_links_and_other_things_in_the_folder_are_not_followed(real_shop: Path, stick: Path, tmp_path: Path) -> None:
    """Links to files and folders, pipes: named, not read; what they lead to is in no commit."""
    secret = tmp_path / "secret"
    secret.mkdir()
    (secret / "key").write_bytes(b"O1201 (SECRET)\nM30\n")
    (stick / "O1201").symlink_to(secret / "key")
    (stick / "folder").symlink_to(secret)
    (stick / "gone").symlink_to(tmp_path / "nothing")
    os.mkfifo(stick / "pipe")
    (stick / "real").write_bytes(program(real_shop, "upper"))
    result = take(real_shop, stick)
    assert codes(result).count("intake:link") == 3
    assert [one.files for one in result.taken] == [{"upper": "real"}]
    assert "SECRET" not in git(real_shop, "log", "-p", BRANCH)
    with pytest.raises(Findings):
        take(real_shop, stick / "O1201")


def test_a_file_larger_than_any_program_is_not_read(real_shop: Path, stick: Path) -> None:
    """A sparse file of a gigabyte beside the programs is named and left."""
    with (stick / "image").open("wb") as file:
        file.truncate(1_000_000_000)
    both(real_shop, stick)
    assert codes(take(real_shop, stick)) == ["intake:too-large"]


def test_hooks_and_filters_of_the_repository_do_not_touch_a_copy(real_shop: Path, stick: Path, tmp_path: Path) -> None:
    """With every hook, filters, line-end and encoding attributes set: nothing runs, and the bytes are those given."""
    ran = tmp_path / "ran"
    hooks = real_shop / ".git/hooks"
    hooks.mkdir(exist_ok=True)
    for hook in ("pre-commit", "post-commit", "commit-msg", "reference-transaction", "post-index-change", "update"):
        (hooks / hook).write_text(f"#!/bin/sh\necho {hook} >> '{ran}'\nexit 1\n")
        (hooks / hook).chmod((hooks / hook).stat().st_mode | stat.S_IXUSR)
    for key in ("clean", "smudge", "process"):
        git(real_shop, "config", f"filter.evil.{key}", f"sh -c 'echo {key} >> {ran}; cat'")
    for name, value in (
        ("core.autocrlf", "true"),
        ("core.fsmonitor", f"sh -c 'echo fsmonitor >> {ran}'"),
        ("diff.evil.textconv", f"sh -c 'echo textconv >> {ran}'"),
        ("diff.external", f"sh -c 'echo external >> {ran}'"),
        ("log.showSignature", "true"),
        ("commit.gpgSign", "true"),
        ("tag.gpgSign", "true"),
        ("gpg.program", f"sh -c 'echo gpg >> {ran}'"),
    ):
        git(real_shop, "config", name, value)
    (real_shop / ".git/info").mkdir(exist_ok=True)
    (real_shop / ".git/info/attributes").write_text("* filter=evil diff=evil text eol=crlf ident\n")
    for channel in ("upper", "lower"):
        (stick / channel).write_bytes(
            program(real_shop, channel).replace(b"M08\n", b"M08\n($Id$)\n").replace(b"\n", b"\r\n")
        )
    assert [one.pair for one in take(real_shop, stick).taken] == [PAIR]
    boundary.run(["status"])
    boundary.run(["log", NAME])
    boundary.run(["send", NAME, str(stick)])
    assert not ran.exists()
    for name in ("core.autocrlf", "core.fsmonitor", "diff.external", "log.showSignature"):
        git(real_shop, "config", "--unset", name)
    held = git(real_shop, "cat-file", "blob", f"{BRANCH}:port-block-20/upper.nc").encode()
    assert held == (stick / "upper").read_bytes()


@pytest.mark.parametrize("file", ["families/port-block.edits.yaml", f"templates/{MACHINE}/machine.yaml"])
def test_yaml_with_tags_makes_no_object(
    real_shop: Path, stick: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], file: str
) -> None:
    """A tag that wants something run is a finding; the copy is stored all the same."""
    (real_shop / file).write_text(f'!!python/object/apply:os.system ["touch {tmp_path}/ran"]\n')
    both(real_shop, stick, (b"F0.08", b"F0.06"))
    boundary.run(["intake", str(stick), "--machine", MACHINE])
    boundary.run(["status"])
    boundary.run(["log", NAME])
    assert not (tmp_path / "ran").exists()
    assert "Traceback" not in capsys.readouterr().err
    assert git(real_shop, "rev-list", "--count", BRANCH).strip() != "0"


@pytest.mark.parametrize(
    "body",
    [
        b"[" * 100_000,
        b'{"family": "../..", "member": "x", "taken_at": "", "taken_by": "", "channels": {}}',
        b'{"family": "port-block", "member": "20", "taken_at": 1, "taken_by": "", "channels": {"upper": {"x": 1}}}',
        b'{"family": "port-block", "member": "20", "taken_at": "\\u001b[2J", "taken_by": "\\u001b[2J", "channels": {}}',
        b"null",
    ],
)
def test_a_branch_that_somebody_else_wrote_is_data(
    real_shop: Path, stick: Path, capsys: pytest.CaptureFixture[str], body: bytes
) -> None:
    """Facts on a fetched side branch that are nonsense or hostile are passed over, shown safely, and built upon."""
    both(real_shop, stick)
    take(real_shop, stick)
    git(real_shop, "switch", "--quiet", BRANCH)
    (real_shop / "port-block-20/intake.json").write_bytes(body)
    git(real_shop, "commit", "--quiet", "-am", "\x1b[2J evil")
    git(real_shop, "switch", "--quiet", "main")
    capsys.readouterr()
    assert boundary.run(["status"]) in (0, 1, 2)
    boundary.run(["log", NAME])
    both(real_shop, stick, (b"F0.08", b"F0.06"))
    assert boundary.run(["intake", str(stick), "--machine", MACHINE]) == 0
    said = capsys.readouterr()
    assert safe(said.out + said.err)
    assert "Traceback" not in said.err
