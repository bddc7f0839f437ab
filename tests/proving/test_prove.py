"""Whole proofs: identity of findings, passes, skipped blocks, traces, and the bounds on bad input."""

from __future__ import annotations

import gc
import random

import pytest

from gemel.findings import Severity
from gemel.proving.facts import LEFT
from gemel.proving.shared import START
from support.proofs import codes, demo_machine, lines_of, proof
from support.random_pairs import random_texts

UPPER = "G21 G18 G40 G80\nG28 U0. V0. W0.\nM701\n"
LOWER = "G21 G18 G40 G80\nG28 U0. W0.\nM701\n"


def test_pair_without_fault_passes_and_everything_was_checked() -> None:
    """Two empty programs with a shared wait pass, understood in full."""
    verdict = proof(upper=UPPER + "M30\n", lower=LOWER + "M30\n")
    assert verdict.passes
    assert not verdict.findings
    assert verdict.checked == "all"
    assert verdict.understood == {"upper": 1.0, "lower": 1.0}


def test_start_is_that_of_the_page() -> None:
    """Left clamp closed on one length of stock, everything else open, stopped, off, back, empty."""
    assert START.closed == LEFT
    assert START.stock == 1
    assert not any((START.turning, START.c_on, START.braked, START.synchronised, START.forward, START.held))


def test_open_clamp_and_start_in_two_channels_are_two_findings() -> None:
    """Either of two concurrent blocks can be the one that makes rule 2 true: each is a finding at its own block."""
    verdict = proof(upper=UPPER + "M69\nM702\nM68\nM30\n", lower=LOWER + "G97 S900 M03\nM05\nM702\nM30\n")
    assert lines_of(verdict, "holding:2") == {(("upper", 4),), (("lower", 4),)}


def test_rule_1_is_found_at_the_first_cut_of_each_visit() -> None:
    """Three cuts in two visits with the clamp open are two findings."""
    visit = "G00 X60. Z2.\nG99 G01 X20. F0.2\nG01 Z-5.\nG00 X200.\n"
    verdict = proof(upper=UPPER + "M30\n", lower=LOWER + "T0101\nM69\nG97 S900\n" + visit + visit + "M68\nM30\n")
    assert lines_of(verdict, "holding:1") == {(("lower", 8),), (("lower", 12),)}


def test_zones_fault_is_one_for_each_pair_of_visits() -> None:
    """One visit of one channel against two of the other: two findings, each with the entering blocks."""
    twice = "G00 X60.\nG00 X50.\nG00 X200.\n" * 2
    verdict = proof(upper=UPPER + "T1\nG00 X60.\nG00 X200.\nM30\n", lower=LOWER + "T0101\n" + twice + "M30\n")
    assert lines_of(verdict, "zones:left") == {(("upper", 5), ("lower", 5)), (("upper", 5), ("lower", 8))}


def test_passing_through_a_zone_in_one_block_meets_whoever_is_inside() -> None:
    """G28 by way of X0 is inside for the whole of its block, though it begins and ends outside."""
    verdict = proof(upper=UPPER + "T1\nG28 X0.\nM30\n", lower=LOWER + "T0101\nG28 X0.\nM30\n")
    assert lines_of(verdict, "zones:left") == {(("upper", 5), ("lower", 5))}


def test_slide_forward_makes_one_zone_of_two() -> None:
    """With the slide forward, a channel at the left meets one at the right; with the slide back it does not."""
    upper = UPPER + "T1\nM702\nG00 X60.\nG00 X200.\nM703\nM30\n"
    lower = LOWER + "T0101\n{}M702\nG55\nG00 X60.\nG00 X200.\nM703\n{}M30\n"
    apart = proof(upper=upper, lower=lower.format("", ""))
    near = proof(upper=upper, lower=lower.format("G53 A-300.\n", "G53 A0.\n"))
    assert "zones:left" not in codes(apart)
    assert "zones:left" in codes(near)


def test_same_line_in_the_second_pass_is_the_same_finding() -> None:
    """A repeating pair shows a fault of every pass once."""
    verdict = proof(upper=UPPER + "M99\n", lower=LOWER + "M70\nM99\n")
    assert lines_of(verdict, "holding:8-clamp") == {(("lower", 4),)}


def test_fault_of_the_second_pass_alone_is_found() -> None:
    """What one pass leaves behind meets the beginning of the next: the spindle turns when the C axis comes on."""
    once = "M45\nM46\nG97 S900 M03\n"
    single = proof(upper=UPPER + "M30\n", lower=LOWER + once + "M30\n")
    repeated = proof(upper=UPPER + "M99\n", lower=LOWER + once + "M99\n")
    assert "holding:10-c-on" not in codes(single)
    assert lines_of(repeated, "holding:10-c-on") == {(("lower", 4),)}


def test_third_pass_is_looked_at_while_the_second_leaves_a_new_state() -> None:
    """Two channels that do not repeat in step reach states that no two passes have."""
    upper = UPPER.replace("M701\n", "") + "M69\nM68\nM99\n"
    lower = LOWER.replace("M701\n", "") + "G04 X0.1\nM70\nM99\n"
    assert "holding:8-clamp" in codes(proof(upper=upper, lower=lower))


