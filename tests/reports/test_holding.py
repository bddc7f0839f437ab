"""How the part is held, as a sheet tells it."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING

import pytest

from gemel.cli.main import run
from gemel.families.resolve import resolve
from gemel.reports.holding import holdings, length_text
from gemel.reports.offsets import offset_number, setting_of
from gemel.shop import inputs
from gemel.shop.layout import Shop
from support.demo import ROOT, demo

if TYPE_CHECKING:
    from pathlib import Path

HOLDING = "\nholding:\n  left: {pressure: 25, jaws: collet 25}\n  right: {pressure: 6 * 2}\n"


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A shop whose port block says how it is held."""
    (tmp_path / "families").mkdir()
    shutil.copytree(ROOT / "templates", tmp_path / "templates")
    text = (ROOT / "families/port-block.yaml").read_text(encoding="utf-8")
    (tmp_path / "families/port-block.yaml").write_text(text + HOLDING, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_zero_points_follow_from_bar_and_take_over() -> None:
    """G54 is stick-out less facing from the left clamp (50 - 0.5), G55 length less grip from the other (35 - 12)."""
    part, machine = (
        demo("twin-turnmill", "port-block", "35").part,
        inputs.load_machine_of(Shop(ROOT), "twin-turnmill"),
    )
    left, right = holdings(part, machine)
    assert (left.offset, right.offset) == ("G54", "G55")
    assert "49.5 mm from the clamp's face" in left.zero
    assert "23 mm from the clamp's face" in right.zero
    assert "12 mm of it" in right.grip
    assert right.moves == "slide A -525 mm where it takes the part"
    assert (left.pressure_bar, left.jaws) == ("", "")


def test_pressure_and_jaws_are_told_where_the_family_says_them(shop: Path) -> None:
    """A pressure may be an expression; what the family does not say stays a box on the sheet."""
    family = inputs.load(Shop(shop), "port-block").family
    left, right = holdings(resolve(family, "35"), family.machine)
    assert (left.pressure_bar, left.jaws) == ("25", "collet 25")
    assert (right.pressure_bar, right.jaws) == ("12", "")


def test_holding_of_an_unknown_spindle_is_an_error(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A misspelt spindle is said with its place and the nearest name."""
    file = shop / "families/port-block.yaml"
    file.write_text(file.read_text(encoding="utf-8").replace("  left: {pressure", "  lft: {pressure"), encoding="utf-8")
    assert run(["check", "port-block"]) != 0
    said = capsys.readouterr()
    assert "`lft`" in said.out + said.err
    assert "left" in said.out + said.err


def test_lengths_are_told_in_the_unit_of_the_control_too() -> None:
    """A machine in inches shows inches; the drawing's millimetres stay beside them."""
    machine = inputs.load_machine_of(Shop(ROOT), "inch-duplex")
    assert length_text(25.4, machine) == "25.4 mm (1 in)"


@pytest.mark.parametrize(
    ("channel", "call", "offset"), [("lower", "T0303", "03"), ("lower", "T1010", "10"), ("upper", "T5", "of the tool")]
)
def test_offset_is_what_the_machine_reads_in_the_tool_word(channel: str, call: str, offset: str) -> None:
    """Where a tool word holds station and offset, the sheet names the offset; else it is that of the tool itself."""
    assert offset_number(call, inputs.load_machine_of(Shop(ROOT), "twin-turnmill"), channel) == offset


def test_every_tool_of_the_catalogue_has_something_to_set() -> None:
    """No kind of tool is left without a point to measure, and a corner radius is told where there is one."""
    tools = inputs.load(Shop(ROOT), "port-block").family.catalogues.tools
    for tool in tools.values():
        setting = setting_of(tool)
        assert setting.point
        assert setting.axes
    assert setting_of(tools["turn-rough-80"]).fixed == ("R 0.8",)
    assert setting_of(tools["cut-off-2"]).point.endswith("nearer the chuck")
