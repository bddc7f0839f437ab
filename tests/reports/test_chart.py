"""The time chart, held against the timeline it shows."""

from __future__ import annotations

from xml.etree import ElementTree as ET

import pytest

from gemel.reports.chart import chart_view, compared, last_moment_s
from gemel.reports.chart_svg import WIDTH_MM
from gemel.reports.times import duration
from support.pages import EXAMPLES, chart_source

SVG = "{http://www.w3.org/2000/svg}"
IDS = ["-".join(example) for example in EXAMPLES]
GUTTER_MM = 25.0


def _drawing(example: tuple[str, str, str], until_s: float | None = None) -> ET.Element:
    return ET.fromstring(str(chart_view(chart_source(*example), "pair", until_s).drawing))  # noqa: S314 # our own text


def _boxes(drawing: ET.Element, kind: str) -> list[tuple[float, float]]:
    """Left edge and width of the first rectangle of every group of a kind."""
    groups = [g for g in drawing.iter(f"{SVG}g") if g.get("class") == kind]
    boxes = [next(r for r in g.iter(f"{SVG}rect") if r.get("class") != "") for g in groups]
    return [(float(b.get("x", "")), float(b.get("width", ""))) for b in boxes]


@pytest.mark.parametrize("example", EXAMPLES, ids=IDS)
def test_bars_are_as_long_as_their_operations_take(example: tuple[str, str, str]) -> None:
    """One millimetre is the same number of seconds everywhere, bars and waits begin when they do."""
    timeline = chart_source(*example).timeline
    per_second = (WIDTH_MM - GUTTER_MM - 2) / last_moment_s(chart_source(*example))
    bars = [bar for bar in timeline.bars if bar.end_s > bar.start_s]
    drawn = _boxes(_drawing(example), "bar")
    assert len(drawn) == len(bars)
    for (left, width), bar in zip(drawn, bars, strict=True):
        assert left == pytest.approx(GUTTER_MM + bar.start_s * per_second, abs=0.002)
        assert width == pytest.approx(max((bar.end_s - bar.start_s) * per_second, 0.25), abs=0.002)
    waits = [a for m in timeline.meetings for a in m.arrivals if a.lost_s * per_second > 0.4]
    assert sorted(w for _, w in _boxes(_drawing(example), "wait")) == pytest.approx(
        sorted(a.lost_s * per_second for a in waits), abs=0.002
    )


@pytest.mark.parametrize("example", EXAMPLES, ids=IDS)
def test_critical_path_is_marked_for_its_whole_length(example: tuple[str, str, str]) -> None:
    """The heavy line is as long as the pair takes."""
    timeline = chart_source(*example).timeline
    assert timeline.period_s is not None
    per_second = (WIDTH_MM - GUTTER_MM - 2) / last_moment_s(chart_source(*example))
    total = 0.0
    for path in _drawing(example).iter(f"{SVG}path"):
        if path.get("class") == "critical":
            (x, y), (further, lower) = (
                tuple(float(n) for n in point.split()) for point in path.get("d", "").lstrip("M").split("L")
            )
            if y == lower:
                total += further - x
    assert total == pytest.approx(timeline.period_s * per_second, rel=0.01)


def test_every_wait_mark_and_lane_is_named() -> None:
    """Marks, channels, spindles and the drive that turns stand in the drawing."""
    texts = [node.text for node in _drawing(EXAMPLES[0]).iter(f"{SVG}text")]
    assert {"701", "702", "703", "704", "705", "706", "upper", "lower", "left", "right", "upper tool"} <= set(texts)


def test_two_charts_of_one_scale_can_be_compared() -> None:
    """The same operation has the same length in both, and names in them do not clash."""
    example = EXAMPLES[3]
    source = chart_source(*example)
    until = 1.5 * last_moment_s(source)
    one, other = (chart_view(source, key, until) for key in ("before", "after"))
    first, second = (ET.fromstring(str(view.drawing)) for view in (one, other))  # noqa: S314 # our own text
    assert _boxes(first, "bar") == _boxes(second, "bar")
    names = [{node.get("id") for node in root.iter() if node.get("id")} for root in (first, second)]
    assert not names[0] & names[1]
    assert set(one.blocks) <= names[0] | {bar.key for bar in one.bars}


def test_what_changed_is_listed_with_its_sign() -> None:
    """At half the feed a cut takes longer by its feed time; what does not cut is not in the list."""
    example = EXAMPLES[0]
    before, after = (chart_source(*example, override).timeline for override in (1.0, 0.5))
    rows = {row.name: row for row in compared(before, after)}
    flats = next(bar for bar in before.bars if bar.name.startswith("4 FLATS"))
    slower = float(rows[flats.name].difference)
    assert slower == pytest.approx(flats.spent.cutting_s, rel=0.02)
    assert rows[flats.name].difference.startswith("+")
    assert "BLOCK AWAY" not in rows
    assert compared(before, before) == ()


def test_power_is_told_where_it_is_known() -> None:
    """What a cut takes comes with the bar it belongs to, and with no other."""
    source = chart_source(*EXAMPLES[0])
    bar = next(b for b in source.timeline.bars if b.name.startswith("4 FLATS"))
    known = type(source)(
        source.name, source.about, source.timeline, source.machine, {("upper", bar.first_line): "2.1 kW"}
    )
    said = [row.said for row in chart_view(known, "pair").bars if "power" in row.said]
    assert len(said) == 1
    assert "power 2.1 kW" in said[0]
    reckoned = {row.name: row.power for row in chart_view(source, "pair").bars}
    assert "kW" in reckoned[bar.name]
    assert reckoned["FEED BAR, BAR STOP"] == ""


@pytest.mark.parametrize(
    ("seconds", "text"),
    [(0.04, "0.0 s"), (96.42, "96.4 s"), (119.96, "120.0 s"), (247, "4 min 07 s"), (3599.6, "60 min 00 s")],
)
def test_durations_are_told_in_seconds_then_in_minutes(seconds: float, text: str) -> None:
    """Under two minutes in seconds and tenths, from then on in minutes and whole seconds."""
    assert duration(seconds) == text
