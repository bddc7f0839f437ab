"""Sheets as PDF: A4, no empty page, as many pages as a browser prints."""

from __future__ import annotations

from io import BytesIO

import pytest
from pypdf import PdfReader

from gemel.reports.pdf import pdf_of
from support.pages import EXAMPLES, PAGES, page_of

IDS = ["-".join(word for word in page if word) for page in PAGES]
A4_PT = (595.28, 841.89)


def _pages(page: str) -> list[tuple[float, float, str]]:
    """Width, height (pt) and text of every page."""
    reader = PdfReader(BytesIO(pdf_of(page)))
    return [(float(p.mediabox.width), float(p.mediabox.height), p.extract_text()) for p in reader.pages]


@pytest.mark.parametrize("page", PAGES, ids=IDS)
def test_every_page_is_a4_and_has_text(page: tuple[str, str, str, str]) -> None:
    """Sheets stand upright, charts and plans lie; no page is left empty."""
    across, high = A4_PT if page[0] == "sheet" else A4_PT[::-1]
    for width, height, text in _pages(page_of(*page)):
        assert width == pytest.approx(across, abs=1)
        assert height == pytest.approx(high, abs=1)
        assert len(text.split()) > 20


@pytest.mark.parametrize("example", EXAMPLES, ids=["-".join(e) for e in EXAMPLES])
def test_sheet_has_four_to_seven_pages_and_counts_them(example: tuple[str, str, str]) -> None:
    """A sheet is a handful of pages; each says which of how many it is, and whose."""
    pages = _pages(page_of("sheet", *example))
    assert 4 <= len(pages) <= 7
    for number, (_, _, text) in enumerate(pages, 1):
        assert f"page {number} of {len(pages)}" in text
        assert f"{example[1]}/{example[2]}" in text


def test_chart_fits_one_page_and_its_tables_follow() -> None:
    """The drawing, its marks and its legend stand together on the first page."""
    first, *more = _pages(page_of("chart", "twin-turnmill", "port-block", "65"))
    assert "wait marks" in first[2]
    assert "critical path" in first[2]
    assert "Operations" in more[0][2]


def test_same_page_gives_the_same_pdf() -> None:
    """A PDF does not say when it was made."""
    page = page_of("tools", "twin-turnmill", "", "")
    assert pdf_of(page) == pdf_of(page)


def test_nothing_is_fetched_for_a_pdf() -> None:
    """A page that names a file or a host gets neither, and is set all the same."""
    made = pdf_of('<p>text</p><img src="file:///etc/hostname"><img src="http://127.0.0.1:9/x.png">')
    [page] = PdfReader(BytesIO(made)).pages
    assert page.extract_text().strip() == "text"
    assert len(page.images) == 0
