"""Families that are wrong: every fault with its line, its text and a remedy, and all faults in one run."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from gemel.documents import compose, validate
from gemel.families.load import Catalogues, Family, load_catalogues, load_family
from gemel.families.remarks import unused_values
from gemel.families.resolve import jobs_of, resolve
from gemel.findings import Finding, Findings
from gemel.machines.schema import Machine
from gemel.operations import toolpath

ROOT = Path(__file__).parents[2]
BLOCK = (ROOT / "families" / "port-block.yaml").read_text(encoding="utf-8")


@cache
def surroundings(machine: str = "twin-turnmill") -> tuple[Machine, Catalogues]:
    """The demo shop's machine and catalogues."""
    text = (ROOT / "templates" / machine / "machine.yaml").read_text(encoding="utf-8")
    tools = (ROOT / "templates" / "tools.yaml").read_text(encoding="utf-8")
    materials = (ROOT / "templates" / "materials.yaml").read_text(encoding="utf-8")
    loaded = load_catalogues((tools, "tools.yaml"), (materials, "materials.yaml"))
    return validate(Machine, compose(text, "machine.yaml")), loaded


def load(text: str) -> Family:
    return load_family(text, "f.yaml", *surroundings())


def faults(text: str) -> list[Finding]:
    """Everything that is wrong with a family: its document, then every member down to its toolpaths."""
    try:
        family = load(text)
    except Findings as error:
        return list(error.findings)
    found: list[Finding] = []
    for member in family.members():
        try:
            part = resolve(family, member)
            for job in jobs_of(family, part).values():
                toolpath(job)
        except Findings as error:
            found += error.findings
    return found


def changed(old: str, new: str) -> str:
    assert BLOCK.count(old) >= 1, old
    return BLOCK.replace(old, new, 1)


def test_the_demo_family_has_no_fault() -> None:
    """The text that every case below spoils is sound."""
    assert faults(BLOCK) == []


CASES = [
    ("title: Square", "titel: Square", "document:unknown-key", "titel", "did you mean `title`?"),
    ("process: bar_feed", "process: bar_fed", "document:value", "bar_fed", ""),
    ("mill-flats, break-edges", "mill-flat, break-edges", "family:stage-unknown", "mill-flat", "`mill-flats`"),
    ("[feed-bar, face-front,", "[feed-bar,", "family:stage-missing", "face-front", "name it"),
    ("[face-back, chamfer-back]", "[face-back, chamfer-back, cut-off]", "family:stage-twice", "cut-off", "take one"),
    (
        "lower: [face-back, chamfer-back]",
        "upper: [face-back, chamfer-back]",
        "family:stage-channel",
        "face-back",
        "own",
    ),
    (
        "upper, spindle: left, tool: end-mill-12",
        "lower, spindle: left, tool: end-mill-12",
        "family:unknown",
        "end-mill-12",
        "free",
    ),
    ("tool: end-mill-12", "tool: end-mil-12", "family:unknown", "end-mil-12", "`end-mill-12`"),
    ("across: {size: 15, tolerance: h9}", "across: {size: 26, tolerance: h9}", "operation:impossible", "26", ""),
    ("thread: M5", "thread: M5x0.9", "family:unknown-thread", "M5x0.9", "did you mean"),
    ("tolerance: h9", "tolerance: y9", "family:unknown-tolerance", "y9", ""),
    ("length / (ports + 1)", "2 * spacing", "family:circular", "2 * spacing", ""),
    ("length / (ports + 1)", "length / (ports - 1)", "family:division", "length / (ports - 1)", ""),
    ("length / (ports + 1)", "length.__class__", "family:attribute", "", ""),
    ("length / (ports + 1)", "().__class__.__mro__", "family:attribute", "", ""),
    ("length / (ports + 1)", "open('x')", "family:unknown-name", "open", ""),
    ("length / (ports + 1)", "lenght / (ports + 1)", "family:unknown-name", "lenght", "`length`"),
    ("length / (ports + 1)", "9**9**9", "family:expression", "9**9**9", "a ** (b"),
    ('"20": {', '"../x": {', "family:member-name", "../x", "letters"),
    ('"20": {', '"a/b": {', "family:member-name", "a/b", "letters"),
    ("program: 1202", "program: 1201", "family:program-twice", "1201", "number of its own"),
    ("program: 1201", "program: 12010", "family:program-range", "12010", "range"),
    ("title: Square port block", "title: Square (port) block", "family:comment", "Square (port) block", "other"),
    ("title: Square port block", "title: Größe", "family:comment", "Größe", "other"),
    ("corner: 0.4", "corner: 0,4", "family:decimal-comma", "0,4", "write `0.4`"),
    ("corner: 0.4", "corner: 0.4\n  corner: 0.5", "document:duplicate-key", "corner", ""),
    ("  corner: 0.4", "\tcorner: 0.4", "document:not-yaml", "a tab", "spaces"),
    ("title: Square port block", "title: yes", "document:word", "yes", "quotes"),
    ("members:", "members: [", "document:not-yaml", "", ""),
    ("material: aluminium-6082", "material: aluminium-6028", "family:unknown", "aluminium-6028", "`aluminium-6082`"),
    ("feature: gallery", "feature: galery", "family:unknown", "galery", "`gallery`"),
    ("spindle: left, tool: bar-stop", "spindle: lefd, tool: bar-stop", "family:unknown", "lefd", "`left`"),
    ("depth: length - 4", "depth: length + 40", "operation:tool-does-not-fit", "", ""),
    ('{"9": axial-drill-6}', '{"99": axial-drill-6}', "family:unknown", "99", ""),
]


