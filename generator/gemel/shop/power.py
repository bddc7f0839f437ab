"""What every operation of a pair asks of its drive: programs in `output/`, or a copy from a control."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from gemel.cutting.drives import TOOL, drive_of, others
from gemel.cutting.follow import follow
from gemel.families.cutting_facts import cutting_facts
from gemel.families.resolve import jobs_of
from gemel.findings import Findings
from gemel.machines.dialect import dialect_of
from gemel.operations.surface import Surface, surface_of
from gemel.proving.facts import facts_of
from gemel.proving.model import build
from gemel.reading.blocks import read
from gemel.reading.channel import ChannelText
from gemel.shop import pipeline
from gemel.shop.layout import Shop
from gemel.shop.prove_files import machine_of, programs_of, stored_programs
from gemel.shop.targets import Target

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from gemel.cutting.cut import Cut
    from gemel.cutting.follow import Followed
    from gemel.findings import Finding
    from gemel.history.record import PairName
    from gemel.machines.schema import Machine
    from gemel.proving.model import ChannelModel
    from gemel.shop.pipeline import Rendered

__all__ = ["PairPower", "PowerRow", "as_json", "power_of_files", "power_of_pair"]

_File = tuple[str, bytes]


class PowerRow(NamedTuple):
    """One operation at the block where its drive has least to spare.

    Attributes:
        operation: its id; the tool's name where the text has a tool call of its own.
        drive: the motor, for people. power_kw, torque_nm: what it has there.
        cut: what the block asks for. cuts: how many blocks of the operation cut.
        rz_um: height of the marks that the feed leaves, the largest of the operation; None where there is no corner.
        surface: what the drawing allows, None where the operation leaves no finished turned surface.
        instead: other tool drives that could do it, where this one cannot.
    """

    operation: str
    drive: str
    power_kw: float
    torque_nm: float
    cut: Cut
    cuts: int
    rz_um: float | None
    surface: Surface | None
    instead: tuple[str, ...]

    @property
    def is_too_much(self) -> bool:
        """Whether the drive cannot do it."""
        return self.cut.share > 1.0

    @property
    def is_rough(self) -> bool:
        """Whether the marks in the text are higher than the drawing allows."""
        if self.surface is None or self.rz_um is None:
            return False
        # The mean of the marks is the same share of their height at every feed.
        mean = self.rz_um * self.surface.ra_um / self.surface.rz_um
        limits = (self.rz_um, self.surface.asked_rz_um), (mean, self.surface.asked_ra_um)
        return any(limit is not None and marks > limit for marks, limit in limits)


@dataclass(frozen=True, slots=True)
class PairPower:
    """The operations of a pair in the order in which they cut.

    Attributes:
        material: its name. source: where its constants come from.
        gaps: what could not be measured, channel, line and reason.
    """

    name: str
    machine: str
    material: str
    source: str
    rows: tuple[PowerRow, ...]
    gaps: tuple[tuple[str, int, str], ...]


def power_of_pair(task: tuple[str, PairName]) -> PairPower | tuple[Finding, ...]:
    """The operations of a pair in `output/`, or why they cannot be told. May run in another process."""
    root, name = task
    shop = Shop(Path(root))
    try:
        programs = stored_programs(shop, name, machine_of(shop, name.machine))
        return _power(_rendered(shop, name), programs, ())
    except Findings as error:
        return error.findings


def power_of_files(shop: Shop, name: PairName, files: Sequence[str]) -> PairPower:
    """The operations of a copy of a pair, one file for each channel, then ones with subprograms.

    Raises:
        Findings: a file cannot be used, or whatever is wrong with the family.
    """
    programs, further = programs_of(machine_of(shop, name.machine), files, "gemel power")
    return _power(_rendered(shop, name), programs, further)


def _rendered(shop: Shop, name: PairName) -> Rendered:
    [task] = pipeline.tasks(shop, Target(name.family, (name.member,)), name.machine, prove=False)
    return pipeline.render(task)


def _power(made: Rendered, programs: Mapping[str, _File], further: Sequence[_File]) -> PairPower:
    machine, part = made.loaded.machine, made.part
    facts = cutting_facts(made.loaded.family, part)
    more = tuple(read(data, name) for name, data in further)
    texts = {
        channel: ChannelText(dialect_of(machine, channel), (read(data, name), *more))
        for channel, (name, data) in programs.items()
    }
    models = build(texts, facts_of(machine))
    followed = follow({model.name: model.steps for model in models}, facts, machine)
    surfaces = {name: surface_of(job) for name, job in jobs_of(made.loaded.family, part).items()}
    return PairPower(
        name=f"{part.family}/{part.member}",
        machine=str(machine.machine),
        material=facts.material,
        source=facts.source,
        rows=tuple(_rows(followed, _operations(models, made), surfaces, machine)),
        gaps=tuple(dict.fromkeys((gap.channel, gap.line, gap.why) for gap in followed.gaps)),
    )


def _operations(models: Sequence[ChannelModel], made: Rendered) -> dict[str, list[str]]:
    """The operation of every step of every channel, by the sequence numbers that gemel wrote; empty where none is."""
    found = {}
    for model in models:
        numbers = _numbers(made, model.name)
        names, current = [], ""
        for step in model.steps:
            word = step.block.parts.number
            if word is not None and word.value is not None:
                current = numbers.get(round(word.value), current)
            names.append(current)
        found[model.name] = names
    return found


def _numbers(made: Rendered, channel: str) -> dict[int, str]:
    """The operation that each sequence number of a channel's program belongs to, as gemel writes it."""
    file = next(file for file, name in made.names.items() if name == channel)
    origins = made.channels[file].map
    found: dict[int, str] = {}
    for block in read(made.texts[file], file):
        word = block.parts.number
        if word is not None and word.value is not None:
            pieces = origins.pieces(block.line) if origins is not None else ()
            found[round(word.value)] = pieces[-1].address.operation if pieces else ""
    return found


