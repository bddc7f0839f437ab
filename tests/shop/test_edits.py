"""`gemel edits` from intake to list: named, judged by proof and time, traced, the gravest first."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import pytest

from gemel.cli import main as boundary
from gemel.edits.model import Kind
from gemel.findings import Findings
from gemel.history import read_repository
from gemel.shop import judge as judging
from gemel.shop.edited import edited_pair
from gemel.shop.judge import judge
from gemel.shop.judged_pairs import judged_pair
from gemel.shop.layout import Shop
from gemel.shop.prove_files import machine_of
from support.at_control import MACHINE, NAME, PAIR, program, take
from support.control import HABITS
from support.edited_copies import DROPPED_WAIT, SLOWER, put_copies

if TYPE_CHECKING:
    from pathlib import Path

    from gemel.shop.judge import Judged


def rows(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, list[dict[str, Any]]]:
    """Status and pairs of `gemel edits --format json`."""
    status = boundary.run(["edits", *words, "--format", "json"])
    return status, json.loads(capsys.readouterr().out)


def judged(shop: Path, *, single: bool = False) -> Judged:
    machine = machine_of(Shop(shop), MACHINE)
    found = edited_pair(Shop(shop), read_repository(shop), machine, PAIR)
    assert found is not None
    return judge(Shop(shop), found, machine, single=single)


def test_a_dropped_wait_shows_the_deadlock_on_top(
    real_shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The new error stands before everything, and the edit that brings it is the first row."""
    take(real_shop, *put_copies(real_shop, tmp_path / "stick", SLOWER, DROPPED_WAIT))
    status, [pair] = rows(capsys, NAME)
    assert status == 1
    assert (pair["proof"]["before"], pair["proof"]["after"]) == ("pass", "fail")
    assert pair["proof"]["new"][0]["code"] == "waits:deadlock"
    first, second = pair["rows"]
    assert (first["kind"], first["risk"], first["time"]) == ("wait removed", "error", "hangs")
    assert "waits:deadlock" in first["findings"]
    assert (second["kind"], second["findings"]) == ("feed", [])
    boundary.run(["edits", NAME])
    out = capsys.readouterr().out
    assert out.index("[waits:deadlock]") < out.index(first["ids"][0]) < out.index(second["ids"][0])
    assert "brings, alone already: waits:deadlock" in out


