"""Pages as text: whole, alone, escaped, the same every time."""

from __future__ import annotations

from dataclasses import replace
from html.parser import HTMLParser

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gemel.reports.chart import ChartSource, chart_page, comparison_page
from gemel.reports.page import render
from gemel.reports.sheet import sheet_page
from gemel.shop.inputs import load_machine_of
from gemel.shop.layout import Shop
from gemel.shop.make_sheet import programs_of
from gemel.timing import time_pair
from support.demo import ROOT
from support.pages import EXAMPLES, PAGES, chart_source, page_of, rendered, sheet_source

IDS = ["-".join(word for word in page if word) for page in PAGES]
HOSTILE = "</style></title><script>alert(1)</script><img src=x onerror=alert(2)>\"'\\ \x1b[31m &amp; {{ 7*7 }}"
VOID = {"meta", "br", "col", "img", "link", "hr", "input"}


class Reader(HTMLParser):
    """Tags, attributes and text of a page, and whether every tag is closed in order."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str]] = []
        self.text: list[str] = []
        self.open: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """A tag opens."""
        self.tags.append(tag)
        self.attributes += [(name, value or "") for name, value in attrs]
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """A tag that closes itself."""
        self.tags.append(tag)
        self.attributes += [(name, value or "") for name, value in attrs]

    def handle_endtag(self, tag: str) -> None:
        """A tag closes: the last one that was opened."""
        assert self.open, tag
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        """Text."""
        self.text.append(data)


@pytest.mark.parametrize("page", PAGES, ids=IDS)
def test_page_is_well_formed_and_stands_alone(page: tuple[str, str, str, str]) -> None:
    """Every tag is closed in order, nothing is fetched from anywhere, no identifier is used twice."""
    read = Reader(page_of(*page))
    assert read.open == []
    assert [v for n, v in read.attributes if n in {"src", "href"} or (n == "style" and "url(" in v)] == []
    names = [value for name, value in read.attributes if name == "id"]
    assert len(names) == len(set(names))


@pytest.mark.parametrize("example", EXAMPLES, ids=["-".join(e) for e in EXAMPLES])
def test_same_inputs_give_the_same_bytes(example: tuple[str, str, str]) -> None:
    """No clock, no user, no order of a set is in a page."""
    source = sheet_source(*example)
    assert sheet_page(source) == sheet_page(source)
    assert chart_page(chart_source(*example)) == chart_page(chart_source(*example))


def test_hostile_names_of_a_part_stay_text() -> None:
    """What a family calls things never becomes markup, style or script."""
    source = sheet_source("twin-turnmill", "port-block", "65")
    clean = Reader(sheet_page(source))
    part = replace(source.part, title=HOSTILE, drawing=HOSTILE, revision=HOSTILE, material=HOSTILE, member=HOSTILE)
    read = Reader(sheet_page(replace(source, part=part, stamp=HOSTILE, remarks=(HOSTILE,))))
    assert read.open == []
    assert read.tags.count("script") == clean.tags.count("script") == 0
    assert read.tags.count("img") == 0
    assert sum("alert(1)" in text for text in read.text) > 4
    assert not any("49" in text and "7*7" not in text for text in read.text if "alert" in text)


def test_hostile_comments_of_a_program_stay_text() -> None:
    """A comment at the control may hold anything; in a chart it is text, also inside the script's data."""
    machine = load_machine_of(Shop(ROOT), "twin-turnmill")
    programs = {
        channel: (name, data.replace(b"(4 FLATS ACROSS 14.979, END MILL 12)", f"({HOSTILE})".encode()))
        for channel, (name, data) in programs_of(rendered("twin-turnmill", "port-block", "65")).items()
    }
    assert any(b"alert" in data for _, data in programs.values())
    source = ChartSource(HOSTILE, HOSTILE, time_pair(programs, machine), machine, {("upper", 24): HOSTILE})
    for page in (chart_page(source), comparison_page(source, source)):
        read = Reader(page)
        assert read.open == []
        assert read.tags.count("script") == 2  # the data of the blocks, and the page's own script
        assert read.tags.count("img") == 0
        assert "<script>alert" not in page
        assert "\x1b" not in page


@given(text=st.text(max_size=60))
def test_no_text_becomes_markup(text: str) -> None:
    """Whatever stands in a value comes out of a page as the same visible text."""
    page = render("index", title=text, machines=[])
    read = Reader(page)
    assert read.tags == Reader(render("index", title="plain", machines=[])).tags
    assert read.open == []
