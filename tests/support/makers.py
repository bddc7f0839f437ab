"""A shop whose pairs are made by a few lines instead of the whole pipeline, for tests of what happens around them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.findings import Finding, Severity
from gemel.history import PairName, Record, digest
from gemel.machines.dialect import dialect_of
from gemel.shop import pipeline
from gemel.shop.changes import Look
from gemel.shop.layout import Shop
from gemel.shop.pipeline import MadePair, Task
from support.demo_family import turnmill
from support.repositories import new_repository

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    import pytest

    from gemel.shop.targets import Target


def _look(files: Iterable[str]) -> Look:
    dialect = dialect_of(turnmill(), "upper")
    return Look("ascii", dict.fromkeys(files, dialect))


def small_shop(folder: Path, families: dict[str, str]) -> Shop:
    """A shop in a repository of its own; a family's text is `member=text` a line, `!` in a text refuses it."""
    new_repository(folder)
    (folder / "families").mkdir()
    (folder / "templates").mkdir()
    for name, text in families.items():
        (folder / f"families/{name}.yaml").write_text(text)
    return Shop(folder)


def simple_tasks(shop: Shop, target: Target, machine: str | None, *, prove: bool) -> list[Task]:
    """One task a line."""
    members = [row.partition("=")[0] for row in shop.family(target.family).text.splitlines()]
    wanted = [m for m in members if target.members is None or m in target.members]
    return [Task(str(shop.root), target.family, m, machine or "lathe", "", prove) for m in wanted]


def simple_pair(task: Task) -> MadePair:
    """Two programs that hold the member's text."""
    rows = (Shop(_path(task.root)).family(task.family)).text.splitlines()
    body = next(row.partition("=")[2] for row in rows if row.startswith(f"{task.member}="))
    if "!" in body:
        fault = Finding("family", "made-up", Severity.ERROR, f"{task.member} cannot be made")
        return MadePair(task.family, task.member, {}, None, None, (fault,))
    name = PairName(task.machine, task.family, task.member)
    texts = {
        f"{name.stem}.{channel}.nc": f"%\nO1 ({name.stem})\n({channel})\nG1 X{body}\nM30\n%\n".encode()
        for channel in ("lower", "upper")
    }
    digests = {file: digest(data) for file, data in texts.items()}
    record = Record("0", task.family, task.member, task.machine, 1, "KB-1", "C", {}, {}, digests)
    return MadePair(task.family, task.member, texts, record, _look(texts), ())


def _path(root: str) -> Path:
    from pathlib import Path  # noqa: PLC0415 # annotations need no import

    return Path(root)


def use_simple_pairs(monkeypatch: pytest.MonkeyPatch) -> None:
    """Make pairs in this simple way for the rest of a test."""
    monkeypatch.setattr(pipeline, "tasks", simple_tasks)
    monkeypatch.setattr(pipeline, "make", simple_pair)
