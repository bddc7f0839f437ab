"""`gemel bars`: parts per bar, lots, and what to saw long bars into."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import pytest

from gemel.cli.main import run

if TYPE_CHECKING:
    from pathlib import Path


def _json(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, Any]:
    assert run(["bars", *words, "--format", "json"]) == 0
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


@pytest.mark.usefixtures("real_shop")
def test_every_member_has_a_row(capsys: pytest.CaptureFixture[str]) -> None:
    """Without a word the whole shop is told; the table has a line for each member with parts and mass of a bar."""
    assert run(["bars"]) == 0
    rows = capsys.readouterr().out.splitlines()
    assert rows[0].startswith("pair ")
    assert rows[2].startswith("port-block/35  aluminium-6082 round 25 x 3000  35    0.5    0.3   2      37.8")
    assert len(rows) == 5


@pytest.mark.usefixtures("real_shop")
def test_lot_with_a_cycle_time(capsys: pytest.CaptureFixture[str]) -> None:
    """500 of 76 a bar are 7 bars, the last with 44; 500 x 60 s and six changes of 25 s (worked by hand)."""
    [row] = _json(capsys, "port-block/35", "--lot", "500", "--cycle", "60")["members"]
    assert row["lot"] == {"parts": 500, "bars": 7, "last_parts": 44, "seconds": 30_150.0}
    assert row["changes_per_hour"] == pytest.approx(3600 / (76 * 60 + 25))


@pytest.mark.usefixtures("real_shop")
def test_without_a_cycle_time_the_programs_are_timed(capsys: pytest.CaptureFixture[str]) -> None:
    """A written pair's own time from part to part makes the lot's; a member that is not written has none."""
    rows = {row["member"]: row for row in _json(capsys, "port-block", "--lot", "252")["members"]}
    assert run(["time", "port-block/20"]) == 0
    told = capsys.readouterr().out
    assert f"port-block/20 on twin-turnmill: {rows['20']['cycle_s']:.1f} s a part" in told
    assert rows["20"]["lot"]["seconds"] == pytest.approx(252 * rows["20"]["cycle_s"] + 25)
    assert rows["35"]["lot"]["seconds"] is None


@pytest.mark.usefixtures("real_shop")
def test_lots_of_their_own_and_bars_at_hand(capsys: pytest.CaptureFixture[str]) -> None:
    """Two members share the bars of their stock; both lots are there, no more bars are used than there are."""
    found = _json(capsys, "port-block/20=300", "port-block/65=120", "--bar", "6000x2", "--bar", "3000", "--kerf", "2")
    assert [row["lot"]["parts"] for row in found["members"]] == [300, 120]
    [plan] = found["plans"]
    pieces = [piece for bar in plan["bars"] for piece in bar["pieces"]]
    assert sum(p["parts"] for p in pieces if p["name"] == "port-block/65") == 120
    assert all(piece["length_mm"] <= 3200 for piece in pieces)
    assert sum(1 for bar in plan["bars"] if bar["length_mm"] == 6000) <= 2
    assert plan["proved"]


def test_bars_longer_than_the_feeder_are_sawn(real_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Where the family's bar does not go into the feeder, the table says so and a plan follows."""
    file = real_shop / "families/port-block.yaml"
    file.write_text(file.read_text().replace("bar: 3000", "bar: 6000"))
    assert run(["bars", "port-block/35", "--lot", "100"]) == 0
    out = capsys.readouterr().out
    assert "a bar of 6000 is longer than the feeder of twin-turnmill takes: saw it" in out
    assert "1     6000  3181.8 (port-block/35 x 81) + 838.2 (port-block/35 x 19)" in out


@pytest.mark.usefixtures("real_shop")
@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["port-block/20=x"], "expected a number of parts"),
        (["--bar", "6m"], "is no length of bar"),
        (["port-block/20", "--bar", "6000"], "sawn for a lot, and none is given"),
        (["--bar", "6000", "--bar", "6000x2"], "given twice"),
        (["port-block/20=9999", "--bar", "6000x1"], "[bars:not-enough]"),
        (["port-block/21"], "[shop:no-member]"),
        (["port-blok"], "[shop:no-family]"),
        (["--lot", "-1"], "Invalid value"),
    ],
)
def test_what_cannot_be_done_is_said(words: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Exit status 2, a message that names the cause, nothing on standard output."""
    assert run(["bars", *words]) == 2
    told = capsys.readouterr()
    assert said in told.err
    assert told.out == ""


def test_a_bar_without_a_part_is_refused(real_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A remnant as long as the bar leaves nothing; the family's file is named."""
    file = real_shop / "families/port-block.yaml"
    file.write_text(file.read_text().replace("bar: 3000, remnant: 120", "bar: 150, remnant: 140"))
    assert run(["bars"]) == 2
    assert "families/port-block.yaml: error: port-block/20: a bar of 150 mm gives no part" in capsys.readouterr().err


def test_a_number_of_bars_for_two_stocks_is_refused(real_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Bars of one material are not counted for another."""
    file = real_shop / "families/port-block.yaml"
    other = file.read_text().replace("family: port-block", "family: brass-block").replace("program: 12", "program: 13")
    other = other.replace("material: aluminium-6082", "material: brass-cuzn39pb3")
    (real_shop / "families/brass-block.yaml").write_text(other)
    assert run(["bars", "--lot", "10", "--bar", "6000x3"]) == 2
    assert "[bars:mixed-stock]" in capsys.readouterr().err
