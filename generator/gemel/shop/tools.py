"""The tool plan of every machine of a shop."""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from gemel.families.tool_plan import ToolPlan, tool_plan
from gemel.findings import Findings, Label, Span, did_you_mean
from gemel.shop import codes, inputs

if TYPE_CHECKING:
    from gemel.families.load import Family
    from gemel.findings import Finding
    from gemel.machines.schema import Machine
    from gemel.shop.layout import Shop

__all__ = ["as_json", "tool_plans"]


def tool_plans(shop: Shop, machine: str = "") -> list[ToolPlan]:
    """A plan for each machine that families are written for, sorted by name; for one alone where it is named.

    A machine that is named and that no family is written for has a plan of its own tools.

    Raises:
        Findings: there is no such machine, or every fault of every family, for a plan without them would mislead.
    """
    known = shop.machine_names()
    if machine and machine not in known:
        label = Label(Span("templates"), machine)
        remedy = did_you_mean(machine, known)
        raise Findings([codes.NO_MACHINE.found(f"there is no machine `{machine}`", label, remedy=remedy)])
    families: dict[str, list[Family]] = {}
    found: list[Finding] = []
    for name in shop.family_names():
        try:
            family = inputs.load(shop, name).family
        except Findings as error:
            found.extend(error.findings)
            continue
        families.setdefault(str(family.machine.machine), []).append(family)
    if found:
        raise Findings(found)
    wanted = [machine] if machine else sorted(families)
    return [tool_plan(_machine(shop, name, families), families.get(name, [])) for name in wanted]


def _machine(shop: Shop, name: str, families: dict[str, list[Family]]) -> Machine:
    return families[name][0].machine if name in families else inputs.load_machine_of(shop, name)


def as_json(plans: list[ToolPlan]) -> str:
    """The plans as one JSON object, by machine."""
    return json.dumps({plan.machine: _object(plan) for plan in plans}, indent=2, ensure_ascii=False)


def _object(plan: ToolPlan) -> dict[str, Any]:
    stations = []
    for station in plan.stations:
        fields = asdict(station)
        fields["disputed"] = station.is_disputed
        stations.append(fields)
    return {
        "families": list(plan.families),
        "stations": stations,
        "shared": [asdict(tool) for tool in plan.shared],
        "changeovers": [asdict(change) for change in plan.changeovers],
        "magazine_free": dict(plan.magazine),
    }
