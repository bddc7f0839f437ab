"""Sentences of docs/proving.md that need more than one pair: the form of a verdict, bounds, three channels, choices."""

from __future__ import annotations

import json
from functools import partial
from importlib import import_module
from typing import TYPE_CHECKING

from gemel.proving import TABLE, as_json
from gemel.proving.explore import explore
from support.page import PAGE, Case, in_short, verdict_of
from support.proofs import codes, demo_machine, lines_of, proof, three_channel_machine

if TYPE_CHECKING:
    import pytest

    from gemel.proving import Verdict


def _shown(upper: str, lower: str, facts: tuple[tuple[str, str], ...] = ()) -> set[str]:
    return in_short(verdict_of(Case("", upper, lower, facts=facts)))


def _three(upper: str, lower: str, rear: str) -> Verdict:
    texts = {"upper": upper, "lower": lower, "rear": rear}
    return proof(three_channel_machine(), **{c: t.replace("|", "\n") + "\n" for c, t in texts.items()})


def test_json_of_a_fault_is_that_of_the_page() -> None:
    """Keys, their order, places, trace and shares are those of the page's example."""
    verdict = proof(
        upper="M701\nT1\nG00 X30.\nG00 X200.\nM30\n", lower="M701\nT0101\nG28 U0.\n  G00 X60. \nM456\nG28 U0\nM30\n"
    )
    found = json.loads(as_json(verdict))
    assert list(found) == ["verdict", "findings", "understood", "checked"]
    assert found["verdict"] == "fail"
    assert found["understood"] == {"upper": 1.0, "lower": 0.857}
    assert found["checked"] == "all"
    zone, note = found["findings"]
    assert list(zone) == ["rule", "code", "severity", "where", "cause", "remedy", "trace"]
    assert (zone["rule"], zone["code"], zone["severity"]) == ("zones", "left", "error")
    assert zone["where"] == [
        {"channel": "upper", "file": "upper.nc", "line": 3, "block": "G00 X30."},
        {"channel": "lower", "file": "lower.nc", "line": 4, "block": "G00 X60."},
    ]
    assert sorted(map(tuple, zone["trace"])) == [("lower", 2), ("lower", 3), ("lower", 4), ("upper", 2), ("upper", 3)]
    assert zone["cause"]
    assert zone["remedy"]
    assert (note["rule"], note["code"], note["severity"]) == ("words", "not-understood", "note")


def test_json_has_the_whole_block_of_a_word() -> None:
    """`block` is the block as it stands, also where one word of it is at fault."""
    found = json.loads(as_json(proof(upper="M30\n", lower="N10 G00 X300 (TO THE LEFT)\nM30\n")))
    assert found["findings"][0]["where"][0]["block"] == "N10 G00 X300 (TO THE LEFT)"


def test_findings_are_sorted_by_lines_within_a_code() -> None:
    """Among findings of one code the lines decide, then the channels."""
    verdict = proof(upper="M69\nM69\nM30\n", lower="M68\nM69 M45\nM46\nM30\n")
    lines = [[label.span.line for label in f.labels] for f in verdict.findings if f.name == "order:clamp-left"]
    assert lines == sorted(lines)
    assert len(lines) == 4


def test_understood_is_the_share_of_blocks_without_a_strange_word() -> None:
    """One block of four; a subprogram counts at every call; a share is never rounded up to all."""
    assert proof(upper="M30\n", lower="G04 X1.\nM456\nM457 M458\nM30\n").understood["lower"] == 0.5
    called = proof(upper="M30\n", lower="M98 P7 L2\nM30\nO7\nM456\nM99\n").understood["lower"]
    assert abs(called - (1 - 2 / 8)) < 1e-9
    long = proof(upper="M30\n", lower="G04 X1.\n" * 5000 + "M456\nM30\n")
    assert json.loads(as_json(long))["understood"]["lower"] == 0.999


