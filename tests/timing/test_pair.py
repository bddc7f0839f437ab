"""The timeline of whole pairs: who waits for whom, what decides, what a second saved brings, and pairs that hang."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest

from gemel.timing import Timeline, time_pair
from support.proofs import demo_machine, three_channel_machine
from support.timed import timeline, timeline_of

_OUTPUT = Path(__file__).parents[2] / "output" / "twin-turnmill"
_MARK_S = float(demo_machine().durations.wait)


def _dwells(end: str, *items: float | str) -> str:
    """Operations that dwell, each under a comment; words stand for themselves."""
    lines = []
    for place, item in enumerate(items):
        if isinstance(item, str):
            lines.append(item)
        else:
            lines += [f"(PART {place})", f"N{place + 1} G04 X{item}"]
    return "\n".join([*lines, end, ""])


def _demo(name: str, override: float = 1.0) -> Timeline:
    files = {c: next((_OUTPUT / name).glob(f"*.{c}.nc")) for c in ("upper", "lower")}
    return time_pair({c: (p.name, p.read_bytes()) for c, p in files.items()}, demo_machine(), override=override)


def test_worked_case_from_text() -> None:
    """40 25 30 12 against 35 60 20 12 with three marks take 142 s and the marks' own time, and lose 35 s and 15 s."""
    upper = _dwells("M30", 40.0, "M701", 25.0, "M702", 30.0, "M703", 12.0)
    lower = _dwells("M30", 35.0, "M701", 60.0, "M702", 20.0, "M703", 12.0)
    timed = timeline(upper=upper, lower=lower)
    assert timed.cycle_s == timed.period_s == pytest.approx(142 + 3 * _MARK_S)
    assert timed.load("upper").lost_s == pytest.approx(35)
    assert timed.load("lower").lost_s == pytest.approx(15)
    assert [m.last for m in timed.meetings] == [("upper",), ("lower",), ("upper",)]
    assert [m.lost_s for m in timed.meetings] == pytest.approx([5, 35, 10])


def test_critical_path_and_gains() -> None:
    """The path goes through the longer side of each stage; a second saved there is a second, elsewhere nothing."""
    upper = _dwells("M30", 40.0, "M701", 25.0, "M702", 30.0)
    lower = _dwells("M30", 35.0, "M701", 25.5, "M702", 20.0)
    timed = timeline(upper=upper, lower=lower)
    path = [(p.channel, p.seconds) for p in timed.critical if p.name != "wait mark"]
    assert path == [("upper", 40.0), ("lower", 25.5), ("upper", 30.0)]
    gains = {(b.channel, b.seconds): b.gain_s for b in timed.bars}
    assert gains["upper", 40.0] == gains["upper", 30.0] == pytest.approx(1)
    assert gains["lower", 25.5] == pytest.approx(0.5)
    assert gains["upper", 25.0] == gains["lower", 35.0] == gains["lower", 20.0] == pytest.approx(0)
    assert sum(p.seconds for p in timed.critical) == pytest.approx(timed.cycle_s)


def test_an_operation_of_less_than_a_second_gains_what_it_takes() -> None:
    """Nobody can save more of an operation than it takes."""
    timed = timeline(upper="M701\nM30\n", lower=_dwells("M30", 0.25, "M701"))
    assert [b.gain_s for b in timed.bars] == pytest.approx([0.25])


