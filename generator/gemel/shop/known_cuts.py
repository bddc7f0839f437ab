"""Material and tools of a member, for a proof of its programs. Imports no layer that writes programs."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from gemel.families.cutting_facts import cutting_facts
from gemel.families.load import Catalogues, Family, load_catalogues, load_family
from gemel.families.resolve import resolve
from gemel.findings import Findings, Label, Span, did_you_mean
from gemel.shop import codes
from gemel.shop.prove_files import machine_of

if TYPE_CHECKING:
    from gemel.cutting.facts import CuttingFacts
    from gemel.machines.schema import Machine
    from gemel.shop.layout import Shop, TextFile

__all__ = ["known_cuts", "perhaps_known_cuts"]

_MOST_KEPT = 16
_LOADED: dict[tuple[TextFile, TextFile, TextFile], Family] = {}


def known_cuts(shop: Shop, machine: str, family: str, member: str) -> CuttingFacts:
    """What is known of the cuts of a member on a machine.

    Raises:
        Findings: there is no such family or member, or every fault of their files.
    """
    files = (shop.family(family), shop.read("templates/tools.yaml"), shop.read("templates/materials.yaml"))
    loaded = _family(machine_of(shop, machine), *files)
    known = loaded.members()
    if member not in known:
        cause = f"{family} has no member `{member}`"
        label = Label(Span(loaded.file), member)
        raise Findings([codes.NO_MEMBER.found(cause, label, remedy=did_you_mean(member, known))])
    return cutting_facts(loaded, resolve(loaded, member))


def perhaps_known_cuts(shop: Shop, machine: str, family: str, member: str) -> CuttingFacts | None:
    """The same; None where the files are not in order, which writing them says."""
    try:
        return known_cuts(shop, machine, family, member)
    except Findings:
        return None


def _family(machine: Machine, family: TextFile, tools: TextFile, materials: TextFile) -> Family:
    """The family of these very texts; each process reads the same ones once."""
    key = family, tools, materials
    found = _LOADED.get(key)
    if found is None or found.machine is not machine:
        if len(_LOADED) >= _MOST_KEPT:
            _LOADED.clear()
        found = load_family(family.text, family.name, machine, _catalogues(tools, materials))
        _LOADED[key] = found
    return found


@lru_cache(maxsize=2)
def _catalogues(tools: TextFile, materials: TextFile) -> Catalogues:
    return load_catalogues((tools.text, tools.name), (materials.text, materials.name))
