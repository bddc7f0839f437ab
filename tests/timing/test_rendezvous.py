"""The arithmetic of waiting against its definition: T = sum of max(a, b), and the laws that follow."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gemel.timing.rendezvous import Mark, match, match_round, trace, walk

Legs = list[list[float]]


def _walked(legs: Legs, marks: list[int] | None = None) -> tuple[float, list[float]]:
    """The time of the whole, and what each channel waits at marks that name everybody."""
    everybody = frozenset(range(len(legs)))
    numbers = list(range(len(legs[0]) - 1)) if marks is None else marks
    own = [[Mark(n, everybody - {c}) for n in numbers] for c in range(len(legs))]
    meetings, places = match(len(legs), lambda c, i: own[c][i] if i < len(own[c]) else None)
    assert places == (len(numbers),) * len(legs)
    result = walk(meetings, legs, [0.0] * len(legs))
    lost = [
        sum(d - a for a, d in zip(result.arrive[c], result.depart[c], strict=True)) + max(result.ends) - result.ends[c]
        for c in range(len(legs))
    ]
    return max(result.ends), lost


@pytest.mark.parametrize(
    ("a", "b", "whole", "lost"),
    [
        ([10, 3, 5], [4, 9, 5], 24, [6, 6]),
        ([40, 25, 30, 12], [35, 60, 20, 12], 142, [35, 15]),
        ([65, 30, 12], [95, 20, 12], 137, [30, 10]),
        ([107], [127], 127, [20, 0]),
    ],
)
def test_worked_cases(a: list[float], b: list[float], whole: float, lost: list[float]) -> None:
    """Four worked cases of two channels: all marks, one removed, none."""
    assert _walked([a, b]) == (whole, lost)


_LEG = st.floats(0, 100).map(lambda x: round(x, 3))
_PAIRS = st.integers(1, 6).flatmap(
    lambda n: st.tuples(st.lists(_LEG, min_size=n, max_size=n), st.lists(_LEG, min_size=n, max_size=n))
)


@given(_PAIRS)
def test_definition_and_bounds(pair: tuple[list[float], list[float]]) -> None:
    """T is the sum of the longer legs, between the longer channel and both together, and each channel plus its wait."""
    a, b = pair
    whole, (lost_a, lost_b) = _walked([a, b])
    assert whole == pytest.approx(sum(max(x, y) for x, y in zip(a, b, strict=True)))
    assert max(sum(a), sum(b)) - 1e-9 <= whole <= sum(a) + sum(b) + 1e-9
    assert whole == pytest.approx(sum(a) + lost_a)
    assert whole == pytest.approx(sum(b) + lost_b)


@given(_PAIRS.filter(lambda p: len(p[0]) > 1), st.data())
def test_removing_a_mark_never_lengthens(pair: tuple[list[float], list[float]], data: st.DataObject) -> None:
    """Two legs that become one never make the whole longer."""
    at = data.draw(st.integers(1, len(pair[0]) - 1))
    joined = [[*own[: at - 1], own[at - 1] + own[at], *own[at + 1 :]] for own in pair]
    assert _walked(joined)[0] <= _walked(list(pair))[0] + 1e-9


@given(_PAIRS, st.data(), st.floats(0, 50), st.floats(0, 10))
def test_laws(pair: tuple[list[float], list[float]], data: st.DataObject, more: float, factor: float) -> None:
    """Longer legs never shorten the whole, times k it is k times as long, swapped channels swap their waits only."""
    a, b = pair
    at = data.draw(st.integers(0, len(a) - 1))
    whole, lost = _walked([a, b])
    assert _walked([[*a[:at], a[at] + more, *a[at + 1 :]], b])[0] >= whole - 1e-9
    assert _walked([[x * factor for x in a], [x * factor for x in b]])[0] == pytest.approx(whole * factor)
    swapped, lost_swapped = _walked([b, a])
    assert [swapped, *lost_swapped] == pytest.approx([whole, *lost[::-1]])
    nothing = [[*own[:at], 0.0, *own[at:]] for own in (a, b)]
    assert _walked(nothing)[0] == pytest.approx(whole)


@given(st.integers(2, 4), st.integers(1, 5), st.data())
def test_the_critical_path_is_as_long_as_the_whole(channels: int, legs: int, data: st.DataObject) -> None:
    """The legs on the path add up to the whole, and the path runs through every mark that names everybody."""
    own = [data.draw(st.lists(_LEG, min_size=legs, max_size=legs)) for _ in range(channels)]
    marks = [[Mark(n, frozenset(range(channels)) - {c}) for n in range(legs - 1)] for c in range(channels)]
    meetings, _ = match(channels, lambda c, i: marks[c][i] if i < legs - 1 else None)
    result = walk(meetings, own, [0.0] * channels, mark_s=0.5)
    last = max(range(channels), key=lambda c: result.ends[c])
    path = trace(meetings, result, last)
    assert [leg.place for leg in path] == list(range(legs))
    length = sum(own[leg.channel][leg.place] for leg in path) + 0.5 * (legs - 1)
    assert length == pytest.approx(max(result.ends))


def test_marks_that_name_some() -> None:
    """A channel that a mark does not name goes on; those named wait for each other only."""
    marks = [[Mark(1, frozenset({1}))], [Mark(1, frozenset({0})), Mark(2, frozenset({2}))], [Mark(2, frozenset({1}))]]
    meetings, places = match(3, lambda c, i: marks[c][i] if i < len(marks[c]) else None)
    assert places == (1, 2, 1)
    result = walk(meetings, [[1, 1], [5, 5, 5], [2, 2]], [0.0] * 3)
    assert result.depart == [[5], [5, 10], [10]]
    assert result.ends == [6, 15, 12]


def test_channels_that_never_meet_stand_for_ever() -> None:
    """Marks in another order let nobody go, and the places say where each channel stands."""
    marks = [[Mark(1, frozenset({1})), Mark(2, frozenset({1}))], [Mark(2, frozenset({0})), Mark(1, frozenset({0}))]]
    meetings, places = match(2, lambda c, i: marks[c][i] if i < 2 else None)
    assert (meetings, places) == ([], (0, 0))
    assert match_round(marks) is None


def test_a_round_of_unlike_channels() -> None:
    """A channel with two marks a pass goes round once while one with a single mark goes round twice."""
    to_other = [frozenset({1}), frozenset({0})]
    found = match_round([[Mark(1, to_other[0]), Mark(1, to_other[0])], [Mark(1, to_other[1])]])
    assert found is not None
    assert found.passes == (1, 2)
    apart = match_round([[Mark(1, frozenset())], [], [Mark(2, frozenset())]])
    assert apart is not None
    assert (apart.passes, apart.groups) == ((1, 1, 1), ((0,), (1,), (2,)))


def test_every_removed_mark_of_a_worked_case() -> None:
    """Of the three marks of a worked case each removed alone, or any two, leaves the whole at 142 or less."""
    a, b = [40, 25, 30, 12], [35, 60, 20, 12]

    def without(own: list[int], removed: tuple[int, ...]) -> list[float]:
        legs: list[float] = []
        for place, leg in enumerate(own):
            if place in removed:
                legs[-1] += leg
            else:
                legs.append(leg)
        return legs

    for count in (1, 2, 3):
        for removed in itertools.combinations((1, 2, 3), count):
            assert _walked([without(a, removed), without(b, removed)])[0] <= 142
