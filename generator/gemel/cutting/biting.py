"""One block's cut: which kind it is by tool and motion, how deep it bites, and what that asks of which drive."""

from __future__ import annotations

from itertools import pairwise
from math import pi
from typing import TYPE_CHECKING, NamedTuple

from gemel.cutting.cut import (
    Cut,
    Load,
    Setting,
    boring_out,
    drilling,
    milling,
    roughness_of,
    tapping,
    thread_height_mm,
    threading,
    turning,
)
from gemel.cutting.drives import TOOL, drive_of
from gemel.cutting.mill import Stroke, cone_dia, mill_bite, mouth_of
from gemel.cutting.turned import Bite, Path, bite, bite_of_blade, bite_of_drill
from gemel.reading.arcs import Arc
from gemel.reading.dialect import ToolKind

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.cutting.drives import Drive
    from gemel.cutting.facts import CuttingFacts, ToolFacts
    from gemel.cutting.holding import Holding
    from gemel.cutting.workpiece import Workpiece
    from gemel.machines.schema import Machine
    from gemel.reading.run import Motion, Step

__all__ = ["Biter", "Held"]

_MM_PER_INCH = 25.4
_METRES_PER_FOOT = 0.3048
_DRILLS = frozenset({"drill", "centre drill", "spot drill", "chamfer mill"})
_BLADES = frozenset({"grooving", "cut-off"})
_THREADS = frozenset({"threading", "internal threading"})
_CHORD_MM = 0.05
_CENTRE_MM = 0.01
_STRAIGHT_DEG = 90.0


class Held(NamedTuple):
    """The tool of a channel: what the machine takes it for, its station, and what is known of it."""

    kind: ToolKind
    station: int
    tool: ToolFacts | None


class _Found(NamedTuple):
    """What a motion was found to take: what it is called, depth, width, feed, what it asks for."""

    kind: str
    depth: float
    width: float | None
    feed: float
    load: Load


