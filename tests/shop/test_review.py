"""`gemel review`: one page that stands alone, shows every edit, and takes nothing from a control for markup."""

from __future__ import annotations

import re
import shlex
from collections import Counter
from html.parser import HTMLParser
from typing import TYPE_CHECKING

from gemel.cli import main as boundary
from gemel.shop.judged_pairs import judged_pair
from gemel.shop.layout import Shop
from support.at_control import MACHINE, NAME, take
from support.edited_copies import DROPPED_WAIT, SLOWER, put_copies
from support.repositories import git

if TYPE_CHECKING:
    from pathlib import Path

    import pytest

HOSTILE = (
    b"(</code><script>alert(1)</script>)",
    b'(" onmouseover="alert(2)" x=")',
    b"(<img src=x onerror=alert(3)>)",
    b"(&lt;b&gt; {{ 7*7 }} </style></title>)",
    b"(\x1b[2J\x07\x00\x85\x9b31m)",
    "(\u202eNUR\u2066 M99)".encode(),
)
SCRIPTS = 3  # the blocks of the chart, its script, that of the page


class _Page(HTMLParser):
    """What a browser would make of a page: its tags, attributes, and text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str]] = []
        self.text: list[str] = []
        self._raw = 0
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(name, value or "") for name, value in attrs]
        self._raw += tag in ("script", "style")

    def handle_endtag(self, tag: str) -> None:
        self._raw -= tag in ("script", "style")

    def handle_data(self, data: str) -> None:
        if not self._raw:
            self.text.append(data)

    @property
    def words(self) -> str:
        return " ".join("".join(self.text).split())


def review(shop: Path, *words: str) -> tuple[int, str]:
    """Status, and the page."""
    status = boundary.run(["review", NAME, *words])
    out = words[words.index("--out") + 1] if "--out" in words else f"reviews/{MACHINE}/port-block-20.html"
    return status, (shop / out).read_text(encoding="utf-8")


def test_the_page_shows_deadlock_edits_lines_and_commands(real_shop: Path, tmp_path: Path) -> None:
    """The new error first, every edit with its words marked, both channels at their wait marks, both times."""
    take(real_shop, *put_copies(real_shop, tmp_path / "stick", SLOWER, DROPPED_WAIT))
    status, text = review(real_shop)
    assert status == 1
    page = _Page(text)
    found = judged_pair(Shop(real_shop), NAME)
    words = page.words
    assert words.index("waits:deadlock") < words.index(found.rows[0].edits[0].id)
    for row in found.rows:
        assert row.edits[0].id in words
        assert row.said in words
        assert f"gemel decide {NAME} {row.edits[0].id} --keep" in words
    assert "G83 X0. Z-17.092 Q12000 <del>F0.12</del> <ins>F0.09</ins>" in text
    assert "<del>N200 M702 (UPPER WAITS FOR LOWER: DRILL GALLERY DONE)</del>" in text
    marks = [f"From wait mark M70{number}" for number in range(1, 7)]
    assert [words.index(mark) for mark in marks] == sorted(words.index(mark) for mark in marks)
    assert words.count("From wait mark M702") == 1
    assert "pass > FAIL" in words
    assert page.tags.count("figure") == 2


def test_every_line_at_the_control_stands_on_the_page(real_shop: Path, tmp_path: Path) -> None:
    """Nothing is left out: every line of both copies as often as it stands there, folded or not."""
    files = put_copies(real_shop, tmp_path / "stick", SLOWER)
    take(real_shop, *files)
    _, text = review(real_shop)
    shown = text[text.index('id="programs"') : text.index('id="time"')]
    cells = re.findall(r"<span>(\d*)</span><span>(\d*)</span><b>.*?</b><code>(.*?)</code>", shown)
    plain = [re.sub(r"<del>.*?</del> ?|</?ins>", "", body) for _, new, body in cells if new]
    for path in files:
        lines = [line.replace("'", "&#39;") for line in path.read_text().split("\n") if line]
        assert Counter(lines) <= Counter(plain)


def test_commands_of_the_page_decide(real_shop: Path, tmp_path: Path) -> None:
    """The commands are what `gemel decide` takes: with name and reason filled in, they settle the edit."""
    take(real_shop, *put_copies(real_shop, tmp_path / "stick", SLOWER))
    _, text = review(real_shop)
    commands = [command for command in re.findall(r"<code data-command=\"(.*?)\"", text) if "--keep" in command]
    words = shlex.split(commands[0].replace("&#34;", '"').replace("NAME", "A. Setter").replace("REASON", "blade"))
    assert words[0] == "gemel"
    assert boundary.run(words[1:]) == 0
    status, text = review(real_shop)
    assert status == 0
    assert "keep by A. Setter on " in _Page(text).words


def test_the_page_asks_for_nothing_and_keeps_the_shop_clean(real_shop: Path, tmp_path: Path) -> None:
    """No address of anything outside, no source but its own; git sees no new file; the same copies, the same page."""
    take(real_shop, *put_copies(real_shop, tmp_path / "stick", SLOWER))
    _, text = review(real_shop)
    page = _Page(text)
    assert not {"link", "img", "iframe", "object", "embed", "base"} & set(page.tags)
    loading = [value for name, value in page.attributes if name in ("src", "href", "action", "xlink:href")]
    assert [value for value in loading if not value.startswith("#")] == []
    assert "default-src 'none'" in text
    assert git(real_shop, "status", "--porcelain") == ""
    assert review(real_shop)[1] == text
    assert review(real_shop, "--out", "monday.html")[1] == text


def test_hostile_text_stays_text(real_shop: Path, tmp_path: Path) -> None:
    """Tags, attributes, template marks, escapes, NUL and bidirectional marks of a copy are shown as characters."""
    block = b"M88 (HIGH PRESSURE ON)\n"
    change = {"lower": ((block, block + b"\n".join(b"M01 " + text for text in HOSTILE) + b"\n"),)}
    files = put_copies(real_shop, tmp_path / "stick", SLOWER, change)
    name = tmp_path / "stick" / "\u202e<script>x\"'&.lower.nc"
    files[1].rename(name)
    take(real_shop, files[0], name)
    _, text = review(real_shop)
    page = _Page(text)
    assert page.tags.count("script") == SCRIPTS
    assert page.tags.count("img") == page.tags.count("b-gt") == 0
    assert [attribute for attribute, _ in page.attributes if attribute.startswith("on")] == []
    assert not {c for c in text if not c.isprintable()} - {"\n"}
    assert "</code><script>alert(1)</script>" in page.words
    assert "{{ 7*7 }}" in page.words
    assert "<img src=x onerror=alert(3)>" in page.words
    assert "^[[2J" in page.words
    assert text.count("</script>") == SCRIPTS


def test_hostile_reasons_stay_text(real_shop: Path, tmp_path: Path) -> None:
    """What a person wrote as a reason is text on the page too."""
    take(real_shop, *put_copies(real_shop, tmp_path / "stick", SLOWER))
    why = "<script>alert(1)</script>\u202e'\""
    assert boundary.run(["decide", NAME, "--all", "--drop", "--by", "<b>x", "--why", why]) == 0
    _, text = review(real_shop)
    assert _Page(text).tags.count("script") == SCRIPTS
    assert "\u202e" not in text


def test_a_pair_that_never_came_back_has_no_page(real_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Status 2, what to do about it, and no file."""
    assert boundary.run(["review", NAME]) == 2
    assert "gemel intake" in capsys.readouterr().err
    assert not (real_shop / "reviews").exists()


def test_from_stick_to_page_in_one_command(real_shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """`--from` takes the files in first, as `gemel intake` does, and makes the same page."""
    put_copies(real_shop, tmp_path / "stick", SLOWER)
    status, text = review(real_shop, "--from", str(tmp_path / "stick"), "--machine", MACHINE)
    assert (status, "taken in" in capsys.readouterr().out) == (1, True)
    assert review(real_shop) == (1, text)