def test_all_findings_are_reported() -> None:
    """Three hundred faults of one kind are three hundred findings."""
    verdict = proof(upper="M30\n", lower="M70\n" * 300 + "M30\n")
    assert len(lines_of(verdict, "holding:8-clamp")) == 300


def test_every_family_of_the_table_is_on_the_page() -> None:
    """The page has a paragraph for each family of codes, and names each of its codes."""
    page = PAGE.read_text()
    for entry in TABLE:
        assert f"**{entry.rule}**" in page
        things = page[page.index("**order**") : page.index("**words**")]
        assert f"`{entry.code}`" in page or f"`{entry.name}`" in page or entry.code in things.split("`")[1].split(), (
            entry.name
        )


def test_machine_file_says_what_acts_after_motion() -> None:
    """Where the machine file lets the stop code act before the motion, the cut is made with a standing spindle."""
    demo = demo_machine()
    early = [c for c in demo.codes.after_motion if c != "M05"]
    other = demo.model_copy(update={"codes": demo.codes.model_copy(update={"after_motion": early})})
    lower = "T0101\nG97 S900 M03\nG00 X60.\nM05 G01 X20. F0.2\nG00 X200.\nM30\n"
    assert "holding:9-stopped" not in codes(proof(demo, upper="M30\n", lower=lower))
    assert lines_of(proof(other, upper="M30\n", lower=lower), "holding:9-stopped") == {(("lower", 4),)}


def test_passes_that_go_on_differing_are_bounded_and_said() -> None:
    """A channel that moves on in every pass is followed for five of them, and a note says so."""
    verdict = proof(upper="M99\n", lower="G00 U-1.\nM99\n")
    (note,) = verdict.findings
    assert note.name == "words:bounded"
    assert "5 of them" in note.cause


def test_too_many_states_are_bounded_and_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the search stops early, an error says so and `checked` is not `all`."""
    monkeypatch.setattr(import_module("gemel.proving.prove"), "explore", partial(explore, limit=20))
    verdict = proof(upper="M45\nM46\n" * 9 + "M30\n", lower="M73\nM74\n" * 9 + "M30\n")
    assert "words:not-finished" in codes(verdict)
    assert not verdict.passes
    assert verdict.checked != "all"


def test_flood_of_faults_is_bounded_and_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of a product of faults so many are noted, and a note says so; who stands for ever is told all the same."""
    monkeypatch.setattr("gemel.proving.sightings.MOST_SIGHTINGS", 50)
    visits = "G00 X60.\nG00 X200.\n" * 20
    verdict = proof(upper=f"T1\n{visits}M701\nM30\n", lower=f"T0101\n{visits}M30\n")
    assert sum(f.rule == "zones" for f in verdict.findings) == 50
    assert {"words:bounded", "waits:ended"} <= codes(verdict)


