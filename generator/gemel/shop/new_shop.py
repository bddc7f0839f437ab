"""`gemel new`: an empty shop that works at once."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from gemel.findings import Findings, Label, Span
from gemel.history import create_repository, open_repository
from gemel.shop import codes
from gemel.shop.layout import template_folder
from gemel.shop.schema import KINDS, schema

if TYPE_CHECKING:
    from gemel.findings import Finding

__all__ = ["NewShop", "new_shop"]

_DOTTED = {"gitignore": ".gitignore", "gitattributes": ".gitattributes"}


@dataclass(frozen=True, slots=True)
class NewShop:
    """A shop that was laid out.

    Attributes:
        root: its folder.
        files: what lies in it, relative to it, sorted.
        notes: why it is not committed, if it is not.
    """

    root: Path
    files: tuple[str, ...]
    notes: tuple[Finding, ...]


def new_shop(folder: Path) -> NewShop:
    """Lay out templates, one commented family, a git repository with a first commit.

    Everything is built beside the place and moved there when it is whole.

    Raises:
        Findings: `shop:not-empty`, `git:no-git`.
        OSError: the folder cannot be written; nothing is left behind.
    """
    root = folder.absolute()
    if root.exists() and (not root.is_dir() or any(root.iterdir())):
        cause = f"{folder} {'exists and is not empty' if root.is_dir() else 'is a file'}"
        raise Findings([codes.NOT_EMPTY.found(cause, Label(Span(str(folder))))])
    made = _make_parents(root.parent)
    staged = root.parent / f".gemel-new-{root.name or 'shop'}"
    try:
        shutil.rmtree(staged, ignore_errors=True)
        files = _fill(staged)
        create_repository(staged)
        if root.exists():
            root.rmdir()
        staged.rename(root)
    except BaseException:
        shutil.rmtree(staged, ignore_errors=True)
        for parent in made:
            parent.rmdir()
        raise
    return NewShop(root, tuple(files), _commit(root, files))


def _make_parents(folder: Path) -> list[Path]:
    missing = [p for p in (folder, *folder.parents) if not p.exists()]
    folder.mkdir(parents=True, exist_ok=True)
    return missing


def _fill(staged: Path) -> list[str]:
    shutil.copytree(template_folder(), staged / "templates", ignore=shutil.ignore_patterns("__pycache__"))
    starter = Path(__file__).parent / "starter"
    for path in sorted(p for p in starter.rglob("*") if p.is_file()):
        relative = path.relative_to(starter)
        target = staged / relative.with_name(_DOTTED.get(relative.name, relative.name))
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(path, target)
    for kind in KINDS:
        target = staged / "docs" / "schema" / f"{kind}.json"
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_text(schema(kind), encoding="utf-8", newline="\n")
    return sorted(p.relative_to(staged).as_posix() for p in staged.rglob("*") if p.is_file())


def _commit(root: Path, files: list[str]) -> tuple[Finding, ...]:
    """Commit what was laid out; without an identity the shop stands all the same, and that is said."""
    try:
        repository = open_repository(root)
    except Findings as error:
        return error.findings
    repository.commit({name: (root / name).read_bytes() for name in files}, (), "Lay out the shop\n")
    return ()
