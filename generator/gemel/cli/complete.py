"""Names for shell completion. Reads names of files only, so that the Tab key stays quick."""

from __future__ import annotations

from pathlib import Path

__all__ = ["families", "machines"]


def families(incomplete: str) -> list[str]:
    """Families of the shop that begin so."""
    names = (p.stem for p in _root().glob("families/*.yaml") if not p.name.endswith(".edits.yaml"))
    return sorted(name for name in names if name.startswith(incomplete))


def machines(incomplete: str) -> list[str]:
    """Machines of the shop that begin so."""
    names = (p.parent.name for p in _root().glob("templates/*/machine.yaml"))
    return sorted(name for name in names if name.startswith(incomplete))


def _root() -> Path:
    here = Path.cwd()
    return next((p for p in (here, *here.parents) if (p / "families").is_dir()), here)
