"""Power and torque in a proof: which drive could do the cut instead, and what is said where nothing is known."""

from __future__ import annotations

from gemel.proving import headline
from support.cuts import HEAD, TURRET, facts
from support.proofs import proof


def _turret(body: str) -> dict[str, str]:
    return {"upper": HEAD + "M30\n", "lower": TURRET + body + "M30\n"}


def _plunge(rpm: int, feed: int) -> str:
    """A drill of 30 along the turret's live drive, off the axis of the standing spindle."""
    return (
        f"T0808\nG97 G98 G54\nM05\nM45\nG97 S{rpm} M103\nG00 C0.\nM89\nG00 Z5.\nG00 X20.\n"
        f"G83 X20. Z-30. F{feed}.\nG80\nG00 X130.\nM105\nM90\nM46\n"
    )


def test_a_cut_that_the_head_could_do_says_so() -> None:
    """A cut too heavy for the turret's live drive names the head's drive, which is stronger at this speed."""
    verdict = proof(None, facts(), **_turret(_plunge(rpm=800, feed=120)))
    [fault] = [f for f in verdict.findings if f.name == "limits:torque"]
    assert "the tool drive of lower (turret) has 24.0 N m at 800 rpm" in fault.cause
    assert "which the tool drive of upper (milling head) could do" in fault.cause


def test_a_cut_that_no_tool_drive_can_do_says_so() -> None:
    """Where the head is too weak as well, that is said."""
    verdict = proof(None, facts(), **_turret(_plunge(rpm=800, feed=600)))
    [fault] = [f for f in verdict.findings if f.name == "limits:torque"]
    assert "no other tool drive could do it" in fault.cause


def test_without_a_material_the_verdict_says_what_was_not_checked() -> None:
    """A pair that cuts and whose material nobody knows never passes for checked in silence."""
    verdict = proof(**_turret(_plunge(rpm=800, feed=600)))
    assert not [f for f in verdict.findings if f.code in {"power", "torque"}]
    assert verdict.not_checked == ("power and torque (material unknown: name the family)",)
    assert "not checked: power and torque (material unknown: name the family)" in headline(verdict)


def test_a_pair_without_a_cut_has_nothing_unchecked() -> None:
    """Where nothing is cut, nothing is missing."""
    assert not proof(**_turret("")).not_checked


def test_an_unknown_tool_is_named() -> None:
    """A station that the family does not fill is said with the first block and how many more there are."""
    body = "T0606\nG97 G99 G54\nG97 S800 M03\nG00 Z2.\nG00 X50.\nG01 Z-10. F0.2\nG01 Z-20. F0.2\nG00 X130.\nM05\n"
    verdict = proof(None, facts(), **_turret(body))
    [said] = verdict.not_checked
    assert said == "power and torque of lower line 10 and 1 more (the family has no tool in station 6 of lower)"


def test_one_warning_for_a_tool_however_many_blocks_are_too_heavy() -> None:
    """Five heavy passes of one tool are one warning, at the heaviest; the next use of the tool has its own."""
    turn = "G00 Z2.\nG00 X{}\nG01 Z-40. F0.5\nG00 X66.\n"
    use = "T0101\nG97 G99 G54\nG97 S400 M03\nG00 X66.\n{}G00 X130.\nM05\n"
    body = use.format(turn.format("41.") + turn.format("21.")) + "T0303\n" + use.format(turn.format("1."))
    verdict = proof(None, facts(), **_turret(body))
    faults = [f for f in verdict.findings if f.name == "limits:torque"]
    assert [f.labels[0].text for f in faults] == ["G01 Z-40. F0.5"]
