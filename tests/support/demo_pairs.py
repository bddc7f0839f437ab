"""The demo's pairs as texts, for every machine that their families can be written for."""

from __future__ import annotations

import contextlib
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from gemel.findings import Findings
from gemel.shop.layout import Shop
from gemel.shop.pipeline import render, tasks
from gemel.shop.prove_files import machine_of
from gemel.shop.targets import Target

if TYPE_CHECKING:
    from gemel.machines.schema import Machine

__all__ = ["demo_members", "demo_pair"]

_SHOP = Shop(Path(__file__).parents[2])


@cache
def demo_members(machine: str) -> tuple[tuple[str, str], ...]:
    """Family and member of each pair that can be written for a machine, in order."""
    found: list[tuple[str, str]] = []
    for family in _SHOP.family_names():
        for task in tasks(_SHOP, Target(family, None), machine, prove=False):
            with contextlib.suppress(Findings):  # a body that was posted for another machine
                demo_pair(machine, family, task.member)
                found.append((family, task.member))
    return tuple(found)


@cache
def demo_pair(machine: str, family: str, member: str) -> tuple[Machine, dict[str, str]]:
    """The machine, and the program of each channel.

    Raises:
        Findings: the member cannot be written for that machine.
    """
    (task,) = tasks(_SHOP, Target(family, (member,)), machine, prove=False)
    made = render(task)
    texts = {channel: made.texts[file].decode("ascii") for file, channel in made.names.items()}
    known = machine_of(_SHOP, machine)
    return known, {channel: texts[channel] for channel in known.channels}
