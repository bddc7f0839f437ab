"""`gemel tools`: the shop's tool plan as the command says it."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from gemel.cli.main import run

if TYPE_CHECKING:
    from pathlib import Path

    import pytest


def test_table_names_stations_disputes_and_shared_tools(real_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A second family that wants another drill in station 9 is named beside the first one."""
    file = real_shop / "families/port-block.yaml"
    other = (
        file.read_text().replace("family: port-block", "family: other-block").replace("axial-drill-6", "axial-drill-5")
    )
    (real_shop / "families/other-block.yaml").write_text(other)
    assert run(["tools"]) == 0
    out = capsys.readouterr().out
    assert "!  lower    9 (T0909)   axial-drill-5      other-block" in out
    assert "lower 9 (T0909): axial-drill-5 (other-block), axial-drill-6 (port-block); free for one of them: 10" in out
    assert "other-block  port-block  lower 9" in out


def test_json_is_one_object_by_machine(real_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The machine-readable form holds every station with its tools, and nothing else is printed."""
    assert (real_shop / "families").is_dir()
    assert run(["tools", "--machine", "twin-turnmill", "--format", "json"]) == 0
    plan = json.loads(capsys.readouterr().out)["twin-turnmill"]
    [drill] = [s for s in plan["stations"] if (s["channel"], s["station"]) == ("lower", "9")]
    assert drill["wanted"] == {"port-block": "axial-drill-6"}
    assert drill["disputed"] is False
    assert plan["changeovers"] == []


def test_a_faulty_family_stops_the_plan(real_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A plan without one of the families would mislead: its faults are said instead, with file and line."""
    file = real_shop / "families/port-block.yaml"
    file.write_text(file.read_text().replace("tool: tap-m5", "tool: tap-m55"))
    assert run(["tools"]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "families/port-block.yaml:" in said.err
    assert "tap-m55" in said.err


def test_unknown_machine_names_the_nearest(real_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Exit status 2 and the machine that was probably meant."""
    assert real_shop.is_dir()
    assert run(["tools", "-m", "twin-turnmil"]) == 2
    assert "twin-turnmill" in capsys.readouterr().err
