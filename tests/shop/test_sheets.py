"""`gemel sheet` and `gemel chart`: what is made, where it goes, and what is never touched."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from gemel.cli.main import run
from gemel.reports import pdf
from gemel.shop import sheet_folder
from support.repositories import git

PORT_BLOCK = Path("families/port-block.yaml")
PAGES = ("sheet.html", "sheet.pdf", "chart.html")


def _state(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


@pytest.fixture
def made(real_shop: Path) -> Path:
    """A shop whose sheets stand."""
    assert run(["sheet", "port-block/20"]) == 0
    return real_shop


def test_a_pair_gets_sheet_pdf_chart_and_an_index(made: Path) -> None:
    """Every page is there, the index leads to it, and git sees none of it."""
    folder = made / "sheets"
    index = (folder / "index.html").read_text(encoding="utf-8")
    for end in PAGES:
        assert (folder / f"twin-turnmill/port-block-20.{end}").stat().st_size > 1000
        assert f'href="twin-turnmill/port-block-20.{end}"' in index
    assert 'href="twin-turnmill/tools.html"' in index
    assert "sheets" not in git(made, "status", "--porcelain")


def test_other_pairs_stay_when_one_is_made_again(made: Path) -> None:
    """Sheets of pairs that were not asked for keep their bytes, and their line in the index."""
    assert run(["sheet", "port-block/35"]) == 0
    before = _state(made / "sheets")
    assert "twin-turnmill/port-block-20.sheet.html" in before
    assert run(["sheet", "port-block/35"]) == 0
    assert _state(made / "sheets") == before


def test_a_run_over_the_whole_shop_leaves_nothing_of_before(made: Path) -> None:
    """A member that is gone has no sheet any more."""
    PORT_BLOCK.write_text(
        PORT_BLOCK.read_text(encoding="utf-8").replace('  "20": {length: 20,', '  "21": {length: 20,')
    )
    assert run(["sheet", "--no-pdf"]) == 0
    names = {p.name for p in (made / "sheets/twin-turnmill").iterdir()}
    assert "port-block-21.sheet.html" in names
    assert "port-block-20.sheet.html" not in names
    assert not any(name.endswith(".pdf") for name in names)


def test_sheet_says_when_other_programs_stand_in_output(made: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A family that moved on, or a change by hand: the sheet and the command both say so."""
    program = made / "output/twin-turnmill/port-block-20/port-block-20.upper.nc"
    program.write_bytes(program.read_bytes().replace(b"S6631", b"S6000"))
    assert run(["sheet", "port-block/20"]) == 0
    assert "[sheet:other-programs]" in capsys.readouterr().err
    assert "was changed by hand" in (made / "sheets/twin-turnmill/port-block-20.sheet.html").read_text(encoding="utf-8")