def test_parts_overlap_where_programs_repeat() -> None:
    """With one mark in the middle, a part takes the longer channel all round, not the longer side of each half."""
    upper = _dwells("M99", 10.0, "M701", 30.0)
    lower = _dwells("M99", 35.0, "M701", 5.0)
    once = timeline(upper=upper.replace("M99", "M30"), lower=lower.replace("M99", "M30"))
    timed = timeline(upper=upper, lower=lower)
    assert once.period_s == once.cycle_s == pytest.approx(35 + 30 + _MARK_S)
    assert timed.repeats
    assert timed.period_s == pytest.approx(40 + _MARK_S)
    assert timed.cycle_s is not None
    assert timed.period_s is not None
    assert timed.cycle_s > timed.period_s
    assert sum(p.seconds for p in timed.critical) == pytest.approx(timed.period_s)
    starts = {lane.channel: lane.start_s for lane in timed.lanes}
    ends = {lane.channel: lane.end_s for lane in timed.lanes}
    assert min(starts.values()) == 0
    for channel, start_s in starts.items():
        assert ends[channel] - start_s == pytest.approx(timed.period_s)


def test_a_repeating_pair_is_timed_in_its_steady_state() -> None:
    """The first pass begins with tools at home and spindles standing; what counts is a pass behind another."""
    text = "T0101\nG00 X100.\n(CUT)\nN1 G04 X5.\nG00 X390.\nM701\nM99\n"
    timed = timeline(upper="M701\nM99\n", lower=text)
    assert [b.spent.tool_change_s for b in timed.lane("lower").blocks if b.step.tool] == [0.0]
    assert timed.lane("lower").bars[0].blocks[0].step.pass_number == 2


def test_marks_at_the_end_let_no_parts_overlap() -> None:
    """With a mark for everybody behind all work, the period is the sum of the longer sides, as for one part."""
    upper = _dwells("M99", 10.0, "M701", 30.0, "M702")
    lower = _dwells("M99", 35.0, "M701", 5.0, "M702")
    timed = timeline(upper=upper, lower=lower)
    assert timed.period_s == timed.cycle_s == pytest.approx(65 + 2 * _MARK_S)


def test_a_channel_with_two_marks_a_pass() -> None:
    """Where one channel makes two passes while the other makes one, a round is timed whole."""
    timed = timeline(upper=_dwells("M99", 10.0, "M701", 12.0, "M701"), lower=_dwells("M99", 4.0, "M701"))
    assert not timed.stuck
    assert timed.period_s == pytest.approx(22 + 2 * _MARK_S)
    assert [len(lane.bars) for lane in timed.lanes] == [2, 2]


def test_a_pair_that_hangs() -> None:
    """Nobody is told a cycle time of a pair that hangs; where each channel stands is said, and what came before."""
    timed = timeline(
        upper=_dwells("M30", 3.0, "M701", 2.0, "M702"), lower=_dwells("M30", 5.0, "M701", 1.0, "M703", 9.0)
    )
    assert timed.cycle_s is None
    assert timed.period_s is None
    assert [(s.channel, s.number, s.span.line) for s in timed.stuck] == [("upper", 702, 6), ("lower", 703, 6)]
    assert [m.number for m in timed.meetings] == [701]
    assert [b.seconds for b in timed.bars] == [3.0, 2.0, 5.0, 1.0]
    assert timed.loads == ()
    assert timed.critical == ()


def test_a_pair_of_which_one_channel_repeats() -> None:
    """A channel that ends does not come back: the other's second pass is not timed."""
    timed = timeline(upper=_dwells("M99", 3.0, "M701"), lower=_dwells("M30", 5.0, "M701"))
    assert not timed.repeats
    assert timed.period_s == timed.cycle_s == pytest.approx(5 + _MARK_S)


def test_three_channels() -> None:
    """A mark that names two of three channels holds those two."""
    texts = {
        "upper": _dwells("M30", 3.0, "M701 P12", 1.0),
        "lower": _dwells("M30", 9.0, "M701 P12", 1.0, "M702 P23", 1.0),
        "rear": _dwells("M30", 20.0, "M702 P23", 1.0),
    }
    timed = timeline_of(texts, three_channel_machine())
    assert timed.lane("upper").end_s == pytest.approx(10 + _MARK_S)
    assert timed.cycle_s == pytest.approx(21 + _MARK_S)
    assert [tuple(a.channel for a in m.arrivals) for m in timed.meetings] == [("upper", "lower"), ("lower", "rear")]
    assert timed.load("lower").lost_s == pytest.approx(20 - (10 + _MARK_S))


