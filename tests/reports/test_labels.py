"""Where labels and dimension lines go."""

from __future__ import annotations

from hypothesis import assume, given
from hypothesis import strategies as st

from gemel.reports.labels import FOOT_MM, Placed, Room, levels, spread

_LABELS = st.lists(st.tuples(st.floats(5, 175), st.floats(8, 45)), min_size=1, max_size=16)
_ROOM = Room(1, 185)


def _boxes(widths: list[float], placed: list[Placed]) -> list[tuple[int, float, float]]:
    return [(p.row, p.leader_mm - FOOT_MM, p.leader_mm - FOOT_MM + w) for p, w in zip(placed, widths, strict=True)]


@given(labels=_LABELS)
def test_no_label_lies_on_another_and_no_leader_runs_through_one(labels: list[tuple[float, float]]) -> None:
    """Labels of one row keep apart; a leader of a far row passes beside every label of the nearer rows."""
    targets, widths = [t for t, _ in labels], [w for _, w in labels]
    # What cannot stand in six rows at all is no picture any more.
    assume(sum(widths) < 3 * 184)
    placed = spread(targets, widths, _ROOM)
    boxes = _boxes(widths, placed)
    for index, (row, left, right) in enumerate(boxes):
        assert left >= _ROOM.left_mm - 1e-6
        assert right <= _ROOM.right_mm + 1e-6
        for other, (other_row, other_left, other_right) in enumerate(boxes):
            if other != index and other_row == row:
                assert right <= other_left + 1e-6 or other_right <= left + 1e-6
            if placed[other].row > row:
                assert not left + 1e-6 < placed[other].leader_mm < right - 1e-6


@given(labels=_LABELS)
def test_leaders_keep_the_order_of_what_they_name(labels: list[tuple[float, float]]) -> None:
    """No two leaders cross: from left to right the labels follow their targets."""
    targets, widths = [t for t, _ in labels], [w for _, w in labels]
    assume(sum(widths) < 3 * 184)
    placed = spread(targets, widths, _ROOM)
    order = sorted(range(len(targets)), key=lambda i: targets[i])
    leaders = [placed[i].leader_mm for i in order]
    assert leaders == sorted(leaders)


@given(spans=st.lists(st.tuples(st.floats(0, 100), st.floats(1, 80)), min_size=1, max_size=20))
def test_dimension_lines_of_one_level_keep_apart(spans: list[tuple[float, float]]) -> None:
    """Two stretches on one level have no point in common."""
    stretches = [(start, start + length) for start, length in spans]
    found = levels(stretches)
    for i, (a, b) in enumerate(stretches):
        for j, (c, d) in enumerate(stretches[:i]):
            assert found[i] != found[j] or b < c or d < a
