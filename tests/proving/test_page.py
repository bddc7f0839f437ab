"""Every sentence of docs/proving.md: a pair that shows it, with every error and warning that it must have."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from support.page import PAGE, Case, in_short, page_cases, verdict_of

if TYPE_CHECKING:
    from collections.abc import Iterator

CASES = page_cases()

ELSEWHERE = {
    "bound it and say so": "test_passes_that_go_on_differing_are_bounded_and_said",
    "The machine file says which codes act after motion": "test_machine_file_says_what_acts_after_motion",
    "**holding** errors, each in some interleaving": "test_two_channels_agree_with_exhaustive_search",
    "warnings `power`, `torque` where": "test_case_finds_what_its_comments_say_and_nothing_else",
    "**geometry** later": "test_every_family_of_the_table_is_on_the_page",
    "Identified by rule, code and the set of (file, line)": "test_findings_are_sorted_and_none_stands_twice",
    "`pass` when no finding is an error": "test_json_of_a_fault_is_that_of_the_page",
    "`where` = the two entering blocks": "test_json_of_a_fault_is_that_of_the_page",
    "Exit status: 0 pass, 1 errors found, 2 the input": "test_exit_status_is_that_of_the_page",
    "`--format json` prints one object": "test_json_of_a_fault_is_that_of_the_page",
    '{"verdict": "fail"': "test_json_of_a_fault_is_that_of_the_page",
    "A finding that only the run with all `/`": "test_finding_that_only_skipping_shows_says_so",
    "Lines count from 1": "test_json_of_a_fault_is_that_of_the_page",
    "`trace` is a shortest interleaving": "test_findings_and_traces_are_those_of_the_plain_prover",
    "it must replay": "test_findings_and_traces_are_those_of_the_plain_prover",
    "`understood` is 1 less the share": "test_understood_is_the_share_of_blocks_without_a_strange_word",
    "`checked` is `all` or says where": "test_deadlock_stops_the_search_and_says_where",
    "All findings are reported": "test_all_findings_are_reported",
    "**Opening on the run.**": "test_pair_shows_what_the_page_says",
    "**Part of a block.**": "test_findings_and_traces_are_those_of_the_plain_prover",
    "For the zones and the slide it has a beginning": "test_slide_block_under_way_is_forward_to_its_end",
    "**First shared wait.**": "test_no_shared_wait_is_no_first_one",
    "A channel that shares no wait": "test_no_shared_wait_is_no_first_one",
    "**Stops.**": "test_endless_company_does_not_hide_a_deadlock",
    "Channels that wait for an ended one": "test_who_waits_for_an_ended_channel_is_in_no_ring",
    "**Counts.**": "test_count_compares_pass_with_pass",
    "a channel that has ended meets nothing": "test_count_compares_pass_with_pass",
    "It looks wherever the search stopped": "test_pair_shows_what_the_page_says",
    "`where` holds every block with the number": "test_pair_shows_what_the_page_says",
    "**Ends.**": "test_pair_shows_what_the_page_says",
    "A pair that repeats is judged there": "test_pair_shows_what_the_page_says",
    "**Rules about text**": "test_text_is_looked_at_behind_a_deadlock",
    "zones, holding and order only up to it": "test_text_is_looked_at_behind_a_deadlock",
    "**Passes.**": "test_passes_that_go_on_differing_are_bounded_and_said",
    "after five different passes": "test_passes_that_go_on_differing_are_bounded_and_said",
    "The shared state is followed without a bound": "test_too_many_states_are_bounded_and_said",
    "what was not looked at is not proved": "test_too_many_states_are_bounded_and_said",
    "**Floods.**": "test_flood_of_faults_is_bounded_and_said",
    "a note says where there were more": "test_traces_of_a_flood_are_bounded_and_said",
    "Faults of `waits` are always noted": "test_flood_of_faults_is_bounded_and_said",
    "**No catcher.**": "test_without_a_catcher_a_dropped_piece_is_a_warning",
    "**Waits that name different channels": "test_waits_under_one_number_may_name_different_channels",
    "whoever is let go at the same moment": "test_waits_under_one_number_may_name_different_channels",
    "**Traces.**": "test_findings_and_traces_are_those_of_the_plain_prover",
    "The trace of `ended` goes on": "test_findings_and_traces_are_those_of_the_plain_prover",
    "A finding that no interleaving is needed for": "test_fault_of_the_text_alone_has_no_trace",
    "**Limits.**": "test_pair_shows_what_the_page_says",
    "A pair that cuts, and whose material": "test_without_a_material_the_verdict_says_what_was_not_checked",
    "A move back from beyond the travel": "test_pair_shows_what_the_page_says",
}
"""Sentences that a test of its own shows: their beginning, and the test."""


@pytest.mark.parametrize("case", CASES, ids=lambda c: c.quote[:60])
def test_pair_shows_what_the_page_says(case: Case) -> None:
    """Errors and warnings are those of the case, none more and none less."""
    assert in_short(verdict_of(case)) == case.shows


def _sentences(text: str) -> Iterator[str]:
    """The sentences and half sentences of the page, a table's row for itself, headings left out."""
    for piece in re.split(r"\n\s*\n|\n(?=[*|#])", text[text.index("## A channel's run") :]):
        words = " ".join(piece.split())
        if words.startswith(("#", "| ---", "| part")):
            continue
        yield from [words] if words.startswith("|") else re.split(r"(?<=[.;])\s+(?=\S)", words)


def test_every_sentence_of_the_page_has_a_test() -> None:
    """No sentence is without a case that quotes of it, or a test named for it; and every quote stands on the page."""
    page = " ".join(PAGE.read_text().split())
    quoted = [(page.find(c.quote), len(c.quote)) for c in CASES]
    assert not [c.quote for c, (at, _) in zip(CASES, quoted, strict=True) if at < 0]
    without = []
    for sentence in _sentences(PAGE.read_text()):
        begin = page.find(sentence)
        end = begin + len(sentence)
        is_quoted = any(at < end and at + size > begin for at, size in quoted)
        if not is_quoted and not any(start in sentence for start in ELSEWHERE):
            without.append(sentence)
    assert not without


def test_every_test_that_is_named_for_a_sentence_exists() -> None:
    """The tests that the table above names are there, and their sentences are on the page."""
    here = Path(__file__).parents[1]
    tests = "".join(p.read_text() for p in [*here.glob("proving/*.py"), here / "cli" / "test_prove.py"])
    assert not [name for name in set(ELSEWHERE.values()) if f"def {name}(" not in tests]
    page = " ".join(PAGE.read_text().split())
    assert not [start for start in ELSEWHERE if start not in page]
