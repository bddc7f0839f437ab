"""Cuts of programs that are written in the test, on the demo machine."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.cutting.facts import CuttingFacts, ToolFacts
from gemel.cutting.follow import Followed, follow
from support.proofs import demo_machine, models_of

if TYPE_CHECKING:
    from gemel.cutting.cut import Cut

__all__ = ["HEAD", "TOOLS", "TURRET", "cuts", "facts", "followed"]

TURRET = "G21 G18 G40 G80 G97\nG28 U0\nG28 W0\nM701\n"
HEAD = "G21 G19 G40 G80 G97\nG28 U0\nG28 V0 W0\nM701\n"

TOOLS = {
    "lower": {
        1: ToolFacts("turn", "turning", edge_deg=90.0, nose_mm=0.8),
        2: ToolFacts("turn-75", "turning", edge_deg=75.0, nose_mm=0.4),
        3: ToolFacts("part", "cut-off", width_mm=3.0),
        4: ToolFacts("groove", "grooving", width_mm=2.0),
        5: ToolFacts("thread", "threading", pitch_mm=0.5),
        7: ToolFacts("live-mill", "end mill", dia_mm=20.0, teeth=4.0),
        8: ToolFacts("live-drill", "drill", dia_mm=30.0, teeth=2.0, point_deg=140.0),
        9: ToolFacts("drill", "drill", dia_mm=12.0, teeth=2.0, point_deg=180.0),
        10: ToolFacts("bore", "boring", dia_mm=10.0, nose_mm=0.4),
    },
    "upper": {
        1: ToolFacts("mill", "end mill", dia_mm=20.0, teeth=4.0),
        2: ToolFacts("slot", "end mill", dia_mm=6.0, teeth=3.0),
        3: ToolFacts("spot", "spot drill", dia_mm=8.0, teeth=2.0, point_deg=90.0),
        5: ToolFacts("tap-m8", "tap", pitch_mm=1.25, thread_mm=8.0, lead_pitches=2.0),
        6: ToolFacts("chamfer", "chamfer mill", dia_mm=10.0, teeth=4.0, point_deg=90.0),
    },
}


def facts(stock_mm: float = 60.0, kc11: float = 1350.0, mc: float = 0.21) -> CuttingFacts:
    """Steel by default (VDI 3323, non-alloy below 0.25 % carbon); the raw front 1 mm before the finished one."""
    return CuttingFacts("steel", "published", kc11, mc, stock_mm, 0.0, 1.0, 0.3, TOOLS)


def followed(given: CuttingFacts, **texts: str) -> Followed:
    """What is found in programs given by channel; the start of each is put before them."""
    starts = {"lower": TURRET, "upper": HEAD}
    whole = {name: starts[name] + texts.get(name, "") + "M30\n" for name in ("upper", "lower")}
    machine = demo_machine()
    return follow({model.name: model.steps for model in models_of(machine, whole)}, given, machine)


def cuts(given: CuttingFacts, **texts: str) -> list[Cut]:
    """The cuts of programs, of which none must be unknown."""
    found = followed(given, **texts)
    assert found.gaps == ()
    return list(found.cuts)
