"""Machine files whose entries do not fit together: refused with the place, before anything is written by them."""

from __future__ import annotations

from pathlib import Path

import pytest

from gemel.findings import Findings
from gemel.machines.load import load_machine

_TEMPLATES = Path(__file__).parents[2] / "templates"
_TEXT = (_TEMPLATES / "twin-turnmill" / "machine.yaml").read_text(encoding="utf-8")

FAULTS = [
    ("call: T0101", "call: x", "form", "`x` is no tool call"),
    ('call: "T{n}"', 'call: "T5"', "form", "no form of tool calls"),
    ('write: "M{number}"', 'write: "M701"', "form", "no form for waits"),
    ('write: "N{number}"', 'write: "N{number:q}"', "form", "no form for sequence numbers"),
    ('write: "O{number:04d}"', 'write: "{0.real}"', "form", "no form for program numbers"),
    ("cancel: G80", "cancel: 80x", "form", "`80x` is no code word"),
    ("encoding: ascii", "encoding: asci", "form", "no encoding `asci`"),
    ("first: 701, last: 799", "first: 799, last: 701", "range", "backwards"),
    ("control: [700, 799]", "control: [700, 750]", "range", "outside the control"),
    ("step: 1, control", "step: 0, control", "range", "must be over 0"),
    ("stage: 100, operation: 10", "stage: 10, operation: 10", "range", "no room"),
    ("first: 1, last: 8999", "first: 0, last: 8999", "range", "program numbers"),
    ("longest: 80", "longest: 8", "range", "room for 24"),
    ("longest: 80", "longest: 1000000000", "range", "no control reads"),
    ("from: 5, to: 40", "from: 5, to: 1000000000", "range", "stations 1 to 999"),
    ('write: "O{number:04d}"', 'write: "O{number:0999999999d}"', "form", "no form for program numbers"),
    ("length: {decimals: 3", "length: {decimals: 5", "range", "reads 0 to 4 decimals"),
    ("clearance: 120", "clearance: 0", "range", "clearance"),
    ("x: [-60, 420], y", "x: [420, -60], y", "range", "travel of x in upper"),
    ("home: {x: 400, y: 0, z: 300}", "home: {x: 500, y: 0, z: 300}", "range", "home of x in upper"),
    ("rapid: {x: 30000,", "rapid: {x: 0,", "range", "rapid of x in upper"),
    ("torque: [[0, 60], [2865, 60]", "torque: [[2865, 60], [0, 60]", "range", "torque curve of upper"),
    ("start: {offset: left", "start: {offset: centre", "missing", "no offset `centre`"),
    ("    right: {close: M168, open: M169}\n", "", "missing", "`right` has no codes under `codes.clamp`"),
    ("axes: [x, z, c, a]", "axes: [x, y, z, c, a]", "missing", "axis `y` of lower has no travel"),
    ("suffix: .lower.nc", "suffix: .upper.nc", "contradiction", "one suffix"),
    ("number: 2\n", "number: 1\n", "contradiction", "one number"),
    ("side: hand-over", "side: bar", "contradiction", "two spindles"),
]  # fmt: skip


@pytest.mark.parametrize("name", ["twin-turnmill", "inch-duplex"])
def test_the_demo_machines_fit_together(name: str) -> None:
    """Both files load; what follows spoils one of them."""
    text = (_TEMPLATES / name / "machine.yaml").read_text(encoding="utf-8")
    assert load_machine(text, "machine.yaml").machine == name


@pytest.mark.parametrize(("old", "new", "code", "words"), FAULTS, ids=[row[3] for row in FAULTS])
def test_what_does_not_fit_is_said_at_its_line(old: str, new: str, code: str, words: str) -> None:
    """One entry is spoilt: the finding has its code, what is wrong, and a line of the file."""
    assert old in _TEXT
    with pytest.raises(Findings) as caught:
        load_machine(_TEXT.replace(old, new, 1), "machine.yaml")
    found = [f for f in caught.value.findings if f.name == f"machine:{code}" and words in f.cause]
    assert found, [f.cause for f in caught.value.findings]
    assert found[0].labels[0].span.source == "machine.yaml"
    assert found[0].labels[0].span.line > 0


def test_all_faults_come_in_one_run() -> None:
    """Three entries spoilt give three findings."""
    text = (
        _TEXT.replace("call: T0101", "call: x")
        .replace("clearance: 120", "clearance: -1")
        .replace("longest: 80", "longest: 2")
    )
    with pytest.raises(Findings) as caught:
        load_machine(text, "machine.yaml")
    assert len(caught.value.findings) == 3
