"""Every page in a real browser: nothing lies on anything, nothing is cut off, everything can be read."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from support.demo import IDS as PAIRS
from support.demo import names
from support.pages import PAGES, page_of

if TYPE_CHECKING:
    from collections.abc import Iterator

pytestmark = pytest.mark.browser

MEASURE = (Path(__file__).parents[1] / "support" / "browser.js").read_text(encoding="utf-8")
IDS = ["-".join(word for word in page if word) for page in PAGES]

# Widths in CSS pixels (96 to the inch): a screen, A4 less margins of 12 mm upright and lengthwise, a telephone.
SCREEN, UPRIGHT, LENGTHWISE, TELEPHONE = 1280, round(186 / 25.4 * 96), round(273 / 25.4 * 96), 390


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """Headless Chromium; tests are skipped, with the reason, where there is none."""
    path = next(
        (found for name in ("chromium", "chromium-browser", "google-chrome") if (found := shutil.which(name))), None
    )
    if path is None:
        pytest.skip("no Chromium on this machine (Debian package chromium)")
    api = pytest.importorskip("playwright.sync_api")
    with api.sync_playwright() as play:
        started = play.chromium.launch(executable_path=path, args=["--no-sandbox"])
        yield started
        started.close()


def measure(browser: Any, page: str, width: int, *, media: str = "screen") -> dict[str, Any]:
    """What `browser.js` finds; any request to anywhere fails the test."""
    context = browser.new_context(viewport={"width": width, "height": 1000}, offline=True)
    view = context.new_page()
    asked: list[str] = []
    said: list[str] = []
    view.on("request", lambda request: asked.append(request.url))
    view.on("console", lambda message: said.append(message.text))
    view.on("pageerror", lambda error: said.append(str(error)))
    view.emulate_media(media=media)
    view.set_content(page)
    found: dict[str, Any] = view.evaluate(MEASURE)
    context.close()
    assert [url for url in asked if not url.startswith(("data:", "about:"))] == []
    assert said == []
    return found


def _print_width(kind: str) -> int:
    return UPRIGHT if kind == "sheet" else LENGTHWISE


@pytest.mark.parametrize("page", PAGES, ids=IDS)
@pytest.mark.parametrize("where", ["screen", "print", "telephone"])
def test_nothing_lies_on_anything_or_is_cut_off(browser: Any, page: tuple[str, str, str, str], where: str) -> None:
    """No two texts overlap, none leaves its drawing or its cell, the page is no wider than the window."""
    width = {"screen": SCREEN, "print": _print_width(page[0]), "telephone": TELEPHONE}[where]
    found = measure(browser, page_of(*page), width, media="print" if where == "print" else "screen")
    assert found["overlaps"] == []
    assert found["outside"] == []
    assert found["cut"] == []
    assert found["wide"] is None


@pytest.mark.parametrize("page", PAGES, ids=IDS)
@pytest.mark.parametrize("where", ["screen", "print"])
def test_every_text_is_seven_points_or_more(browser: Any, page: tuple[str, str, str, str], where: str) -> None:
    """Nothing is smaller than 7 pt, on A4 and in a window of 1280 pixels."""
    width = SCREEN if where == "screen" else _print_width(page[0])
    assert measure(browser, page_of(*page), width, media=where)["small"] == []


@pytest.mark.parametrize("pair", names(), ids=PAIRS)
def test_every_sheet_of_the_demo_shop_is_clean_on_paper(browser: Any, pair: tuple[str, str, str]) -> None:
    """Whatever sizes a member has, its picture and its tables fit."""
    found = measure(browser, page_of("sheet", *pair), UPRIGHT, media="print")
    assert found == {"overlaps": [], "cut": [], "small": [], "outside": [], "wide": None}


def test_pointer_tells_block_tool_feed(browser: Any) -> None:
    """A bar that is pointed at tells operation, lines, tool, feed, and the block at that moment."""
    context = browser.new_context(viewport={"width": SCREEN, "height": 900})
    view = context.new_page()
    view.set_content(page_of("chart", "twin-turnmill", "port-block", "65"))
    view.hover("#pair-0-1 rect")
    said = view.inner_text("#pointer")
    context.close()
    assert "FLATS ACROSS 14.979" in said
    assert "T1 end-mill-12" in said
    assert "feed 1193.7 mm/min" in said
    assert "line " in said.splitlines()[-1]
    assert "G01" in said.splitlines()[-1] or "G00" in said.splitlines()[-1]


def test_tap_tells_the_block_too(browser: Any) -> None:
    """On a screen without a pointer a tap tells the same, line by line; the keyboard tells the operation."""
    context = browser.new_context(viewport={"width": TELEPHONE, "height": 900}, has_touch=True)
    view = context.new_page()
    view.set_content(page_of("chart", "twin-turnmill", "port-block", "65"))
    view.tap("#pair-0-1 rect")
    tapped = view.inner_text("#pointer").splitlines()
    view.keyboard.press("Tab")
    tabbed = view.inner_text("#pointer").splitlines()
    context.close()
    assert tapped[0].endswith("END MILL 12")
    assert tapped[-1].startswith("at ")
    assert "^J" not in "".join(tapped)
    assert tabbed
    assert tabbed[0] != tapped[0]


def test_page_says_all_without_scripts(browser: Any) -> None:
    """With scripts off the chart still has its bars, their words and its tables."""
    context = browser.new_context(java_script_enabled=False)
    view = context.new_page()
    view.set_content(page_of("chart", "twin-turnmill", "port-block", "65"))
    titles = view.locator("svg .bar title").all_text_contents()
    rows = view.locator("table.ops tbody tr").count()
    context.close()
    assert any("end-mill-12" in title for title in titles)
    assert rows > len(titles)


def test_the_measure_finds_what_it_looks_for(browser: Any) -> None:
    """A page with one fault of every kind is found out: the other tests here can fail."""
    page = """<!doctype html><body style="margin:0"><p style="height:0;margin:0">over</p><p style="margin:0">under</p>
    <table style="width:60px;table-layout:fixed"><td>Donaudampfschiffahrt</td></table>
    <i style="font-size:8px">tiny</i><div style="width:3000px">wide</div>
    <svg width="50" height="20" viewBox="0 0 50 20"><text x="40" y="15">leaves</text></svg>"""
    found = measure(browser, page, SCREEN)
    assert ["over", "under"] in found["overlaps"]
    assert [text for text, *_ in found["cut"]] == ["Donaudampfschiffahrt"]
    assert [text for text, _ in found["small"]] == ["tiny"]
    assert found["outside"] == ["leaves"]
    assert found["wide"] is not None
