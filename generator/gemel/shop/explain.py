"""Every code that gemel can print, with its explanation."""

from __future__ import annotations

import importlib
import pkgutil

import gemel
from gemel.findings import Explanation, Findings, Label, Span, did_you_mean
from gemel.shop import codes

__all__ = ["all_codes", "explain"]


def all_codes() -> dict[str, Explanation]:
    """Explanations by name, sorted. Found in the modules of all layers, so that no list can be forgotten."""
    found: dict[str, Explanation] = {}
    for module in pkgutil.walk_packages(gemel.__path__, "gemel."):
        if module.name.startswith("gemel.cli"):
            continue
        for value in vars(importlib.import_module(module.name)).values():
            entries = value if isinstance(value, tuple) else (value,)
            found.update({entry.name: entry for entry in entries if isinstance(entry, Explanation)})
    return dict(sorted(found.items()))


def explain(name: str) -> Explanation:
    """The explanation of a code, by `rule:code`; the code alone does where only one rule has it.

    Raises:
        Findings: `shop:no-code` with the nearest name.
    """
    known = all_codes()
    wanted = name.strip().strip("[]")
    same = [entry for full, entry in known.items() if wanted in (full, full.partition(":")[2])]
    if len(same) == 1:
        return same[0]
    which = ", ".join(f"`{entry.name}`" for entry in same)
    remedy = f"say which: {which}" if same else did_you_mean(wanted, known)
    raise Findings(
        [codes.NO_CODE.found(f"there is no finding `{name}`", Label(Span("gemel explain"), name), remedy=remedy)]
    )
