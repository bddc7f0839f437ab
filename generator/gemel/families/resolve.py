"""One member of a family with every value known, and the jobs that its operations are."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from gemel.families.cutting import Cutting
from gemel.families.features import Bar, Feature, Flats, Hexagon, PartFeature, Square
from gemel.families.part import Job, Part, Stage, StockBar
from gemel.families.settle import MM_PER_INCH, Settler
from gemel.families.stations import held_tools
from gemel.families.values import values_of
from gemel.findings import Findings
from gemel.numbers import Number, cos_deg, rule, sqrt

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.families.load import Family
    from gemel.families.processes import Operation
    from gemel.families.schema import FamilyFile, Stock
    from gemel.machines.schema import Channel, Machine

__all__ = ["jobs_of", "resolve"]

_SIDES = {"square": 4.0, "hexagon": 6.0}
_HALF_HEXAGON = rule(30.0, "half the angle of a hexagon's side", "geometry")
_NOTHING = 1e-9
_TWO = rule(2.0, "square of a square's diagonal over its side's", "geometry")


def resolve(family: Family, member: str) -> Part:
    """The member as a part; lengths in mm.

    Raises:
        Findings: every value or expression that gives no number for this member.
    """
    form = family.form
    values = values_of(form, member)
    settler = Settler(values.numbers, inch=form.unit == "inch", threads=values.threads, elsewhere=values.elsewhere)
    kept = {name: o for name, operation in form.operations.items() if (o := _if_kept(operation, settler)) is not None}
    features = _features(form, {o.feature for o in kept.values()}, settler)
    stock = _bar(settler.model(form.stock))
    holding = {name: settler.model(hold) for name, hold in form.holding.items()}
    if settler.findings:
        raise Findings(settler.findings)
    lengths = [feature.length_mm for feature in features.values() if isinstance(feature, PartFeature)]
    return Part(
        family=form.family,
        title=form.title,
        drawing=form.drawing.number,
        revision=form.drawing.revision,
        member=member,
        program=_program(family, member),
        machine=family.machine.machine,
        material=form.material,
        general=form.general,
        unit=form.unit,
        stock=stock,
        length_mm=lengths[0] if lengths else rule(0.0, "length of the part", "no feature of kind part"),
        values=values.numbers,
        tolerances=values.tolerances,
        features=features,
        operations=kept,
        stations=_stations(family),
        stages=_stages(family, kept),
        repeat=form.repeat,
        holding=holding,
    )


def _if_kept(operation: Operation, settler: Settler) -> Operation | None:
    """The operation with its numbers; None when its `when` is zero for this member, whatever its other numbers are."""
    when: Any = operation.when
    if when is not None and abs(settler.number(when)) < _NOTHING:
        return None
    return settler.model(operation)


def _features(form: FamilyFile, used: set[str], settler: Settler) -> dict[str, Feature]:
    """Every feature with its numbers; one that this member's operations do not make may have none that fit."""
    found: dict[str, Feature] = {}
    for name, feature in form.features.items():
        faults = len(settler.findings)
        settled = _plain_flats(settler.model(feature))
        if len(settler.findings) > faults and name not in used and not isinstance(feature, PartFeature | Bar):
            del settler.findings[faults:]
            continue
        found[name] = settled
    return found


def _program(family: Family, member: str) -> int:
    return int(getattr(family.form.members[member]["program"], "value", 0))


def _plain_flats(feature: Feature) -> Feature:
    """Squares and hexagons as what they are: four or six flats."""
    if not isinstance(feature, Square | Hexagon):
        return feature
    fields = {name: getattr(feature, name) for name in type(feature).model_fields if name != "kind"}
    count = rule(_SIDES[feature.kind], f"sides of a {feature.kind}", "geometry")
    return Flats.model_construct(kind="flats", count=count, **fields)


def _bar(stock: Stock) -> StockBar:
    """The bar, and the diameter of the circle around it."""
    round_mm = stock.size_mm
    if stock.shape == "hexagon":
        round_mm = stock.size_mm / cos_deg(_HALF_HEXAGON)
    elif stock.shape == "square":
        round_mm = stock.size_mm * sqrt(_TWO)
    return StockBar(stock.shape, stock.size_mm, stock.bar_mm, stock.remnant_mm, round_mm)


def _stations(family: Family) -> dict[str, dict[str, str]]:
    found: dict[str, dict[str, str]] = {}
    for name, channel in family.machine.channels.items():
        held = held_tools(channel, family.form.stations.get(name, {}))
        found[name] = {station: tool for tool, (station, _) in held.items()}
    return found


def _stages(family: Family, kept: Mapping[str, Operation]) -> tuple[Stage, ...]:
    return tuple(
        Stage(number, {channel: tuple(name for name in names if name in kept) for channel, names in row.items()})
        for number, row in enumerate(family.form.stages, start=1)
    )


def jobs_of(family: Family, part: Part) -> dict[str, Job]:
    """A job for every operation that the member runs."""
    return {name: _job(family, part, name, operation) for name, operation in part.operations.items()}


def _job(family: Family, part: Part, name: str, operation: Operation) -> Job:
    machine = family.machine
    channel = machine.channels[operation.channel]
    filled = family.form.stations.get(operation.channel, {})
    station, call = held_tools(channel, filled)[operation.tool]
    tool = family.catalogues.tools[operation.tool]
    material = family.catalogues.materials[part.material]
    return Job(
        part=part,
        id=name,
        operation=operation,
        feature=part.features[operation.feature],
        tool_id=operation.tool,
        tool=tool,
        station=station,
        call=call,
        cutting=_over(operation.cutting, tool.cutting, material.cutting.get(tool.type, Cutting())),
        material=material,
        machine=machine,
        channel=channel,
        spindle=machine.spindles[operation.spindle],
        clearance_mm=_in_mm(machine.zones.clearance, machine, "clearance"),
        change_z_mm=_change_z_mm(channel, machine),
        blade_mm=_blade_mm(family, part),
    )


def _blade_mm(family: Family, part: Part) -> float | None:
    """Width of the blade that cuts the part off; None where nothing does, or the tool does not say."""
    blades = (family.catalogues.tools[o.tool].width_mm for o in part.operations.values() if o.process == "cut_off")
    return next(blades, None)


def _over(*layers: Cutting) -> Cutting:
    """The first layer that says something, field by field."""
    said: dict[str, Any] = {}
    for layer in reversed(layers[:-1]):
        said.update((name, value) for name, value in layer.__dict__.items() if value is not None)
    return layers[-1].model_copy(update=said) if said else layers[-1]


def _change_z_mm(channel: Channel, machine: Machine) -> Number | None:
    z = channel.tool_change.z
    return None if z is None else _in_mm(z, machine, "Z of tool changes")


def _in_mm(length: float, machine: Machine, what: str) -> Number:
    """A length of the machine file."""
    number = length if isinstance(length, Number) else rule(length, what, "machine file")
    return number * MM_PER_INCH if machine.unit == "inch" else number
