"""Threads that differ from member to member: a value that is a thread, and what features and expressions make of it."""

from __future__ import annotations

import pytest

from gemel.documents import place_of
from gemel.families.features import ThreadFeature, Turned
from gemel.families.holes import CrossHole
from gemel.families.resolve import resolve
from gemel.families.schema import Threaded
from gemel.families.values import MemberValues
from gemel.findings import Findings
from gemel.numbers import leaves
from support.demo_family import demo_family

COLLAR, STEM = "sensor-collar", "valve-stem"
NAMED = (
    ("  ring_width: 2.4", "  ring_width: 2.4\n  end: {thread: M8}"),
    ("thread: {kind: thread, thread: M8,", "thread: {kind: thread, thread: end,"),
    ("diameter: 8 - 0.1,", "diameter: end - 0.1,"),
    ('"90": {length: 90,', '"90": {length: 90, end: {thread: "1/4-20 UNC"},'),
)


def test_a_feature_takes_the_thread_of_its_member() -> None:
    """The drawing's table gives M4 for two members and M5 for the third; the place is the member's own row."""
    family = demo_family(COLLAR)
    found = {}
    for member in family.members():
        hole = resolve(family, member).features["clamp_hole"]
        assert isinstance(hole, CrossHole)
        found[member] = (hole.thread, float(hole.drilled_dia_mm))
        place = place_of(hole.thread)
        assert place is not None
        assert place.name == ("members.24.clamp.thread" if member == "24" else "values.clamp.thread")
    assert found == {"16": ("M4", 3.3), "20": ("M4", 3.3), "24": ("M5", 4.2)}


@pytest.mark.parametrize(("member", "name", "dia"), [("75", "M8", 8.0), ("90", "1/4-20 UNC", 6.35)])
def test_a_thread_stands_for_its_major_diameter_in_expressions(member: str, name: str, dia: float) -> None:
    """M8 is 8, 1/4-20 UNC is 6.35 (ISO 724, ASME B1.1); the turned diameter below it knows both scalars."""
    part = resolve(demo_family(STEM, *NAMED), member)
    thread, profile = part.features["thread"], part.features["profile"]
    assert isinstance(thread, ThreadFeature)
    assert isinstance(profile, Turned)
    assert thread.thread == name
    assert float(profile.steps[1].dia_mm) == pytest.approx(dia - 0.1)
    assert any("end" in leaf.name or name in leaf.name for leaf in leaves(profile.steps[1].dia_mm))


def test_in_a_family_in_inches_it_counts_inches() -> None:
    """A 1/4-20 UNC is 0.25 there."""
    values = MemberValues({"end": Threaded(thread="1/4-20 UNC")}, inch=True)
    assert float(values.numbers["end"]) == pytest.approx(0.25)
    assert values.threads == {"end": "1/4-20 UNC"}


WRONG = [
    (("clamp: {thread: M4} ", "clamp: {thread: M4x0.77} "), "M4x0.77", "M4x0.7"),
    (("clamp: {thread: M5}", "clamp: {thread: M55}"), "M55", "M5"),
    (("thread: clamp,", "thread: clam,"), "clam", "clamp"),
    (("thread: clamp,", "thread: circle,"), "circle", ""),
]


@pytest.mark.parametrize(("change", "text", "near"), WRONG, ids=[row[1] for row in WRONG])
def test_a_thread_that_nobody_knows_is_shown_where_it_stands(change: tuple[str, str], text: str, near: str) -> None:
    """Whether it is named by value, member or feature: line, column, the text, and the nearest name there is."""
    with pytest.raises(Findings) as caught:
        resolve(demo_family(COLLAR, change), "24" if "M5" in change[0] else "16")
    finding = caught.value.findings[0]
    assert finding.name == "family:unknown-thread"
    assert finding.labels[0].text == text
    assert finding.labels[0].span.line > 0
    assert near in finding.remedy


def test_a_member_without_the_thread_is_told() -> None:
    """A thread that only some members have is missing where a member needs it and has none."""
    changes = (("  clamp: {thread: M4}                     # of the screw that holds the sensor\n", ""),)
    family = demo_family(COLLAR, *changes, ("when: clamp < 4.5", "when: 0"), ("when: clamp > 4.5", "when: 1"))
    assert resolve(family, "24").features
    with pytest.raises(Findings) as caught:
        resolve(family, "16")
    assert [finding.name for finding in caught.value.findings] == ["family:unknown-thread"]
