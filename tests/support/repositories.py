"""Repositories and pairs for tests of what touches disk and git."""

from __future__ import annotations

import subprocess
from typing import TYPE_CHECKING

from gemel.history import PairName, Record, digest

if TYPE_CHECKING:
    from pathlib import Path

NAME = PairName("twin-turnmill", "port-block", "20")


def git(folder: Path, *words: str) -> str:
    """What git prints; an error of git is an error of the test."""
    run = subprocess.run(["git", *words], cwd=folder, capture_output=True, check=True)  # noqa: S603, S607 # fixed words
    return run.stdout.decode()


def new_repository(folder: Path) -> Path:
    """A repository with one commit that holds `README`."""
    folder.mkdir(exist_ok=True)
    git(folder, "init", "--quiet", "--initial-branch=main")
    (folder / "README").write_text("a shop\n")
    git(folder, "add", "README")
    git(folder, "commit", "--quiet", "-m", "begin")
    return folder


def texts_of(body: str, name: PairName = NAME) -> dict[str, bytes]:
    """Two programs that hold `body`."""
    return {f"{name.stem}.{channel}.nc": f"%\n({channel} {body})\n%\n".encode() for channel in ("upper", "lower")}


def record_of(texts: dict[str, bytes], name: PairName = NAME) -> Record:
    """The record of some texts."""
    return Record(
        gemel="0.1.0",
        family=name.family,
        member=name.member,
        machine=name.machine,
        program=1201,
        drawing="KB-1042",
        revision="C",
        stamp={},
        inputs={"families/port-block.yaml": digest(b"family")},
        texts={file: digest(data) for file, data in texts.items()},
    )