class Biter:
    """Measures cuts on the workpieces.

    Attributes:
        mm: mm in a length of the texts. z: where each channel stands, in the texts' unit.
    """

    def __init__(self, facts: CuttingFacts, machine: Machine, holding: Holding) -> None:
        self.facts = facts
        self.machine = machine
        self.holding = holding
        self.mm = _MM_PER_INCH if machine.unit == "inch" else 1.0
        self.z: dict[str, float | None] = {}

    def cut(self, channel: str, index: int, step: Step, held: Held) -> Cut | str | None:
        """The cut of a block where its drive has least to spare; why it is not known; None where it cuts air."""
        tool = held.tool
        if tool is None:
            return f"the family has no tool in station {held.station} of {channel}"
        work = self.holding.works.get(step.offset)
        if work is None:
            return None
        rotates = held.kind is ToolKind.ROTATING
        if rotates != (step.speed.drive == TOOL):
            return "the speed in force is not that of the drive which turns for this cut"
        name = TOOL if rotates else step.offset
        drive = drive_of(self.machine, channel, name)
        best: Cut | None = None
        why = ""
        for motion in step.motions:
            if not motion.cuts:
                continue
            found = self._found(step, motion, Setting(self.facts, tool, drive), work)
            if isinstance(found, str):
                why = found
            elif found is not None:
                cut = _cut(found, (channel, index, step), tool, (name, drive))
                best = cut if best is None or cut.share > best.share else best
        return best or why or None

    def _found(self, step: Step, motion: Motion, setting: Setting, work: Workpiece) -> _Found | str | None:
        if None in (motion.start.x_dia, motion.end.x_dia, motion.start.z, motion.end.z):
            return "where the tool stands cannot be known from the text"
        if not step.speed.value or step.speed.value < 0.0 or motion.feed is None or motion.feed <= 0.0:
            return "speed or feed cannot be known from the text"
        if step.speed.drive == TOOL:
            return self._rotating(step, motion, setting, work)
        return self._turning(step, motion, setting, work)

    def _rpm(self, step: Step, dia_mm: float, drive: Drive) -> float:
        """Speed of the drive where the chip's middle lies on a diameter."""
        speed = step.speed
        value = float(speed.value or 0.0)
        if not speed.surface:
            return value
        metres = value * _METRES_PER_FOOT if self.machine.unit == "inch" else value
        top = drive.top_rpm if speed.clamp_rpm is None else min(speed.clamp_rpm, drive.top_rpm)
        return top if dia_mm <= 0.0 else min(top, 1000.0 * metres / (pi * dia_mm))

    def _feeds(self, motion: Motion, rpm: float) -> tuple[float, float]:
        """Feed per revolution and per minute, mm; F under the mode in force."""
        feed = float(motion.feed or 0.0) * self.mm
        if motion.feed_mode == "minute":
            return (feed / rpm if rpm else 0.0), feed
        return feed, feed * rpm

    # Tools that stand still while the workpiece turns.

    def _turning(self, step: Step, motion: Motion, setting: Setting, work: Workpiece) -> _Found | str | None:
        kind = setting.tool.type
        if kind in _DRILLS:
            return self._axial_drill(step, motion, setting, work)
        if kind == "tap":
            return self._tap(step, motion, setting)
        if kind in _THREADS:
            return self._thread(step, motion, setting, work)
        if kind in _BLADES and setting.tool.width_mm:
            return self._blade(step, motion, setting, work)
        if kind == "face grooving" and setting.tool.width_mm:
            return self._face_groove(step, motion, setting, work)
        if kind in {"turning", "boring"}:
            return self._point(step, motion, setting, work)
        return f"a {kind} is not reckoned with on a spindle that turns"

    def _point(self, step: Step, motion: Motion, setting: Setting, work: Workpiece) -> _Found | None:
        inside = setting.tool.type == "boring"
        bites = [b for path in self._paths(motion) if (b := bite(work, path, inside=inside)) is not None]
        edge = setting.tool.edge_deg or _STRAIGHT_DEG
        name = "boring" if inside else "turning"
        found = [self._worst(step, motion, setting, b, (name, _STRAIGHT_DEG if b.across else edge)) for b in bites]
        return max(found, key=lambda f: f.load.force_n, default=None)

    def _blade(self, step: Step, motion: Motion, setting: Setting, work: Workpiece) -> _Found | None:
        tool = setting.tool
        width = tool.width_mm or 0.0
        found: _Found | None = None
        for path in self._paths(motion):
            taken = bite_of_blade(work, path, width, left=tool.left_corner)
            if taken is not None:
                found = self._worst(step, motion, setting, taken, (tool.type, _STRAIGHT_DEG))
            self._part_off(step, path, tool)
        return found

    def _part_off(self, step: Step, path: Path, tool: ToolFacts) -> None:
        """A blade that has come to the bore has parted the workpiece off."""
        if tool.type != "cut-off" or min(path.r0, path.r1) > self.facts.bore_mm / 2.0 + _CENTRE_MM:
            return
        width = tool.width_mm or 0.0
        low = path.z1 if tool.left_corner else path.z1 - width
        self.holding.part_off(step.offset, low, low + width)

    def _face_groove(self, step: Step, motion: Motion, setting: Setting, work: Workpiece) -> _Found | None:
        path = next(iter(self._paths(motion)))
        if path.z1 >= min(path.z0, work.front):
            return None
        dia = 2.0 * max(path.r0, path.r1)
        taken = Bite(setting.tool.width_mm or 0.0, dia, dia, across=False)
        return self._worst(step, motion, setting, taken, ("face grooving", _STRAIGHT_DEG))

    def _worst(self, step: Step, motion: Motion, setting: Setting, taken: Bite, how: tuple[str, float]) -> _Found:
        """The bite at that one of its diameters where the spindle has least to spare."""
        name, edge = how
        loads = []
        for dia in {taken.least_dia, (taken.least_dia + taken.most_dia) / 2.0, taken.most_dia}:
            rpm = self._rpm(step, dia, setting.drive)
            per_rev, _ = self._feeds(motion, rpm)
            loads.append((turning(setting, taken.depth, per_rev, edge, (dia, rpm)), per_rev))
        load, feed = max(
            loads, key=lambda entry: setting.drive.share(entry[0].power_kw, entry[0].torque_nm, entry[0].rpm)
        )
        return _Found(name, taken.depth, None, feed, load)

    def _axial_drill(self, step: Step, motion: Motion, setting: Setting, work: Workpiece) -> _Found | None:
        path = next(iter(self._paths(motion)))
        if path.z1 >= path.z0 or min(path.r0, path.r1) > _CENTRE_MM:
            return None
        dia = setting.tool.dia_mm or 0.0
        if setting.tool.type != "drill":
            dia = cone_dia(work.front - path.z1, setting.tool)
        taken = bite_of_drill(work, path.z0, path.z1, dia)
        if taken is None:
            return None
        rpm = self._rpm(step, dia, setting.drive)
        per_rev, _ = self._feeds(motion, rpm)
        return _Found("drilling", taken.depth, None, per_rev, drilling(setting, taken.least_dia, dia, per_rev, rpm))

    def _tap(self, step: Step, motion: Motion, setting: Setting) -> _Found | str | None:
        if not setting.tool.pitch_mm or not (setting.tool.thread_mm or setting.tool.dia_mm):
            return f"thread and pitch of {setting.tool.name} are not in the catalogue"
        if motion.kind != "tap":
            return None
        load = tapping(setting, self._rpm(step, 0.0, setting.drive))
        pitch = setting.tool.pitch_mm
        return _Found("tapping", thread_height_mm(pitch), None, pitch, load)

    def _thread(self, step: Step, motion: Motion, setting: Setting, work: Workpiece) -> _Found | None:
        path = next(iter(self._paths(motion)))
        if motion.kind != "thread":
            return None
        sign, profile = (-1.0, work.inside) if setting.tool.type == "internal threading" else (1.0, work.outside)
        low, high = sorted((path.z0, path.z1))
        land = profile.highest(low, high)
        deep = land - sign * min(path.r0, path.r1) if sign > 0 else land + max(path.r0, path.r1)
        place = setting.tool.type, round(low, 3)
        before = work.threads.get(place, 0.0)
        if deep <= before + 1e-6:
            return None
        work.threads[place] = deep
        dia = 2.0 * max(path.r0, path.r1)
        rpm = self._rpm(step, dia, setting.drive)
        lead = float(motion.feed or 0.0) * self.mm
        return _Found("threading", deep - before, None, lead, threading(setting, deep, before, (dia, rpm)))

    # Tools that rotate while the workpiece stands.

    def _rotating(self, step: Step, motion: Motion, setting: Setting, work: Workpiece) -> _Found | str | None:
        if step.speed.surface:
            return "a rotating tool at constant surface speed"
        rpm = float(step.speed.value or 0.0)
        if setting.tool.type == "tap":
            return self._tap(step, motion, setting)
        per_rev, per_min = self._feeds(motion, rpm)
        start, end = motion.start, motion.end
        if motion.kind == "drill" or setting.tool.type in {"drill", "spot drill", "centre drill"}:
            return self._drill(motion, setting, work, (per_rev, rpm))
        if start.y is None or end.y is None or end.c is None or step.plane == "xy":
            return "milling on a face is not reckoned with" if step.plane == "xy" else "the head's place is not known"
        stroke = self._stroke(motion)
        taken = mill_bite(work, stroke, setting.tool)
        if taken is None:
            return None
        tooth = per_rev / (setting.tool.teeth or 1.0)
        if taken.plunge:
            return _Found("milling", taken.depth, None, tooth, boring_out(setting, per_min, rpm))
        load = milling(setting, taken.area / taken.width, taken.width, per_min, rpm)
        return _Found("milling", taken.depth, taken.width, tooth, load)

    def _drill(self, motion: Motion, setting: Setting, work: Workpiece, at: tuple[float, float]) -> _Found | None:
        feed, rpm = at
        start, end, tool = motion.start, motion.end, setting.tool
        assert start.x_dia is not None
        assert end.x_dia is not None
        along_x = end.x_dia < start.x_dia
        if not along_x and not (start.z is not None and end.z is not None and end.z < start.z):
            return None
        dia = tool.dia_mm or 0.0
        if tool.type != "drill" and along_x:
            dia = mouth_of(work, self._stroke(motion), tool)
        elif tool.type != "drill":
            dia = cone_dia(work.front - float(end.z or 0.0) * self.mm, tool)
        return _Found("drilling", dia / 2.0, None, feed, drilling(setting, 0.0, dia, feed, rpm))

    def _stroke(self, motion: Motion) -> Stroke:
        start, end, half = motion.start, motion.end, self.mm / 2.0
        angle = round(float(end.c or 0.0) % 360.0, 6)
        return Stroke(
            float(start.x_dia or 0.0) * half,
            float(start.y or 0.0) * self.mm,
            float(start.z or 0.0) * self.mm,
            float(end.x_dia or 0.0) * half,
            float(end.y or 0.0) * self.mm,
            float(end.z or 0.0) * self.mm,
            angle,
        )

    def _paths(self, motion: Motion) -> Iterator[Path]:
        """The motion as straight moves over Z and radius, mm; X beyond the axis counts as the axis."""
        half = self.mm / 2.0
        points = [(float(p.z or 0.0) * self.mm, float(p.x_dia or 0.0) * half) for p in (motion.start, motion.end)]
        if motion.kind == "arc" and motion.center is not None and motion.plane == "zx":
            centre = motion.center[0] * self.mm, motion.center[1] * self.mm
            radius = ((points[0][0] - centre[0]) ** 2 + (points[0][1] - centre[1]) ** 2) ** 0.5
            arc = Arc(points[0], points[1], centre, radius, motion.sweep_deg * pi / 180.0, motion.clockwise)
            points = [points[0], *arc.points(_CHORD_MM)]
        for (z0, r0), (z1, r1) in pairwise(points):
            yield Path(z0, max(r0, 0.0), z1, max(r1, 0.0))


def _cut(found: _Found, place: tuple[str, int, Step], tool: ToolFacts, motor: tuple[str, Drive]) -> Cut:
    channel, index, step = place
    name, drive = motor
    load = found.load
    return Cut(
        channel=channel,
        index=index,
        line=step.block.line,
        pass_number=step.pass_number,
        tool=tool.name,
        kind=found.kind,
        drive=name,
        depth_mm=found.depth,
        width_mm=found.width,
        feed_mm=found.feed,
        load=load,
        torque_share=load.torque_nm / max(drive.torque_nm(load.rpm), 1e-9),
        power_share=load.power_kw / drive.power_kw,
        roughness_um=roughness_of(tool, found.feed),
    )