@pytest.mark.parametrize(("old", "new", "name", "text", "remedy"), CASES)
def test_each_fault_is_named_where_it_stands(old: str, new: str, name: str, text: str, remedy: str) -> None:
    """The finding has the right code, stands on the spoiled line, shows the text and says what to do."""
    spoiled = changed(old, new)
    found = [finding for finding in faults(spoiled) if finding.name == name]
    assert found, [finding.name for finding in faults(spoiled)]
    finding = found[0]
    label = finding.labels[0]
    assert label.span.source in ("f.yaml", "tools.yaml")
    assert label.span.line > 0
    assert finding.cause
    assert finding.remedy
    if text and name.startswith(("document", "family")):
        row = spoiled.split("\n")[label.span.line - 1]
        assert text in (label.text, row[label.span.start : label.span.end]) or text in row
    assert remedy in finding.remedy


def test_all_faults_come_in_one_run() -> None:
    """Three misspelt names are three findings, each on its own line."""
    text = BLOCK.replace("tool: bar-stop", "tool: bar-stp").replace("feature: gallery", "feature: galery")
    text = text.replace("material: aluminium-6082", "material: alu")
    found = faults(text)
    assert {finding.name for finding in found} == {"family:unknown"}
    assert len({finding.labels[0].span.line for finding in found}) == 3


def test_programs_aim_at_the_middle_of_the_tolerance() -> None:
    """15 h9 is cut to 14.9785: ISO 286-1 gives 0/-43 um over 10 to 18 mm (checks against the published table)."""
    part = resolve(load(BLOCK), "20")
    assert part.values["across"] == pytest.approx(15 - 0.043 / 2)
    assert float(part.tolerances["across"].lower_mm) == pytest.approx(-0.043)


def test_members_get_their_own_values() -> None:
    """Each member has its own row over the family's values."""
    family = load(BLOCK)
    assert [resolve(family, m).values["spacing"] for m in family.members()] == pytest.approx([10, 35 / 3, 12.5, 13])
    assert [resolve(family, m).program for m in family.members()] == [1201, 1202, 1203, 1204]


def test_inches_become_millimetres_with_their_origin() -> None:
    """A family in inches is the same part as one in mm, and `7/8` is a legal size."""
    text = BLOCK.replace("unit: mm", "unit: inch").replace("size: 25, bar: 3000", "size: 7/8, bar: 120")
    text = text.replace("{size: 6, tolerance: H11}", "0.25")
    text = text.replace("{size: 15, tolerance: h9}", "0.5").replace('"20": {length: 20', '"20": {length: 0.8')
    text = text.replace("depth: length - 4}", "depth: length - 0.2}")
    part = resolve(load(text), "20")
    assert part.stock.size_mm == pytest.approx(22.225)
    assert part.length_mm == pytest.approx(20.32)


def test_a_member_may_skip_an_operation_and_keep_its_stages() -> None:
    """`when` leaves an operation out; the stage table keeps its rows."""
    text = changed("feature: ports, process: tap_cross", "feature: ports, when: ports > 1, process: tap_cross")
    family = load(text)
    skipping, running = resolve(family, "20"), resolve(family, "35")
    assert "tap-ports" not in skipping.operations
    assert "tap-ports" in running.operations
    assert len(skipping.stages) == len(running.stages)