def test_traces_of_a_flood_are_bounded_and_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where all traces together would be too long, the last ones are left out, and a note says so."""
    monkeypatch.setattr("gemel.proving.trace.MOST_TRACED", 100)
    visits = "G00 X60.\nG00 X200.\n" * 20
    verdict = proof(upper=f"T1\n{visits}M30\n", lower=f"T0101\n{visits}M30\n")
    assert sum(f.rule == "zones" for f in verdict.findings) == 400
    assert sum(bool(f.trace) for f in verdict.findings) < 20
    assert "words:bounded" in codes(verdict)


def test_no_shared_wait_is_no_first_one() -> None:
    """Without a shared wait nothing is told of what comes before it; a wait for oneself alone is not shared."""
    assert _shown("M30", "T0101 | G00 X60. | G00 X200. | M30") == set()
    alone = _three("M30", "M701 P2|T0101|G00 X60.|G00 X200.|M701 P23|M30", "M701 P23|M30")
    assert lines_of(alone, "waits:below-before-first") == {(("lower", 3),)}


def test_count_compares_pass_with_pass() -> None:
    """Equal counts in each pass are no fault; one that ends while the other repeats meets nothing in its second."""
    assert _shown("M701 | M99", "M701 | M99") == set()
    assert _shown("M701 | M99", "M701 | M30") == {"e waits:count lower-1 upper-1", "e waits:ended upper-1"}


def test_who_waits_for_an_ended_channel_is_in_no_ring() -> None:
    """The lower channel waits for the ended rear one, the upper for the lower: one finding, at the lower."""
    verdict = _three("M702 P12|M30", "M701 P23|M702 P12|M30", "M30")
    assert lines_of(verdict, "waits:ended") == {(("lower", 1),)}
    assert "waits:deadlock" not in codes(verdict)


def test_ring_of_three_is_one_deadlock() -> None:
    """Each of three channels waits for the next: one finding with all three blocks, and a trace up to them."""
    verdict = _three("M701 P12|M703 P13|M30", "M702 P23|M701 P12|M30", "M703 P13|M702 P23|M30")
    assert lines_of(verdict, "waits:deadlock") == {(("upper", 1), ("lower", 1), ("rear", 1))}
    assert verdict.checked.startswith("up to the waits at upper line 1, lower line 1, rear line 1")


def test_wait_for_some_channels_lets_the_third_go_on() -> None:
    """A wait of two orders the two; the third, which it does not name, meets both."""
    visit = "G00 X60.|G00 X200."
    ordered = _three(f"M701 P12|T1|{visit}|M30", f"T0101|{visit}|M701 P12|M30", "M30")
    assert not any(c.startswith("zones") for c in codes(ordered))
    free = _three(f"M701 P12|T1|{visit}|M30", f"T0101|{visit}|M701 P12|M30", "T0101 G28 X0.|M30")
    assert lines_of(free, "zones:left") == {(("upper", 3), ("rear", 1))}


def test_order_passes_through_a_third_channel() -> None:
    """The upper meets the rear and then the rear the lower: the upper's block is before the lower's."""
    upper, lower = "M69|M701 P13|M30", "M702 P23|M68|M30"
    assert "order:clamp-left" not in codes(_three(upper, lower, "M701 P13|M702 P23|M30"))
    assert "order:clamp-left" in codes(_three(upper, lower, "M702 P23|M701 P13|M30"))


def test_waits_under_one_number_may_name_different_channels() -> None:
    """The upper names all, the lower itself and the upper: both are let go once all stand at the number."""
    verdict = _three("M701 P123|M30", "M701 P12|M30", "M701 P123|M30")
    assert not {"waits:deadlock", "waits:ended"} & codes(verdict)


def test_text_is_looked_at_behind_a_deadlock() -> None:
    """Behind the waits where the channels stand, a point is missed, but no clamp."""
    found = _shown("M702 | M701 | M30", "M701 | M702 | M70 | G00 X300 | M30")
    assert {e for e in found if "waits" not in e} == {"e words:decimal-point lower-4"}


def test_without_a_catcher_a_dropped_piece_is_a_warning() -> None:
    """On a machine without a catcher somebody takes the part where the right clamp opens."""
    part = "G53 A-300. | M168 | M131 | T0303 | G97 S900 M03 | G00 X60. | G01 X-1. F0.1 | G00 X200. | M05 | M132"
    assert _shown("M30", f"{part} | M169 | A0. | M30", (("catcher", "none"),)) == {"w holding:6 lower-11"}


def test_fault_of_the_text_alone_has_no_trace() -> None:
    """A missing point needs no interleaving."""
    (fault,) = proof(upper="M30\n", lower="G00 X300\nM30\n").findings
    assert fault.trace == ()


def test_slide_block_under_way_is_forward_to_its_end() -> None:
    """Two channels bring the slide back: the block of the one is under way while the other goes to the workpiece."""
    verdict = _three(
        "M701 P123|M30",
        "M701 P123|A0.|T0101|G00 X60.|G00 X200.|M702 P23|M30",
        "A-300.|M701 P123|A0.|M702 P23|M30",
    )
    assert (("rear", 3), ("lower", 4)) in lines_of(verdict, "zones:slide")
