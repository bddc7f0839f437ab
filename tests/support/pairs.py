"""Machines, templates, a hand-made part and its toolpaths, for tests of pairs and writing."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from gemel.documents import PlacedText, compose, validate
from gemel.families.features import Flats
from gemel.families.part import Part, Stage, StockBar
from gemel.families.processes import Face, MillFlats
from gemel.machines.schema import Machine
from gemel.numbers import Source, maximum, named, sourced
from gemel.operations.steps import (
    Dwell,
    Feed,
    Function,
    Home,
    Rapid,
    SpeedLimit,
    SpindleStart,
    Step,
    ToolCall,
    ToolDrive,
    ToolpathState,
)

if TYPE_CHECKING:
    from gemel.numbers import Number

ROOT = Path(__file__).parents[2]
FILE = "families/block.yaml"
TEMPLATES = ("program.nc.j2", "steps.nc.j2")


def machine(name: str = "twin-turnmill", **changes: tuple[str, str]) -> Machine:
    """A machine file, with pieces of its text replaced: any name = (old, new)."""
    file = f"templates/{name}/machine.yaml"
    text = (ROOT / file).read_text(encoding="utf-8")
    for old, new in changes.values():
        assert old in text
        text = text.replace(old, new)
    return validate(Machine, compose(text, file))


def templates(name: str = "twin-turnmill") -> dict[str, str]:
    """The template texts of a machine, by file name."""
    return {file: (ROOT / "templates" / name / file).read_text(encoding="utf-8") for file in TEMPLATES}


def number(name: str, value: float, line: int = 1) -> Number:
    """A value of the family."""
    return sourced(value, Source(name, FILE, line, 4, f"{value:g}"))


LENGTH = number("values.length", 35.0, 8)
ACROSS = number("values.across", 14.9785, 9)
HALF = named(LENGTH / 2, Source("values.half", FILE, 10, 4, "length / 2"))
CLEAR = number("operations.mill-flats.clear", 2.0, 20)
FEED = number("operations.mill-flats.cutting.feed", 520.0, 21)
ZERO = number("values.zero", 0.0, 11)


def placed(text: str, line: int) -> PlacedText:
    """A text of the family."""
    return PlacedText(text, Source(text, FILE, line, 7, text))


def part() -> Part:
    """A block with a face turned by the lower channel and flats milled by the upper one."""
    flats = Flats.model_construct(
        kind="flats", count=number("features.body.count", 4.0, 14), across_mm=ACROSS, to_mm=LENGTH
    )
    return Part(
        family="block",
        title=placed("Square block", 2),
        drawing=placed("KB-1042", 3),
        revision=placed("C", 3),
        member="35",
        program=1202,
        machine="twin-turnmill",
        material=placed("aluminium-6082", 4),
        general="m",
        unit="mm",
        stock=StockBar("round", number("stock.size", 25.0, 6), number("stock.bar", 3000.0, 6), 120.0, 25.0),
        length_mm=LENGTH,
        values={},
        tolerances={},
        features={"body": flats},
        operations={
            "face-front": Face.model_construct(
                process="face", feature="body", channel="lower", spindle="left", tool="turn-rough-80", title=None
            ),
            "mill-flats": MillFlats.model_construct(
                process="mill_flats", feature="body", channel="upper", spindle="left", tool="end-mill-12", title=None
            ),
        },
        stations={},
        stages=(
            Stage(1, {"lower": ("face-front",)}),
            Stage(2, {"upper": ("mill-flats",)}),
            Stage(3, {}),
        ),
        repeat=False,
    )


def with_stages(*rows: dict[str, tuple[str, ...]]) -> Part:
    """The part with another stage table."""
    return replace(part(), stages=tuple(Stage(index, row) for index, row in enumerate(rows, 1)))


def toolpaths() -> dict[str, tuple[Step, ...]]:
    """Steps of both operations."""
    return {
        "face-front": (
            ToolCall(placed("T0101", 30), placed("turning tool 80 degrees", 31)),
            ToolpathState("zx", "per_revolution", "left"),
            SpeedLimit(rpm=number("machine.top", 3000.0)),
            SpindleStart(spindle="left", surface_m_min=number("materials.vc", 200.0)),
            Function("coolant.start"),
            Rapid(z=ZERO),
            Rapid(x=maximum(number("stock.size", 25.0, 6), LENGTH / 10) + CLEAR * 2),
            Feed(x=-number("tools.nose", 0.8) * 2, feed=number("operations.face-front.cutting.feed", 0.15)),
            Rapid(x=number("zones.clearance", 120.0)),
            Function("coolant.stop"),
            Function("spindle.left.stop"),
        ),
        "mill-flats": (
            Home(),
            ToolCall(placed("T1", 40), placed("end mill 12", 41)),
            ToolpathState("yz", "per_minute", "left"),
            Function("c_axis.left.engage"),
            ToolDrive(rpm=number("materials.n", 5200.4)),
            Rapid(x=ACROSS + CLEAR, z=-(HALF + CLEAR), c=ZERO),
            Function("c_brake.left.engage"),
            Feed(x=ACROSS, feed=FEED),
            Feed(y=-HALF, feed=None),
            Dwell(number("dwell", 1.5)),
            Rapid(x=number("zones.clearance", 120.0)),
            Function("c_brake.left.release"),
            Function("drive.stop"),
            Function("c_axis.left.release"),
            Home(),
        ),
    }