def test_no_sheet_of_a_pair_that_does_not_pass(made: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A pair without its take-over is refused with what the proof found; its old sheet goes, no other is touched."""
    text = PORT_BLOCK.read_text(encoding="utf-8").replace("lower: [take-block, cut-off]", "lower: [cut-off]")
    start = text.index("  take-block:")
    PORT_BLOCK.write_text(text[:start] + text[text.index("  cut-off:", start) :])
    assert run(["sheet", "port-block/20"]) == 1
    said = capsys.readouterr()
    assert "[sheet:not-proved]" in said.err
    assert "holding" in said.err
    assert "0 of 1 pair;" in said.out
    assert "port-block-20" not in (made / "sheets/index.html").read_text(encoding="utf-8")


def test_a_folder_of_somebody_is_left_alone(made: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Files that gemel did not make, a folder that is not its own, and a link are refused; nothing changes."""
    before = _state(made / "families")
    (made / "sheets/notes.txt").write_text("insert changed on Monday")
    (made / "linked").symlink_to(made / "families")
    for words in (["sheet"], ["sheet", "--to", "families"], ["sheet", "--to", "linked"]):
        assert run(words) == 2
        assert "[sheet:foreign-file]" in capsys.readouterr().err
    assert (made / "sheets/notes.txt").read_text() == "insert changed on Monday"
    assert _state(made / "families") == before


@pytest.mark.parametrize("step", ["_fill", "exchange"])
def test_folder_is_the_old_one_or_the_new_one(made: Path, monkeypatch: pytest.MonkeyPatch, step: str) -> None:
    """A disk that fails in the middle leaves the old folder, whole, and no litter."""
    before = _state(made / "sheets")

    def fail(*_: object) -> None:
        raise OSError(28, "No space left on device", "sheets")

    monkeypatch.setattr(sheet_folder, step, fail)
    assert run(["sheet", "port-block/35"]) == 2
    assert _state(made / "sheets") == before
    assert [p.name for p in made.iterdir() if p.name.startswith((".gemel-new", ".gemel-old"))] == []


def test_a_system_that_cannot_exchange_folders_gets_them_too(made: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the system has no exchange, two renames do it."""
    monkeypatch.setattr(sheet_folder, "exchange", lambda *_: False)
    assert run(["sheet", "port-block/35"]) == 0
    assert (made / "sheets/twin-turnmill/port-block-35.sheet.html").is_file()
    assert [p.name for p in made.iterdir() if p.name.startswith((".gemel-new", ".gemel-old"))] == []


def test_pages_are_made_where_no_pdf_can_be(
    made: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without the renderer the page is made all the same, and the command says what is missing."""

    def missing(_: str) -> bytes:
        raise pdf.PdfUnavailable("the PDF renderer cannot be loaded")

    monkeypatch.setattr("gemel.shop.make_sheet.pdf_of", missing)
    assert run(["sheet", "port-block/20"]) == 0
    assert "[sheet:no-pdf]" in capsys.readouterr().err
    names = {p.name for p in (made / "sheets/twin-turnmill").iterdir()}
    assert "port-block-20.sheet.html" in names
    assert "port-block-20.sheet.pdf" not in names


def test_one_faulty_family_does_not_stop_the_others(made: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The others get their sheets, the faulty one is named and keeps those it has, and the exit status tells."""
    assert run(["sheet", "--no-pdf"]) == 0
    family = made / PORT_BLOCK
    (made / "families/other-block.yaml").write_text(
        family.read_text(encoding="utf-8").replace("port-block", "other-block")
    )
    family.write_text("family: port-block\n")
    assert run(["sheet", "--no-pdf"]) == 2
    said = capsys.readouterr()
    assert "[sheet:unread-family]" in said.err
    assert "4 of 4 pairs" in said.out
    assert (made / "sheets/twin-turnmill/other-block-20.sheet.html").is_file()
    assert (made / "sheets/twin-turnmill/port-block-20.sheet.html").is_file()


def test_chart_stands_beside_the_sheets(made: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A chart of a pair that has a sheet takes the place of the sheet's own; the manifest stays whole."""
    assert run(["chart", "port-block/20", "--override", "50"]) == 0
    page = (made / "sheets/twin-turnmill/port-block-20.chart.html").read_text(encoding="utf-8")
    assert "feed override of 50 %" in page
    assert run(["chart", "port-block/50"]) == 0
    entries = json.loads((made / "sheets/manifest.json").read_bytes())["entries"]
    held = {path for entry in entries.values() for path in entry["files"]}
    assert held == {n for n in _state(made / "sheets") if n not in {"index.html", "manifest.json", ".gitignore"}}
    assert "port-block-50.chart.html" in capsys.readouterr().out


def test_chart_against_a_commit_and_against_a_folder(made: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A slower feed in the family shows against the commit before, and against a folder with the old programs."""
    family = made / PORT_BLOCK
    text = family.read_text(encoding="utf-8")
    family.write_text(text.replace("cutting: {depth: 2.5}", "cutting: {depth: 2.5, tooth_feed: 0.03}"))
    for against in ("HEAD", "output/twin-turnmill/port-block-20"):
        assert run(["chart", "port-block/20", "--against", against]) == 0
        said = capsys.readouterr().out
        assert "before" in said
        page = Path(said.splitlines()[-1]).read_text(encoding="utf-8")
        assert "4 FLATS ACROSS" in page.split("What changed")[1].split("</tr>")[1]


@pytest.mark.parametrize("against", ["HEAD~99", "families", "--help-me", "a b"])
def test_nothing_to_compare_with_is_said(made: Path, capsys: pytest.CaptureFixture[str], against: str) -> None:
    """A commit that is not there, a folder without programs: exit status 2, nothing made."""
    before = _state(made / "sheets")
    assert run(["chart", "port-block/20", f"--against={against}"]) == 2
    assert "[chart:nothing-there]" in capsys.readouterr().err
    assert _state(made / "sheets") == before
