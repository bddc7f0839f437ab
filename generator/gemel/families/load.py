"""From documents to a family that can be resolved: schema first, then everything that names something else."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from gemel.documents import compose, validate
from gemel.families.catalogue import Materials, Tools
from gemel.families.checks import faults_of
from gemel.families.schema import FamilyFile
from gemel.families.settle import Settler
from gemel.findings import Findings

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.families.catalogue import Material, Tool
    from gemel.machines.schema import Machine

__all__ = ["Catalogues", "Family", "load_catalogues", "load_family"]


@dataclass(frozen=True, slots=True)
class Catalogues:
    """What the shop knows of tools and materials; every number settled, lengths in mm."""

    tools: Mapping[str, Tool]
    materials: Mapping[str, Material]


@dataclass(frozen=True, slots=True)
class Family:
    """A family for one machine, its names checked.

    Attributes:
        file: the name of its document. form: the document as written.
    """

    file: str
    form: FamilyFile
    machine: Machine
    catalogues: Catalogues

    def members(self) -> tuple[str, ...]:
        """Names of the members, in the order of the document."""
        return tuple(self.form.members)


def load_catalogues(tools: tuple[str, str], materials: tuple[str, str]) -> Catalogues:
    """The catalogues from (text, file name) each.

    Raises:
        Findings: what is wrong with either document.
    """
    tool_form = validate(Tools, compose(*tools))
    material_form = validate(Materials, compose(*materials))
    of_tools = Settler({}, inch=tool_form.unit == "inch")
    of_materials = Settler({}, inch=material_form.unit == "inch")
    result = Catalogues(
        {name: of_tools.model(tool) for name, tool in tool_form.tools.items()},
        {name: of_materials.model(material) for name, material in material_form.materials.items()},
    )
    findings = [*of_tools.findings, *of_materials.findings]
    if findings:
        raise Findings(findings)
    return result


def load_family(text: str, file: str, machine: Machine, catalogues: Catalogues) -> Family:
    """The family of a document, for a machine.

    Raises:
        Findings: every fault of the document: its form, and every name in it that nothing bears.
    """
    form = validate(FamilyFile, compose(text, file))
    findings = faults_of(form, machine, catalogues.tools, catalogues.materials)
    if findings:
        raise Findings(findings)
    return Family(file, form, machine, catalogues)