@pytest.mark.parametrize("name", sorted(p.name for p in _OUTPUT.glob("*-*")))
def test_demo_pairs_add_up(name: str) -> None:
    """In every demo pair each channel's operations, marks and waiting are its whole time, and nothing is unknown."""
    timed = _demo(name)
    assert timed.is_exact
    assert timed.cycle_s is not None
    for lane in timed.lanes:
        load = timed.load(lane.channel)
        assert lane.end_s - lane.start_s == pytest.approx(load.busy_s + load.lost_s)
        for one, other in pairwise(lane.bars):
            assert one.end_s <= other.start_s + 1e-9
        assert load.cutting_s <= load.busy_s <= timed.cycle_s + 1e-9
    assert sum(p.seconds for p in timed.critical) == pytest.approx(timed.period_s)
    assert max(b.gain_s for b in timed.bars) == pytest.approx(1)
    for spindle in timed.spindles:
        for before, behind in pairwise(spindle.spans):
            assert before.end_s <= behind.start_s + 1e-9


def test_half_the_override_takes_longer_by_the_feeds_on_the_path() -> None:
    """At 50 % a demo pair takes longer, by no more than twice."""
    full, half = _demo("port-block-20"), _demo("port-block-20", 0.5)
    assert full.cycle_s is not None
    assert half.cycle_s is not None
    assert full.cycle_s < half.cycle_s < 2 * full.cycle_s


def test_spindles_in_time() -> None:
    """A spindle's lane says when it turns and when its C axis is on."""
    timed = _demo("port-block-20")
    lanes = {(s.name, s.is_tool_drive): s for s in timed.spindles}
    states = [s.state for s in lanes["left", False].spans]
    assert (states[0], states[-1]) == ("turning", "turning")
    assert "c-axis" in states
    assert all(s.rpm_high <= 5000 for s in lanes["left", False].spans)
    assert all(s.state == "turning" for s in lanes["upper", True].spans)


def test_the_right_spindle_follows_while_synchronised() -> None:
    """While synchronised the right spindle turns as the left does, at constant surface speed too."""
    timed = _demo("port-block-20")
    left = next(s for s in timed.spindles if s.name == "left").spans[-1]
    right = [s for s in next(s for s in timed.spindles if s.name == "right").spans if s.start_s < left.end_s]
    assert right[0].rpm_high == pytest.approx(left.rpm_high)
    assert right[0].start_s == pytest.approx(left.start_s)


def test_an_override_of_nothing_is_refused() -> None:
    """A feed of nothing never ends: that is a fault of the caller."""
    for override in (0.0, -1.0, float("nan")):
        with pytest.raises(ValueError, match="above zero"):
            timeline_of({"lower": "M30\n"}, override=override)


def test_subprograms_of_another_file() -> None:
    """A subprogram in a further file is timed where it is called, by each channel that calls it."""
    shared = ("shared.nc", b"O20 (PROBE)\nT0101\nG04 X2.\nM99\n")
    programs = {"lower": ("a.nc", b"M98 P20 L2\nM30\n")}
    timed = time_pair(programs, demo_machine(), further=[shared])
    assert [b.name for b in timed.bars] == ["PROBE"] * 2
    assert sum(b.spent.dwell_s for b in timed.bars) == 4
    assert {b.file for b in timed.bars} == {"shared.nc"}
    assert [u.block for u in time_pair(programs, demo_machine()).unknown] == ["M98 P20 L2"]


def test_the_same_texts_give_the_same_timeline() -> None:
    """Timing is pure: twice the same input, twice the same result."""
    assert repr(_demo("sensor-collar-16").loads) == repr(_demo("sensor-collar-16").loads)
    assert _demo("sensor-collar-16").critical == _demo("sensor-collar-16").critical
