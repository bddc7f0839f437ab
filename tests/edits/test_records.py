"""Decisions are added to a family's file and read from it; what stands there stays."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gemel.edits.model import Anchor, KeptEdit, Kind, Verb
from gemel.edits.records import Record, append_records, read_records, standing
from gemel.findings import Findings

_AT = Anchor("lower", 1, "face-front", "G1X-0.8F0.2", 1, "F")
_EDIT = KeptEdit(
    "3fa9c211",
    "35",
    "twin-turnmill",
    Kind.FEED,
    _AT,
    old="F0.2",
    new="F0.15",
    baseline="4DC542EEE2",
    block=41,
    by="A. Setter",
    when="2026-11-25",
    why="chatter on the long member",
)
_RECORD = Record(_EDIT, Verb.KEEP, "feed of facing 0.2 to 0.15 mm/rev, 25 % slower")
_TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=40)


def test_a_record_comes_back_as_it_was() -> None:
    """A kept edit, a move with a target, a dropped one of several blocks, and one that went into the family."""
    target = Anchor("lower", 2, "turn", "M9", 2, "")
    records = (
        _RECORD,
        Record(replace(_EDIT, id="00000001", kind=Kind.BLOCK_MOVED, target=target, block=None), Verb.KEEP, "moved"),
        Record(replace(_EDIT, id="00000002", kind=Kind.BLOCK_ADDED, old="", new="M05\nG04 X1."), Verb.DROP, "added"),
        Record(_EDIT, Verb.INTO_FAMILY, "feed", ("operations.face-front.cutting.feed: 0.2 -> 0.15",), "00000001"),
    )
    text = append_records("", "port-block", records)
    assert read_records(text, "families/port-block.edits.yaml") == records


def test_what_stands_in_the_file_stays_to_the_character() -> None:
    """Comments that a person wrote between records are still there after another decision."""
    text = append_records("", "port-block", [_RECORD]) + "  # asked the setter on Monday\n"
    after = append_records(text, "port-block", [replace(_RECORD, verb=Verb.DROP)])
    assert after.startswith(text)
    assert len(read_records(after, "f")) == 2


def test_the_last_decision_about_an_edit_of_a_pair_counts() -> None:
    """Deciding again replaces; another member's decision does not; a replaced edit is gone."""
    other = replace(_RECORD, edit=replace(_EDIT, member="50"))
    dropped = replace(_RECORD, verb=Verb.DROP)
    instead = replace(_RECORD, edit=replace(_EDIT, id="ffffffff"), replaces="3fa9c211")
    assert standing([_RECORD, other, dropped], "35", "twin-turnmill") == {"3fa9c211": dropped}
    assert standing([_RECORD, instead], "35", "twin-turnmill") == {"ffffffff": instead}
    assert standing([_RECORD], "35", "inch-duplex") == {}


@given(_TEXTS, _TEXTS, _TEXTS)
def test_any_text_survives(why: str, by: str, new: str) -> None:
    """Quotes, line breaks, colons, `yes`, hashes and odd characters in reasons and words come back as they were."""
    record = replace(_RECORD, edit=replace(_EDIT, why=why, by=by, new=new))
    assert read_records(append_records("", "port-block", [record]), "f") == (record,)


def test_a_fault_in_the_file_is_placed() -> None:
    """An unknown decision is named with file, line and column."""
    text = append_records("", "port-block", [_RECORD]).replace("decision: keep", "decision: maybe")
    with pytest.raises(Findings) as caught:
        read_records(text, "families/port-block.edits.yaml")
    [finding] = caught.value.findings
    assert (finding.labels[0].span.source, finding.labels[0].span.line) == ("families/port-block.edits.yaml", 7)


def test_an_empty_file_of_decisions_holds_none() -> None:
    """A file with its head alone is read."""
    assert read_records(append_records("", "port-block", []), "f") == ()
