"""Every pair of the demo shop, written for both machines straight from its files."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from ruamel.yaml import YAML

from gemel.shop import pipeline
from gemel.shop.layout import Shop
from gemel.shop.targets import Target

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.families.part import Part

ROOT = Path(__file__).parents[2]
MACHINES = ("twin-turnmill", "inch-duplex")
POSTED_FOR_ONE_MACHINE = frozenset({("inch-duplex", "valve-stem", "60")})
"""Pairs whose body was posted for the other machine; gemel refuses them there."""


@dataclass(frozen=True, slots=True)
class Demo:
    """One pair: its text by channel, and what the family wants it to be."""

    machine: str
    family: str
    member: str
    texts: Mapping[str, str]
    part: Part


def names() -> list[tuple[str, str, str]]:
    """Machine, family and member of every demo pair."""
    found = []
    for machine in MACHINES:
        for file in sorted((ROOT / "families").glob("*.yaml")):
            if file.name.endswith(".edits.yaml"):
                continue
            members = YAML(typ="safe", pure=True).load(file.read_text(encoding="utf-8"))["members"]
            found += [(machine, file.stem, str(member)) for member in members]
    return [name for name in found if name not in POSTED_FOR_ONE_MACHINE]


IDS = ["-".join(name) for name in names()]


@cache
def demo(machine: str, family: str, member: str) -> Demo:
    """The pair of that name, rendered once for all tests of a process."""
    [task] = pipeline.tasks(Shop(ROOT), Target(family, (member,)), machine, prove=False)
    made = pipeline.render(task)
    texts = {made.names[file]: data.decode("ascii") for file, data in made.texts.items()}
    return Demo(machine, family, member, texts, made.part)
