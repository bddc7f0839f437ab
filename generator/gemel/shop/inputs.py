"""The files that the pairs of a family are made from: gathered, checked, read once."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from gemel.documents import Document, compose, label_of, place_of, validate
from gemel.edits.records import read_records
from gemel.families.load import load_catalogues, load_family
from gemel.families.schema import FamilyFile
from gemel.findings import Finding, Findings, Label, Span, did_you_mean
from gemel.history import digest
from gemel.machines.load import load_machine
from gemel.shop import codes
from gemel.shop.bodies import bodies_of
from gemel.shop.layout import Shop, TextFile

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from gemel.edits.records import Record as Decided
    from gemel.families.load import Catalogues, Family
    from gemel.families.part import Body
    from gemel.machines.schema import Machine

__all__ = ["Inputs", "Loaded", "checked", "gather", "load", "load_machine_of", "mark_of", "remembered"]

Model = TypeVar("Model")


@dataclass(frozen=True, slots=True)
class Inputs:
    """Every text that a family's pairs are made from.

    Attributes:
        machine_files: the machine file and its templates, by name inside the machine's folder.
        bodies: files of blocks from elsewhere, by the name that the family gives them.
        edits: what was decided about edits from the control; None where nothing was.
    """

    family: TextFile
    machine: str
    machine_files: Mapping[str, TextFile]
    tools: TextFile
    materials: TextFile
    bodies: Mapping[str, Body]
    edits: TextFile | None = None

    def digests(self) -> dict[str, str]:
        """SHA-256 by name relative to the shop, sorted by name."""
        files = (self.family, *self.machine_files.values(), self.tools, self.materials)
        named = {file.name: file.digest for file in files}
        named |= {body.name: digest(body.data) for body in self.bodies.values()}
        named |= {self.edits.name: self.edits.digest} if self.edits else {}
        return dict(sorted(named.items()))


@dataclass(frozen=True, slots=True)
class Loaded:
    """The files of a family, read and checked once for all its members; `decisions` are those about its edits."""

    inputs: Inputs
    machine: Machine
    family: Family
    decisions: tuple[Decided, ...] = ()


def checked(inputs: Inputs) -> Loaded:
    """The checked models of all files; what is wrong with any of them is found in one run.

    Raises:
        Findings: every fault of machine file, catalogues and family.
    """
    family, found = inputs.family, list[Finding]()
    machine = _or_findings(lambda: _machine_of(inputs.machine_files["machine.yaml"]), found)
    catalogues = _or_findings(lambda: _catalogues_of(inputs.tools, inputs.materials), found)
    if machine is None or catalogues is None:
        _or_findings(lambda: validate(FamilyFile, compose(family.text, family.name)), found)
        raise Findings(found)
    decisions = read_records(inputs.edits.text, inputs.edits.name) if inputs.edits else ()
    loaded = _family_of(family, inputs.machine_files["machine.yaml"], inputs.tools, inputs.materials)
    return Loaded(inputs, machine, loaded, decisions)


@lru_cache(maxsize=4)
def _machine_of(file: TextFile) -> Machine:
    """The model of a machine file; read once for all families and for every writing that is tried."""
    return load_machine(file.text, file.name)


@lru_cache(maxsize=4)
def _catalogues_of(tools: TextFile, materials: TextFile) -> Catalogues:
    return load_catalogues((tools.text, tools.name), (materials.text, materials.name))


@lru_cache(maxsize=4)
def _family_of(family: TextFile, machine: TextFile, tools: TextFile, materials: TextFile) -> Family:
    """The family of these very texts; every member that is tried with them is made from it."""
    return load_family(family.text, family.name, _machine_of(machine), _catalogues_of(tools, materials))


def _or_findings(load: Callable[[], Model], found: list[Finding]) -> Model | None:
    """What `load` gives; None when it raises findings, which are collected."""
    try:
        return load()
    except Findings as error:
        found.extend(error.findings)
        return None


def gather(shop: Shop, family: str, machine: str | None) -> Inputs:
    """Every text that a family's pairs are made from; `machine` replaces the family's own.

    Raises:
        Findings: a file is missing or is no text, the family is no YAML, or its machine is unknown.
    """
    file = shop.family(family)
    document = compose(file.text, file.name)
    inside = _text_at(document, "family")
    if inside is not None and inside != family:
        span = document.places[("family",)]
        cause = f"{file.name} calls its family `{inside}`"
        raise Findings([codes.OTHER_NAME.found(cause, Label(span, str(inside)))])
    name = machine or _text_at(document, "machine")
    if name is None:
        # The schema says it with all else that is wrong with the file.
        validate(FamilyFile, document)
        raise AssertionError("a family without a machine passed the schema")
    if name not in shop.machine_names():
        place = place_of(name)
        label = label_of(place) if place else Label(Span("templates"), name)
        cause = f"there is no machine `{name}`"
        raise Findings([codes.NO_MACHINE.found(cause, label, remedy=did_you_mean(name, shop.machine_names()))])
    tools, materials = (shop.read(f"templates/{kind}.yaml") for kind in ("tools", "materials"))
    kept = f"families/{family}.edits.yaml"
    edits = shop.read(kept) if (shop.root / kept).is_file() else None
    return Inputs(file, str(name), shop.machine(name), tools, materials, bodies_of(shop, document), edits)


def _text_at(document: Document, key: str) -> str | None:
    value = document.value.get(key) if isinstance(document.value, dict) else None
    return value if isinstance(value, str) else None


def load_machine_of(shop: Shop, name: str) -> Machine:
    """The machine of that name.

    Raises:
        Findings: every fault of its file.
    """
    file = shop.machine(name)["machine.yaml"]
    return load_machine(file.text, file.name)


def load(shop: Shop, family: str, machine: str | None = None) -> Loaded:
    """A family with its machine and catalogues, checked; `machine` replaces the family's own.

    Raises:
        Findings: every fault of any of the files.
    """
    return checked(gather(shop, family, machine))


@lru_cache(maxsize=4)
def remembered(root: str, family: str, machine: str, mark: str) -> Loaded:
    """The files as they were when the task was given; each process reads them once."""
    inputs = gather(Shop(Path(root)), family, machine)
    if mark_of(inputs) != mark:
        cause = f"the files of {family} changed while gemel was reading them"
        raise Findings([codes.CHANGED.found(cause, Label(Span(inputs.family.name)))])
    return checked(inputs)


def mark_of(inputs: Inputs) -> str:
    """Digest of all inputs, by which it is known that nobody changed them meanwhile."""
    return digest(repr(inputs.digests()).encode())