BOUNDS = [
    ("depth: 6\n", "depth: -6\n", "features.ports.depth must be over 0, it is -6", "-6"),
    ("{depth: 2.5}", "{depth: 0}", "operations.mill-flats.cutting.depth must be over 0, it is 0", "0"),
    ("{peck: 4}", "{peck: 4 - 5}", "operations.drill-ports.cutting.peck must be over 0, it is -1", "4 - 5"),
    (
        "count: ports}",
        "count: ports + 0.5}",
        "features.ports.at.count must be a whole number up to 1000, it is 1.5",
        "ports + 0.5",
    ),
    (
        "count: ports}",
        "count: 1e9}",
        "features.ports.at.count must be a whole number up to 1000, it is 1e+09",
        "1e9",
    ),
    ("size: 25, bar", "size: 0, bar", "stock.size must be over 0, it is 0", "0"),
    ("chamfer: 0.3", "chamfer: -0.3", "features.ports.chamfer must be 0 or more, it is -0.3", "-0.3"),
    ("{size: 15, tolerance: h9}", "{size: -15, tolerance: h9}", "values.across.size must be over 0, it is -15", "-15"),
    ("program: 1201}", "program: 1201, depth: 1e400}", "`1e400` is too large to be a size", "1e400"),
]

ALTERNATIVES = [
    ("    thread: M5\n", "", "`ports` has neither `diameter` nor `thread`"),
    ("    thread: M5\n", "    thread: M5\n    diameter: 4\n", "`ports` has both `diameter` and `thread`"),
    ("diameter: bore, depth", "depth", "`gallery` has neither `diameter` nor `thread`"),
    (
        "  back: {kind: face, side: back}",
        "  back: {kind: face, side: back}\n  pin: {kind: turned, steps: [{diameter: 8, to: 5}, {diameter: 9}]}",
        "step 2 of `pin` has neither `length` nor `to`",
    ),
]


@pytest.mark.parametrize(("old", "new", "cause"), ALTERNATIVES, ids=[row[2] for row in ALTERNATIVES])
def test_of_two_fields_that_exclude_each_other_one_is_given(old: str, new: str, cause: str) -> None:
    """Neither and both are refused at the feature."""
    found = [f for f in faults(changed(old, new)) if f.name == "family:one-of-two"]
    assert cause in [f.cause for f in found]
    assert all(f.labels[0].span.line > 0 for f in found)


@pytest.mark.parametrize(("old", "new", "cause", "text"), BOUNDS, ids=[row[2] for row in BOUNDS])
def test_a_number_that_its_field_cannot_have_is_refused(old: str, new: str, cause: str, text: str) -> None:
    """Depths, feeds and sizes are over 0, allowances not below it, counts whole; the scalar is shown as written."""
    found = faults(changed(old, new))
    assert any(f.cause == cause and f.labels[0].text == text and f.labels[0].span.line for f in found), found


def test_a_member_without_holes_leaves_their_operations_out() -> None:
    """No ports is a fault where they are drilled, and none where `when` leaves every operation on them out."""
    none = changed("ports: 1, program", "ports: 0, program")
    assert {f.cause.partition(": ")[2] for f in faults(none)} == {
        "the feature stands at no place; leave the operation out with `when:`"
    }
    skipped = none.replace("{feature: ports,", "{feature: ports, when: ports,")
    assert faults(skipped) == []
    assert faults(skipped.replace("depth: 6\n", "depth: 6 * min(ports, 1)\n")) == [], "nobody makes that depth"


def test_a_value_that_nothing_uses_is_remarked() -> None:
    """A misspelt name beside the one that keeps its old value; names in expressions, lists and threads are uses."""
    assert unused_values(load(BLOCK).form) == []
    [finding] = unused_values(load(changed("  corner: 0.4", "  cornr: 0.6\n  corner: 0.4")).form)
    assert (finding.name, finding.severity.value) == ("family:unused", "warning")
    assert (finding.labels[0].text, finding.labels[0].span.line) == ("cornr", 15)
    [own] = unused_values(load(changed("ports: 1, program", "ports: 1, lenght: 3, program")).form)
    assert own.labels[0].text == "lenght"


def test_a_value_that_only_other_members_give_is_missing() -> None:
    """The member without it is told so, not that the name is unknown."""
    text = changed("  ports: 1\n", "").replace("ports: 1, program", "program")
    found = faults(text)
    assert {finding.name for finding in found} == {"family:missing-value"}
    assert "this member gives no value for `ports`" in found[0].cause
