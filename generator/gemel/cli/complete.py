"""Names for shell completion. Reads names of files only, so that the Tab key stays quick."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["families", "machines"]


_KEY = re.compile(r"""( +)["']?([A-Za-z0-9][A-Za-z0-9._-]*)["']? *:""")


def families(incomplete: str) -> list[str]:
    """Families of the shop that begin so; behind a `/` the members of one."""
    family, slash, _ = incomplete.partition("/")
    if slash:
        names = (f"{family}/{member}" for member in _members(family))
    else:
        names = (p.stem for p in _root().glob("families/*.yaml") if not p.name.endswith(".edits.yaml"))
    return sorted(name for name in names if name.startswith(incomplete))


def _members(family: str) -> Iterator[str]:
    """The keys under `members:`, by their indentation alone: reading YAML would take longer than a finger waits."""
    try:
        rows = (_root() / "families" / f"{family}.yaml").read_text(encoding="utf-8", errors="replace").splitlines()
    except OSError:
        return
    begun, depth = False, ""
    for row in rows:
        if not begun:
            begun = row.startswith("members:")
            continue
        match = _KEY.match(row)
        if row[:1].strip() and not row.startswith("#"):
            return
        if match and (not depth or match.group(1) == depth):
            depth = match.group(1)
            yield match.group(2)


def machines(incomplete: str) -> list[str]:
    """Machines of the shop that begin so."""
    names = (p.parent.name for p in _root().glob("templates/*/machine.yaml"))
    return sorted(name for name in names if name.startswith(incomplete))


def _root() -> Path:
    here = Path.cwd()
    return next((p for p in (here, *here.parents) if (p / "families").is_dir()), here)