def _rows(
    followed: Followed,
    operations: Mapping[str, Sequence[str]],
    surfaces: Mapping[str, Surface | None],
    machine: Machine,
) -> list[PowerRow]:
    groups: dict[tuple[str, str], list[Cut]] = {}
    for cut in followed.cuts:
        name = operations[cut.channel][cut.index] or cut.tool
        groups.setdefault((cut.channel, name), []).append(cut)
    rows = []
    for (channel, name), cuts in groups.items():
        worst = max(cuts, key=lambda cut: cut.share)
        drive = drive_of(machine, channel, worst.drive)
        load = worst.load
        able = (
            other.title
            for _, other in (others(machine, channel) if worst.drive == TOOL else [])
            if other.can(load.power_kw, load.torque_nm, load.rpm)
        )
        rows.append(
            PowerRow(
                operation=name,
                drive=drive.title,
                power_kw=drive.power_kw,
                torque_nm=drive.torque_nm(load.rpm),
                cut=worst,
                cuts=len({cut.line for cut in cuts}),
                rz_um=max((cut.roughness_um for cut in cuts if cut.roughness_um is not None), default=None),
                surface=surfaces.get(name),
                instead=tuple(able) if worst.share > 1.0 else (),
            )
        )
    return rows


def as_json(answers: Sequence[PairPower]) -> str:
    """The answers as one JSON object by pair; mm, N, N m, kW, cm3/min, micrometres; power and torque at the cut."""
    return json.dumps({f"{a.machine}/{a.name}": _object(a) for a in answers}, indent=2, ensure_ascii=False)


def _object(answer: PairPower) -> dict[str, Any]:
    rows = []
    for row in answer.rows:
        cut = asdict(row.cut) | {"load": row.cut.load._asdict()}
        surface = row.surface._asdict() if row.surface else None
        rows.append(
            row._asdict() | {"cut": cut, "surface": surface, "too_much": row.is_too_much, "rough": row.is_rough}
        )
    return {
        "material": answer.material,
        "source": answer.source,
        "operations": rows,
        "not_known": [{"channel": channel, "line": line, "why": why} for channel, line, why in answer.gaps],
    }
