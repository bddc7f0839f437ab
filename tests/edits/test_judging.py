"""What edits do to findings: the same ones are known again wherever they stand, and what is new is told from it."""

from __future__ import annotations

from dataclasses import replace

from gemel.edits.judging import between
from gemel.edits.spelling import Speller
from gemel.findings import Label, Severity, Span
from gemel.machines.dialect import dialect_of
from gemel.proving import Fault, Verdict
from support.proofs import demo_machine

MACHINE = demo_machine()
SPELLERS = {name: Speller(dialect_of(MACHINE, name)) for name in MACHINE.channels}


def fault(code: str, *places: tuple[str, int, str], severity: Severity = Severity.ERROR) -> Fault:
    labels = tuple(Label(Span("a.nc", line), text, "", channel) for channel, line, text in places)
    return Fault("zones", code, severity, f"cause of {code}", labels, "mend it")


def verdict(*faults: Fault) -> Verdict:
    return Verdict(faults, {}, "all", marks=dict.fromkeys(SPELLERS, ()))


LEFT = fault("left", ("upper", 30, "N20 G00 X20.1 (FLATS)"), ("lower", 40, "G00 X0."))


def test_a_finding_is_the_same_wherever_its_blocks_stand_and_however_they_are_spelled() -> None:
    """Other lines, numbers, comments, blanks, zeros and case: neither new nor gone."""
    moved = fault("left", ("lower", 7, "N900 g0x0"), ("upper", 99, "G00X20.100"))
    assert between(verdict(LEFT), verdict(moved), SPELLERS)[:3] == ((), (), 1)


def test_another_block_another_code_another_weight_is_another_finding() -> None:
    """What is not the same in code, weight, channel or meaning of a block is new, and the old one gone."""
    others = (
        fault("left", ("upper", 30, "N20 G00 X20.2 (FLATS)"), ("lower", 40, "G00 X0.")),
        fault("right", ("upper", 30, "N20 G00 X20.1"), ("lower", 40, "G00 X0.")),
        fault("left", ("lower", 30, "N20 G00 X20.1"), ("upper", 40, "G00 X0.")),
        replace(LEFT, severity=Severity.WARNING),
        replace(LEFT, skipped=True),
    )
    for other in others:
        change = between(verdict(LEFT), verdict(other), SPELLERS)
        assert (change.new, change.gone, change.both) == ((other,), (LEFT,), 0)


def test_equal_findings_are_counted() -> None:
    """A second finding on a block like the first one's is new; of two, one may go."""
    again = fault("left", ("upper", 60, "G00 X20.1"), ("lower", 40, "G00 X0."))
    came = between(verdict(LEFT), verdict(LEFT, again), SPELLERS)
    assert (len(came.new), came.gone, came.both) == (1, (), 1)
    went = between(verdict(LEFT, again), verdict(LEFT), SPELLERS)
    assert (went.new, len(went.gone), went.both) == ((), 1, 1)


def test_errors_come_before_warnings_and_the_broken_wait_before_what_follows_from_it() -> None:
    """A deadlock is first; what stands behind it in both channels may follow from it, and says so."""
    deadlock = replace(fault("deadlock", ("upper", 20, "M702"), ("lower", 20, "M703")), rule="waits")
    warning = fault("slow", ("upper", 5, "G01 X1."), severity=Severity.WARNING)
    later = fault("left", ("upper", 90, "G00 X1."), ("lower", 95, "G00 X2."))
    change = between(verdict(), verdict(warning, later, deadlock), SPELLERS)
    assert [one.code for one in change.new] == ["deadlock", "left", "slow"]
    assert [change.may_follow(one) for one in change.new] == [False, True, False] or change.may_follow(later)
    assert change.errors == (deadlock, later)
