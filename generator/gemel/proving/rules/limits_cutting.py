"""The family `limits`: power and torque of every cut against the drive that does it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.cutting.drives import TOOL, drive_of, others
from gemel.findings import Severity
from gemel.proving.rule import Place, Rule
from gemel.proving.sightings import Sighting

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from gemel.cutting.cut import Cut
    from gemel.cutting.follow import Followed, Gap
    from gemel.machines.schema import Machine
    from gemel.proving.model import ChannelModel

__all__ = ["RULES", "UNKNOWN_MATERIAL", "check", "cuts_at_all", "not_checked"]

POWER = Rule(
    "limits",
    "power",
    Severity.WARNING,
    what="A cut asks for more power than the drive that does it brings to the cut.",
    why="The drive slows down in the cut or trips; a part is scrapped, a tool breaks, an edge is welded to the work.",
    example="T0707\nG98 G97 S3000 M103\nG01 Y40. F2000.   (END MILL 20, 5 DEEP, 16 WIDE, IN STEEL)",
    remedy="take less depth, width or feed, more passes, or a drive that is stronger",
    cause="{a} asks for {detail}",
)
TORQUE = Rule(
    "limits",
    "torque",
    Severity.WARNING,
    what="A cut asks for more torque than the drive that does it has at that speed.",
    why="A drive that is slow has no more torque for it than its curve shows: it stalls with the tool in the work.",
    example="T0909\nG99 G97 S200 M03\nG83 X0. Z-60. F0.35   (DRILL 40 IN STEEL)",
    remedy="take less depth, width or feed, a smaller tool, or a drive that is stronger at this speed",
    cause="{a} asks for {detail}",
)

RULES = (POWER, TORQUE)

UNKNOWN_MATERIAL = "power and torque (material unknown: name the family)"


def check(models: Sequence[ChannelModel], followed: Followed, machine: Machine) -> Iterator[Sighting]:
    """One fault per code and use of a tool: at the block where the drive has least to spare."""
    names = [model.name for model in models]
    calls = {model.name: [i for i, step in enumerate(model.steps) if step.tool is not None] for model in models}
    for rule in RULES:
        worst: dict[tuple[str, int, str], Cut] = {}
        for cut in followed.cuts:
            if _share(cut, rule) <= 1.0:
                continue
            use = cut.channel, max((i for i in calls[cut.channel] if i <= cut.index), default=-1), cut.drive
            if use not in worst or _share(cut, rule) > _share(worst[use], rule):
                worst[use] = cut
        for cut in worst.values():
            place = Place(names.index(cut.channel), cut.index)
            yield Sighting(rule, (place,), words=_words(cut, rule, machine))


def _share(cut: Cut, rule: Rule) -> float:
    return cut.power_share if rule is POWER else cut.torque_share


def _words(cut: Cut, rule: Rule, machine: Machine) -> str:
    """What is asked for, what there is, and which other drive could do it."""
    load, drive = cut.load, drive_of(machine, cut.channel, cut.drive)
    if rule is POWER:
        asked = f"{load.power_kw:.1f} kW at the cut with {cut.tool}; {drive.title} brings {drive.power_kw:.1f} kW there"
    else:
        has = drive.torque_nm(load.rpm)
        asked = f"{load.torque_nm:.1f} N m with {cut.tool}; {drive.title} has {has:.1f} N m at {load.rpm:.0f} rpm"
    if cut.drive != TOOL:
        return asked
    able = [
        other.title for _, other in others(machine, cut.channel) if other.can(load.power_kw, load.torque_nm, load.rpm)
    ]
    return f"{asked}, which {able[0]} could do" if able else f"{asked}, and no other tool drive could do it"


def cuts_at_all(models: Sequence[ChannelModel]) -> bool:
    """Whether anything is cut, so that it is worth saying that power and torque were not looked at."""
    return any(deed.kind == "cut" for model in models for node in model.nodes for deed in node.deeds)


def not_checked(followed: Followed) -> tuple[str, ...]:
    """The cuts that could not be measured: for each channel and reason how many blocks, and the first of them."""
    groups: dict[tuple[str, str], list[Gap]] = {}
    for gap in followed.gaps:
        groups.setdefault((gap.channel, gap.why), []).append(gap)
    said = []
    for (channel, why), gaps in groups.items():
        lines = sorted({gap.line for gap in gaps})
        more = f" and {len(lines) - 1} more" if len(lines) > 1 else ""
        said.append(f"power and torque of {channel} line {lines[0]}{more} ({why})")
    return tuple(said)
