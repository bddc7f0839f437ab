"""Power and torque where the family is known: while writing, in the shop's proof, and for a copy from a control."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from gemel.cli.main import run

if TYPE_CHECKING:
    from pathlib import Path

HEAVY = "tool: turn-rough-80, cutting: {depth: 14, feed: 0.9, surface_speed: 60}}"


@pytest.fixture
def heavy(real_shop: Path) -> Path:
    """The port block with 14 mm to be faced off in one cut; nobody would, but it is what somebody might type."""
    file = real_shop / "families/port-block.yaml"
    text = file.read_text().replace("length + 15, allowance: 0.5}", "length + 30, allowance: 14}", 1)
    text = text.replace("material: aluminium-6082", "material: stainless-1.4305")
    file.write_text(text.replace("spindle: left, tool: turn-rough-80}", f"spindle: left, {HEAVY}", 1))
    return real_shop


def test_writing_warns_of_a_cut_that_the_spindle_cannot_do(heavy: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The pair is written, since it is a warning, and the warning says what there is and what is asked for."""
    assert run(["write", "port-block/20"]) == 0
    said = "".join(capsys.readouterr())
    assert "[limits:torque]" in said
    assert "the left spindle has 168.0 N m" in said
    assert (heavy / "output/twin-turnmill/port-block-20").is_dir()


@pytest.mark.usefixtures("heavy")
def test_the_shop_s_proof_knows_material_and_tools(capsys: pytest.CaptureFixture[str]) -> None:
    """`gemel prove` without files checks power and torque of every pair whose family it can read."""
    assert run(["write", "port-block/20"]) == 0
    capsys.readouterr()
    assert run(["prove"]) == 0
    out = capsys.readouterr().out
    assert "pass: 2 warnings" in out, "power and torque of the one cut"
    assert "material unknown" not in out


@pytest.mark.usefixtures("heavy")
def test_a_copy_is_checked_for_the_member_that_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    """Two files alone are proved without power and torque, which is said; with `--member` they are checked."""
    assert run(["write", "port-block/20"]) == 0
    folder = "output/twin-turnmill/port-block-20/port-block-20"
    files = [f"{folder}.upper.nc", f"{folder}.lower.nc", "--machine", "twin-turnmill"]
    capsys.readouterr()
    assert run(["prove", *files]) == 0
    assert "not checked: power and torque (material unknown: name the family)" in capsys.readouterr().out
    assert run(["prove", *files, "--member", "port-block/20"]) == 0
    assert "[limits:torque]" in capsys.readouterr().out
    assert run(["prove", *files, "--member", "port-block/21"]) == 2
    assert "[shop:no-member]" in capsys.readouterr().err


def test_a_family_that_cannot_be_read_leaves_the_question_open(heavy: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Pairs are proved although their family has a fault by now; power and torque are said to be open."""
    assert run(["write", "port-block/20"]) == 0
    file = heavy / "families/port-block.yaml"
    file.write_text(file.read_text().replace("tool: tap-m5", "tool: tap-m55"))
    capsys.readouterr()
    assert run(["prove"]) == 0
    assert "not checked: power and torque (material unknown" in capsys.readouterr().out
