"""The machine file of a shop's machine, read once for all who ask. Nothing that proves or writes is needed for it."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from gemel.documents import compose, validate
from gemel.machines.schema import Machine

if TYPE_CHECKING:
    from gemel.shop.layout import Shop, TextFile

__all__ = ["machine_of"]


def machine_of(shop: Shop, name: str) -> Machine:
    """The machine of that name. The layers that write programs are not needed for it, and not imported.

    Raises:
        Findings: there is none, or every fault of its file.
    """
    return _machine(shop.machine(name)["machine.yaml"])


@lru_cache(maxsize=4)
def _machine(file: TextFile) -> Machine:
    """The machine of this very text; each process reads it once for all pairs."""
    return validate(Machine, compose(file.text, file.name))