def test_an_edit_is_said_with_size_seconds_and_the_value_that_explains_it(
    real_shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A slower feed: per cent, seconds of a part as the timeline has them, place, lines, and the YAML value."""
    take(real_shop, *put_copies(real_shop, tmp_path / "stick", SLOWER))
    status, [pair] = rows(capsys, NAME)
    assert status == 1
    [row] = pair["rows"]
    assert row["said"].startswith("feed of drill gallery 0.12 to 0.09 mm/rev, 25 % slower, +")
    # The only edit: what it costs alone is what the pair costs more.
    assert row["seconds"] == pair["time"]["longer_s"] > 0
    assert pair["time"]["after_s"] == pytest.approx(pair["time"]["before_s"] + row["seconds"], abs=0.002)
    assert [one["explains"] for one in row["proposals"]][:1] == [row["ids"]]
    assert "drill" in row["proposals"][0]["change"]
    [edit] = row["edits"]
    assert (edit["channel"], edit["stage"], edit["operation"], edit["word"]) == ("lower", 1, "drill-gallery", "F")
    line = program(real_shop, "lower").split(b"\n").index(b"G83 X0. Z-17.092 Q12000 F0.12") + 1
    assert edit["lines"] == {"baseline": [line, line], "copy": [line, line]}


def test_equal_edits_of_one_operation_are_one_row(
    real_shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """All feeds of the flats changed alike are one row with all ids; `--all` gives each its own."""
    count = program(real_shop, "upper").count(b" F1193.7\n")
    assert count > 12
    take(real_shop, *put_copies(real_shop, tmp_path / "stick", {"upper": ((b" F1193.7\n", b" F1000.\n"),)}))
    _, [pair] = rows(capsys, NAME)
    [row] = pair["rows"]
    assert len(row["ids"]) == len(set(row["ids"])) == count
    _, [pair] = rows(capsys, NAME, "--all")
    assert len(pair["rows"]) == count
    assert {len(row["ids"]) for row in pair["rows"]} == {1}


def test_what_a_control_does_to_a_file_is_no_edit(
    real_shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Renumbered, zeros added, comments cut: no rows, exit status 0."""
    for path in put_copies(real_shop, tmp_path / "stick"):
        data = path.read_bytes()
        for habit in ("renumbered", "comments cut", "zeros added", "CR CR LF", "leader"):
            data = HABITS[habit](data)
        path.write_bytes(data)
    take(real_shop, tmp_path / "stick")
    assert boundary.run(["edits"]) == 0
    assert "as gemel wrote it: no edits" in capsys.readouterr().out


def test_decided_edits_end_with_status_0(real_shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """After a decision the row says it, with name and reason, and nothing is left to do."""
    take(real_shop, *put_copies(real_shop, tmp_path / "stick", SLOWER))
    decide = ["decide", NAME, "--all", "--keep", "--by", "A. Setter", "--why", "the blade chatters"]
    assert boundary.run(decide) == 0
    capsys.readouterr()
    status, [pair] = rows(capsys, NAME)
    [row] = pair["rows"]
    assert (status, row["verdict"], row["decided"]["by"]) == (0, "keep", "A. Setter")
    boundary.run(["edits", NAME])
    assert "keep by A. Setter on " in capsys.readouterr().out


def test_copies_are_looked_at_without_taking_them_in(
    real_shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """`--copy` says the same of the same files, in any order, and git has nothing new."""
    files = put_copies(real_shop, tmp_path / "stick", SLOWER)
    repository = read_repository(real_shop)
    before = repository.run("for-each-ref").out
    status, [looked] = rows(capsys, "--copy", str(files[1]), str(files[0]), NAME)
    assert (status, repository.run("for-each-ref").out) == (1, before)
    take(real_shop, *files)
    _, [taken] = rows(capsys, NAME)
    assert looked["rows"] == taken["rows"]
    assert (looked["taken_at"], looked["commit"]) == ("", "")


def test_one_copy_alone_is_judged_with_the_other_channel_as_written(
    real_shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A single file will do; that the other one did not come back is said."""
    files = put_copies(real_shop, tmp_path / "stick", SLOWER)
    _, [looked] = rows(capsys, "--copy", str(files[1]), NAME)
    assert [row["kind"] for row in looked["rows"]] == ["feed"]
    assert any("no copy of upper came back" in note for note in looked["notes"])


def test_a_copy_of_another_pair_is_refused(real_shop: Path, tmp_path: Path) -> None:
    """Files of one pair are not judged as another's; status 2 for a pair that is none, and no traceback."""
    assert boundary.run(["write", "port-block/35"]) == 0
    files = put_copies(real_shop, tmp_path / "stick")
    assert boundary.run(["edits", "--copy", str(files[0]), "port-block/35"]) != 0
    assert boundary.run(["edits", "--copy", str(files[0]), "port-block/99"]) == 2
    assert boundary.run(["edits", "port-block/99"]) == 2


def test_an_error_is_put_to_the_edit_that_brings_it_though_no_finding_names_it(real_shop: Path, tmp_path: Path) -> None:
    """A retract below the clearance lets both channels into a zone: not the blocks that meet, the retract is first."""
    retract = (
        b"G83 X0. Z-17.092 Q12000 F0.12\nG80\nG00 Z2.\nG00 X120.\n",
        b"G83 X0. Z-17.092 Q12000 F0.12\nG80\nG00 Z2.\nG00 X119.9\n",
    )
    moved = (b"G00 X20.189\n", b"G00 X20.2\n")
    take(real_shop, *put_copies(real_shop, tmp_path / "stick", {"lower": (retract,), "upper": (moved,)}))
    found = judged(real_shop)
    assert {fault.rule for fault in found.change.errors} == {"zones"}
    first, second, *_ = found.rows
    assert (first.alone, first.edits[0].anchor.channel, first.edits[0].new) == (True, "lower", "X119.9")
    assert (second.alone, second.risk, second.accused) == (False, "error", "named in zones:left")


def test_rows_that_are_not_tried_are_said(real_shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With more rows than are timed the first ones are, and it is said that the others are not."""
    monkeypatch.setattr(judging, "_MOST_TIMED", 1)
    change = {"lower": ((b"G04 X0.5\n", b"G04 X1.5\n"),)}
    take(real_shop, *put_copies(real_shop, tmp_path / "stick", SLOWER, change))
    found = judged(real_shop, single=True)
    assert [row.seconds is not None for row in found.rows] == [True] + [False] * (len(found.rows) - 1)
    assert any("only the first 1 rows were timed" in note for note in found.notes)


def test_mixed_baselines_are_said(real_shop: Path, tmp_path: Path) -> None:
    """Programs of two writings were never proved together; whoever reads the list is told."""
    old = put_copies(real_shop, tmp_path / "stick")[0].read_bytes()
    path = real_shop / "families/port-block.yaml"
    path.write_text(path.read_text().replace("cutting: {peck: 4}", "cutting: {peck: 3}"))
    assert boundary.run(["write", NAME]) == 0
    files = put_copies(real_shop, tmp_path / "stick", SLOWER)
    files[0].write_bytes(old)
    take(real_shop, *files)
    found = judged_pair(Shop(real_shop), NAME)
    assert any("different writings" in note for note in found.notes)
    assert [row.kind for row in found.rows] == [Kind.FEED]


def test_a_family_that_cannot_be_written_leaves_edits_without_proposals(real_shop: Path, tmp_path: Path) -> None:
    """A fault in the YAML hides no edit: it is listed and judged, and why nothing is proposed is said."""
    take(real_shop, *put_copies(real_shop, tmp_path / "stick", SLOWER))
    path = real_shop / "families/port-block.yaml"
    path.write_text(path.read_text().replace("revision: C", "revison: C"))
    found = judged_pair(Shop(real_shop), NAME)
    assert [row.kind for row in found.rows] == [Kind.FEED]
    assert found.rows[0].proposals == ()
    assert any("cannot be written" in note for note in found.notes)


def test_a_pair_that_never_came_back_has_nothing_to_list(real_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """No copy: nothing is undecided, status 0; a review page of it cannot be made."""
    assert rows(capsys, NAME) == (0, [])
    with pytest.raises(Findings, match="ever came back"):
        judged_pair(Shop(real_shop), NAME)


def test_hostile_comments_do_not_reach_the_terminal(
    real_shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """An escape that would clear the screen, a bell, markup and a NUL are printed as characters that do nothing."""
    hostile = b"(\x1b[2J\x07[red]DONE[/red] \x00IF[#1GT5]GOTO10)\nM01\n"
    change = {"lower": ((b"M88 (HIGH PRESSURE ON)\n", b"M88 (HIGH PRESSURE ON)\n" + hostile),)}
    take(real_shop, *put_copies(real_shop, tmp_path / "stick", change))
    boundary.run(["edits", NAME])
    out = capsys.readouterr().out
    assert not {c for c in out if not c.isprintable()} - {"\n"}
    assert "M01" in out


def test_what_is_decided_comes_behind_what_is_not(
    real_shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A decided edit that brings an error is listed last; the error stays on top, and so does status 1."""
    take(real_shop, *put_copies(real_shop, tmp_path / "stick", SLOWER, DROPPED_WAIT))
    _, [pair] = rows(capsys, NAME)
    gone = pair["rows"][0]["ids"][0]
    assert boundary.run(["decide", NAME, gone, "--drop", "--by", "A. Setter", "--why", "mistyped"]) == 0
    capsys.readouterr()
    status, [pair] = rows(capsys, NAME)
    assert status == 1
    assert [row["verdict"] for row in pair["rows"]] == ["undecided", "drop"]
    assert pair["proof"]["new"][0]["code"] == "waits:deadlock"
