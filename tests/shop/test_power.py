"""`gemel power`: every operation against its drive, in the shop's pairs and in a copy from a control."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import pytest

from gemel.cli.main import run

if TYPE_CHECKING:
    from pathlib import Path

FOLDER = "output/twin-turnmill/port-block-20"


def _rows(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, dict[str, Any]]:
    capsys.readouterr()
    assert run(["power", *words, "--format", "json"]) == 0
    [pair] = json.loads(capsys.readouterr().out).values()
    return {row["operation"]: row for row in pair["operations"]}


@pytest.mark.usefixtures("real_shop")
def test_every_operation_that_cuts_has_a_row(capsys: pytest.CaptureFixture[str]) -> None:
    """Named as in the family, with the motor that turns for it; what does not cut is left out."""
    rows = _rows(capsys, "port-block/20")
    assert list(rows) == [
        "face-front",
        "drill-gallery",
        "mill-flats",
        "break-edges",
        "spot-ports",
        "drill-ports",
        "chamfer-ports",
        "tap-ports",
        "cut-off",
        "face-back",
        "chamfer-back",
    ]
    assert rows["mill-flats"]["drive"] == "the tool drive of upper (milling head)"
    assert rows["face-back"]["cut"]["drive"] == "right"
    assert all(not row["too_much"] and not row["rough"] for row in rows.values())


@pytest.mark.usefixtures("real_shop")
def test_figures_are_those_of_the_material(capsys: pytest.CaptureFixture[str]) -> None:
    """Facing 0.5 with feed 0.2 in aluminium (VDI 3323: 800, 0.25): kc 1196, 120 N, 0.56 kW at 280 m/min (by hand)."""
    load = _rows(capsys, "port-block/20")["face-front"]["cut"]["load"]
    assert load["specific_n_mm2"] == pytest.approx(800 * 0.2**-0.25)
    assert load["force_n"] == pytest.approx(800 * 0.2**-0.25 * 0.5 * 0.2)
    assert load["power_kw"] == pytest.approx(load["force_n"] * 280 / 60e3, rel=1e-4)


def test_a_copy_is_measured_as_it_was_changed(real_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A stop set 1 mm further out at the control makes the facing cut 1 mm deeper; operations keep their names."""
    texts = {name: (real_shop / f"{FOLDER}/port-block-20.{name}.nc").read_text() for name in ("upper", "lower")}
    (real_shop / "a.upper.nc").write_text(texts["upper"])
    assert "G01 Z0.5 F1000." in texts["lower"]
    (real_shop / "a.lower.nc").write_text(texts["lower"].replace("G01 Z0.5 F1000.", "G01 Z1.5 F1000."))
    rows = _rows(capsys, "port-block/20", "--copy", "a.upper.nc", "--copy", "a.lower.nc")
    assert rows["face-front"]["cut"]["depth_mm"] == pytest.approx(1.5)
    assert _rows(capsys, "port-block/20")["face-front"]["cut"]["depth_mm"] == pytest.approx(0.5)


def test_too_much_for_the_turret_but_not_for_the_head_is_said(
    real_shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A weak live drive: the operation is marked, with what is asked for, what there is, and who could do it."""
    machine = real_shop / "templates/twin-turnmill/machine.yaml"
    text = machine.read_text()
    strong, weak = "torque: [[0, 60], [2865, 60], [12000, 14]]", "torque: [[0, 0.5], [12000, 0.5]]"
    assert strong in text
    turret = "torque: [[0, 30], [1750, 30], [6000, 8.7]]"
    machine.write_text(
        text.replace(strong, weak)
        .replace(turret, "torque: [[0, 30], [12000, 30]]")
        .replace("power_kw: 5.5, top_speed: 6000", "power_kw: 5.5, top_speed: 12000")
    )
    assert run(["power", "port-block/20"]) == 0
    out = capsys.readouterr().out
    assert "!  mill-flats" in out
    assert "the tool drive of upper (milling head) brings 14.4 kW and 0.4 N m to the cut there" in out
    assert "the tool drive of lower (turret) could do it" in out


def test_a_rough_surface_is_marked_and_warned_of(real_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Feed 0.2 with a corner of 0.8 leaves Rz 6.25 (published); a face with Rz 4 needs feed 0.16."""
    file = real_shop / "families/port-block.yaml"
    text = file.read_text()
    assert "front: {kind: face, side: front}" in text
    file.write_text(
        text.replace("front: {kind: face, side: front}", "front: {kind: face, side: front, roughness: {rz: 4}}")
    )
    assert run(["power", "port-block/20"]) == 0
    out = capsys.readouterr().out
    assert "! face-front: the feed leaves Rz 6.3 um; the drawing allows Rz 4" in out
    assert run(["write", "port-block/20"]) == 0
    said = "".join(capsys.readouterr())
    assert "[operation:rough]" in said
    assert "take a feed of at most 0.160 mm" in said


@pytest.mark.usefixtures("real_shop")
def test_what_cannot_be_told_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    """An unknown pair, a copy of nothing in particular, a file too few: exit status 2 and the cause."""
    assert run(["power", "port-blok"]) == 2
    assert "no-pair]" in capsys.readouterr().err
    assert run(["power", "port-block/20", "--copy", "a.upper.nc"]) == 2
    assert "a.upper.nc" in capsys.readouterr().err
