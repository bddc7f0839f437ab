"""The review page in a real browser: nothing lies on anything, it works without scripts, and with them it filters."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from gemel.cli import main as boundary
from support.at_control import MACHINE, NAME, take
from support.edited_copies import DROPPED_WAIT, SLOWER, put_copies

if TYPE_CHECKING:
    from collections.abc import Iterator

pytestmark = pytest.mark.browser

MEASURE = (Path(__file__).parents[1] / "support" / "browser.js").read_text(encoding="utf-8")
COMMENT = {
    "lower": ((b"M88 (HIGH PRESSURE ON)", b"M88 (</code><script>alert(1)</script><img src=x onerror=alert(2)>)"),)
}


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """Headless Chromium; tests are skipped, with the reason, where there is none."""
    names = ("chromium", "chromium-browser", "google-chrome")
    path = next((found for name in names if (found := shutil.which(name))), None)
    if path is None:
        pytest.skip("no Chromium on this machine (Debian package chromium)")
    api = pytest.importorskip("playwright.sync_api")
    with api.sync_playwright() as play:
        started = play.chromium.launch(executable_path=path, args=["--no-sandbox"])
        yield started
        started.close()


@pytest.fixture
def page(real_shop: Path, tmp_path: Path) -> str:
    feeds = {"upper": ((b" F1193.7\n", b" F1000.\n"), (b"G00 X20.189\n", b"G00 X20.289\n"))}
    take(real_shop, *put_copies(real_shop, tmp_path / "stick", SLOWER, DROPPED_WAIT, COMMENT, feeds))
    boundary.run(["review", NAME])
    return (real_shop / f"reviews/{MACHINE}/port-block-20.html").read_text(encoding="utf-8")


# A closed part has boxes all the same in Chromium: it is either opened, or its insides are taken out.
OPENED = "document.querySelectorAll('details').forEach(d => { d.open = true; })"
CLOSED = "document.querySelectorAll('details:not([open]) > :not(summary)').forEach(part => part.remove())"


@pytest.mark.parametrize("state", [OPENED, CLOSED], ids=["opened", "closed"])
# A screen, a telephone, A4 less margins of 12 mm upright, and lengthwise, as the chart is printed.
@pytest.mark.parametrize(("width", "media"), [(1280, "screen"), (390, "screen"), (703, "print"), (1032, "print")])
def test_nothing_lies_on_anything(browser: Any, page: str, width: int, media: str, state: str) -> None:
    """On a screen, a telephone and A4 paper: no text on text, none cut off or too small; nothing runs or is asked."""
    context = browser.new_context(viewport={"width": width, "height": 1000}, offline=True)
    view = context.new_page()
    said: list[str] = []
    view.on("console", lambda message: said.append(message.text))
    view.on("pageerror", lambda error: said.append(str(error)))

    def refuse(dialog: Any) -> None:
        said.append(dialog.message)
        dialog.dismiss()

    view.on("dialog", refuse)
    view.on("request", lambda request: said.append(request.url) if request.url.startswith("http") else None)
    view.emulate_media(media=media)
    view.set_content(page)
    view.evaluate(state)
    if width == 703:
        view.evaluate("document.getElementById('chart').remove()")
    found = view.evaluate(MEASURE)
    context.close()
    assert said == []
    assert (found["overlaps"], found["cut"], found["wide"]) == ([], [], None)
    assert width == 390 or found["small"] == []  # a chart is scrolled on a telephone, or held closer


def test_without_scripts_all_edits_can_be_read(browser: Any, page: str) -> None:
    """No filter, but every edit with its commands; equal parts open by themselves."""
    context = browser.new_context(java_script_enabled=False, offline=True)
    view = context.new_page()
    view.set_content(page)
    assert not view.locator("#bar").is_visible()
    edits = view.locator(".edit")
    assert edits.count() == 5
    assert all(edits.nth(n).locator("code").first.is_visible() for n in range(edits.count()))
    fold = view.locator(".cell details").first
    assert not fold.locator(".row").first.is_visible()
    fold.locator("summary").click()
    assert fold.locator(".row").first.is_visible()
    context.close()


def test_filter_and_names_help(browser: Any, page: str) -> None:
    """The filter leaves the edits that hold all words; name and reason stand in every command, quoted."""
    context = browser.new_context(offline=True)
    view = context.new_page()
    view.set_content(page)
    view.fill("#find", "drill feed")
    assert view.locator(".edit:visible").count() == 1
    assert "0.12 to 0.09" in view.locator(".edit:visible .said").inner_text()
    view.fill("#find", "")
    view.select_option("#risk", "error")
    assert view.locator(".edit:visible .said").first.inner_text() == "wait mark taken away: M702"
    view.fill("#by", 'A. "Setter"')
    view.fill("#why", "$(rm) holds")
    assert (
        view.locator(".edit:visible code").first.inner_text().endswith('--by "A. \\"Setter\\"" --why "\\$(rm) holds"')
    )
    context.close()
