"""Fewer rapids for the same way: nothing that cuts moves, no rapid leaves its line."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from gemel.operations.steps import Drill, Feed, Home, Rapid, SlideMove, Step, ToolCall
from gemel.operations.tidy import without_idle_rapids

_AT = st.sampled_from([0.0, 2.0, 20.0, 120.0])
_AXES = st.dictionaries(st.sampled_from(["x", "y", "z", "c"]), _AT, min_size=1)
STEPS = st.lists(
    st.one_of(
        _AXES.map(lambda axes: Rapid(**axes)),
        _AXES.map(lambda axes: Feed(x=axes.get("x"), y=axes.get("y"), z=axes.get("z"), c=axes.get("c"), feed=0.1)),
        st.builds(Drill, z=_AT, along=st.just("x"), depth=st.just(-3.0), clear=_AT),
        st.just(Home()),
        st.just(ToolCall("T1", "")),
        st.just(SlideMove(position=-500)),
    ),
    max_size=12,
)


def _cuts(steps: list[Step]) -> list[tuple[Step, dict[str, float]]]:
    """Every step but rapids, with where the axes stand before it."""
    found: list[tuple[Step, dict[str, float]]] = []
    where: dict[str, float] = {}
    for step in steps:
        if not isinstance(step, Rapid):
            found.append((step, dict(where)))
        if isinstance(step, Home | ToolCall):
            where.clear()
        elif not isinstance(step, SlideMove):
            where |= {axis: at for axis in "xyzc" if (at := getattr(step, axis)) is not None}
        if isinstance(step, Drill):
            where[step.along] = step.clear
    return found


@settings(max_examples=1000, deadline=None)
@given(STEPS)
def test_every_cut_starts_where_it_did(steps: list[Step]) -> None:
    """Whatever is left out, each other step finds the axes where they stood before."""
    assert _cuts(without_idle_rapids(steps)) == _cuts(steps)


@settings(max_examples=1000, deadline=None)
@given(STEPS)
def test_tidying_twice_changes_nothing(steps: list[Step]) -> None:
    """What was left has no idle rapid."""
    once = without_idle_rapids(steps)
    assert without_idle_rapids(once) == once


def test_what_is_idle() -> None:
    """A rapid to where the tool stands, and the first of two along one axis; not one that turns a corner."""
    steps: list[Step] = [Rapid(z=2), Rapid(x=20), Feed(x=0, feed=0.1), Rapid(x=20), Rapid(x=120), Rapid(x=120)]
    assert without_idle_rapids(steps) == [Rapid(z=2), Rapid(x=20), Feed(x=0, feed=0.1), Rapid(x=120)]


def test_a_detour_that_is_left_out_does_not_take_the_way_there_with_it() -> None:
    """Behind a rapid and back along X the tool still has to come to Z2."""
    steps: list[Step] = [Feed(x=0, feed=0.1), Rapid(z=2), Rapid(x=20), Rapid(x=0), Rapid(z=2), Feed(z=-1, feed=0.1)]
    assert without_idle_rapids(steps) == [Feed(x=0, feed=0.1), Rapid(z=2), Feed(z=-1, feed=0.1)]