def test_finding_that_only_skipping_shows_says_so() -> None:
    """With the stop skipped, the clamp opens on a turning spindle; the run that does not skip is in order."""
    lower = LOWER + "G97 S900 M03\n/M05\nM69\nM68\nM05\nM30\n"
    verdict = proof(upper=UPPER + "M30\n", lower=lower)
    found = {f.name: f.skipped for f in verdict.findings}
    assert found == {"holding:2": True, "holding:skip-state": False}


def test_deadlock_stops_the_search_and_says_where() -> None:
    """Behind a deadlock no interleaving is looked at, and the verdict says so."""
    upper = UPPER + "M702\nM703\nM69\nM30\n"
    verdict = proof(upper=upper, lower=LOWER + "M703\nM702\nM70\nM30\n")
    assert verdict.checked == "up to the waits at upper line 4, lower line 4; nothing behind was checked"
    assert "holding:8-clamp" not in codes(verdict)


def test_endless_company_does_not_hide_a_deadlock() -> None:
    """Two of three channels stand for ever while the third goes round without them."""
    from support.proofs import three_channel_machine  # noqa: PLC0415 # needed by this test alone

    verdict = proof(
        three_channel_machine(),
        upper="G28 U0. V0. W0.\nM701 P12\nM702 P12\nM30\n",
        lower="G28 U0. W0.\nM702 P12\nM701 P12\nM30\n",
        rear="G28 U0. W0.\nM99\n",
    )
    assert lines_of(verdict, "waits:deadlock") == {(("upper", 2), ("lower", 2))}


def test_findings_are_sorted_and_none_stands_twice() -> None:
    """Over random pairs: errors, then warnings, then notes; by rule, code and lines; each identity once."""
    rng = random.Random(3)  # noqa: S311 # a fixed sequence is wanted
    weights = list(Severity)
    for _ in range(60):
        verdict = proof(demo_machine(), **random_texts(rng, ("upper", "lower"), names=False))
        keys = [(weights.index(f.severity), f.rule, f.code) for f in verdict.findings]
        assert keys == sorted(keys)
        identities = [f.identity for f in verdict.findings]
        assert len(set(identities)) == len(identities)


def test_trace_is_shortest() -> None:
    """The way to a meeting in a zone has the blocks of both channels up to their entering blocks and no others."""
    upper = UPPER + "T1\nG00 X200.\nG00 X60.\nG00 X61.\nG00 X200.\nM30\n"
    lower = LOWER + "T0101\nG00 X60.\nG00 X200.\nM30\n"
    (fault,) = (f for f in proof(upper=upper, lower=lower).findings if f.name == "zones:left")
    assert sorted(fault.trace) == [("lower", 4), ("lower", 5), ("upper", 4), ("upper", 5), ("upper", 6)]


def test_blocks_that_touch_nothing_shared_add_no_states() -> None:
    """A thousand moves inside a zone leave the number of states as it was."""
    lower = LOWER + "T0101\nG97 S900 M03\nG00 X60. Z2.\n{}G00 X200.\nM05\nM30\n"
    moves = "".join(f"G99 G01 X{20 + i % 7}. F0.2\n" for i in range(1000))
    few = proof(upper=UPPER + "M30\n", lower=lower.format("G99 G01 X20. F0.2\n"))
    many = proof(upper=UPPER + "M30\n", lower=lower.format(moves))
    assert few.states == many.states


@pytest.mark.parametrize(
    "text", ["", "%\n", "\0\0", "M99\n", "G28 A\n", "O1\nM98 P1\nM99\n", "N10 GOTO 10\n", "M701\n"]
)
def test_odd_programs_get_a_verdict(text: str) -> None:
    """Empty, endless and broken programs are proved like any other."""
    for upper, lower in ((text, text), (text, LOWER + "M30\n"), (UPPER + "M30\n", text)):
        assert proof(upper=upper, lower=lower).checked


def test_ten_thousand_waits_are_proved() -> None:
    """The search is linear in the number of rendezvous."""
    waits = "".join(f"M{701 + i % 99}\n" for i in range(10_000))
    verdict = proof(upper=waits + "M30\n", lower=waits + "M30\n")
    assert codes(verdict) == {"waits:not-rising"}


def test_search_for_garbage_goes_on_behind_a_proof() -> None:
    """A proof pauses the search for garbage, and leaves it as it was."""
    for is_on in (True, False):
        (gc.enable if is_on else gc.disable)()
        try:
            proof(upper=UPPER + "M30\n", lower=LOWER + "M30\n")
            assert gc.isenabled() == is_on
        finally:
            gc.enable()


def test_proof_leaves_no_rings_behind() -> None:
    """What a proof has made is gone when it is done, so that nothing grows where the search is paused."""
    texts = {"upper": UPPER + "G00 X300.\n" * 300 + "M30\n", "lower": LOWER + "M70\n" * 30 + "M30\n"}
    proof(**texts)
    gc.collect()
    gc.disable()
    try:
        proof(**texts)
        assert gc.collect() == 0
    finally:
        gc.enable()
