"""The restart table, held against what the programs say at each mark."""

from __future__ import annotations

import pytest

from gemel.proving.facts import LEFT, RIGHT
from gemel.proving.shared import JOINED, NOTHING, PIECE
from gemel.reports.progress import done_before
from gemel.reports.restart import mark_states
from gemel.reports.restart_words import Done, checks_of, slide_words, spindle_words
from support.pages import EXAMPLES, sheet_source


@pytest.mark.parametrize("example", EXAMPLES, ids=["-".join(e) for e in EXAMPLES])
def test_every_mark_has_a_row_with_its_line_in_every_channel(example: tuple[str, str, str]) -> None:
    """A restart point names, for each channel, the very block that holds the mark."""
    source = sheet_source(*example)
    states = mark_states(source.pair)
    plan = next(iter(source.plan.channels.values()))
    assert [s.number for s in states] == [stage.mark.number for stage in (*plan.stages, plan.closing)]
    for state in states:
        assert {s.channel for s in state.standings} == set(source.machine.channels)
        for standing in state.standings:
            line = source.pair.texts[standing.channel].files[0][standing.line - 1].text
            assert str(state.number) in line
            if standing.sequence is not None:
                assert int(line.removeprefix("N").split()[0]) == standing.sequence


def test_port_block_holds_and_lets_go_as_its_programs_say() -> None:
    """Up to the cut-off the left clamp holds the bar; behind it the right one holds the part, until it is put away."""
    source = sheet_source("twin-turnmill", "port-block", "65")
    held = {s.number: {shared.held for shared in s.states} for s in mark_states(source.pair)}
    assert held == {701: {NOTHING}, 702: {NOTHING}, 703: {NOTHING}, 704: {PIECE}, 705: {PIECE}, 706: {NOTHING}}
    for state in mark_states(source.pair):
        assert {shared.turning for shared in state.states} == {0}
        assert {shared.closed & LEFT for shared in state.states} == {LEFT}
        assert {bool(shared.closed & RIGHT) for shared in state.states} == {held[state.number] == {PIECE}}


def test_repeating_pair_tells_its_first_pass_apart() -> None:
    """At the top of a later pass the right spindle holds the part before; in the first pass it holds nothing."""
    source = sheet_source("twin-turnmill", "sensor-collar", "16")
    first = mark_states(source.pair)[0]
    assert {shared.held for shared in first.states} == {PIECE}
    assert {shared.held for shared in first.first} == {NOTHING}
    assert any("first pass" in check for check in checks_of(first, Done()))


def test_state_that_must_be_set_by_hand_has_its_code() -> None:
    """A clamp that must be closed names the code that closes it, and is told apart from how a reset machine stands."""
    source = sheet_source("twin-turnmill", "port-block", "65")
    states = {s.number: s for s in mark_states(source.pair)}
    words = {w.text: w.is_rest for w in spindle_words(states[704].states, RIGHT, source.machine)}
    assert words == {
        "holds the part, cut off": False,
        "clamp closed (M168)": False,
        "stopped": True,
        "C axis off": True,
    }
    assert [w.text for w in slide_words(states[704].states, source.machine)] == [
        "slide back",
        "spindles apart",
        "catcher in",
    ]


def test_states_that_differ_are_said_both() -> None:
    """Where the interleavings leave two states open, both are named: nobody is told a half truth."""
    source = sheet_source("twin-turnmill", "port-block", "65")
    one = mark_states(source.pair)[0].states[0]
    both = (one, one._replace(c_on=LEFT, closed=0, held=JOINED))
    words = [w.text for w in spindle_words(both, LEFT, source.machine)]
    assert "clamp closed (M68) or clamp open (M69)" in words
    assert "C axis off or C axis on (M45)" in words


def test_what_is_done_follows_the_part_through_the_cut_off() -> None:
    """Before the cut-off work counts for the bar, behind it for the part on its second side, and is gone with it."""
    source = sheet_source("twin-turnmill", "valve-stem", "60")
    done = done_before(source.part, source.machine)
    assert done[0] == Done()
    assert done[1].on_bar[-1] == "cut thread"
    assert done[2].on_bar[-1] == "drill hole"
    assert done[3] == Done()
    assert done[4] == Done((), ("face back", "chamfer back"))
    assert done[5] == Done()
