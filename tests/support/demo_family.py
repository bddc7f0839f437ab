"""Families of the demo shop, loaded, with pieces of their text replaced where a test wants them otherwise."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from gemel.documents import compose, validate
from gemel.families.load import Family, load_catalogues, load_family
from gemel.machines.schema import Machine

__all__ = ["demo_family", "turnmill"]

ROOT = Path(__file__).parents[2]


def _text(name: str) -> tuple[str, str]:
    return (ROOT / name).read_text(encoding="utf-8"), name


@cache
def turnmill() -> Machine:
    """The demo machine."""
    return validate(Machine, compose(*_text("templates/twin-turnmill/machine.yaml")))


@cache
def demo_family(name: str, *changes: tuple[str, str]) -> Family:
    """A family of the demo for its machine; `changes` are (old, new) pieces of its text."""
    text, file = _text(f"families/{name}.yaml")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    catalogues = load_catalogues(_text("templates/tools.yaml"), _text("templates/materials.yaml"))
    return load_family(text, file, turnmill(), catalogues)
