"""Bars, changes and time of a lot."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gemel.timing.lot import bar_changes_per_hour, lot_of


def test_lot_of_500() -> None:
    """500 parts at 46 a bar: 10 bars are 460, so 11, the last with 40; ten changes of 25 s (worked by hand)."""
    assert lot_of(500, 46, 60.0, 25.0) == (500, 11, 40, 500 * 60.0 + 10 * 25.0)


def test_without_a_cycle_time_there_is_no_time() -> None:
    """Bars are known without it."""
    assert lot_of(46, 46, None, 25.0) == (46, 1, 46, None)


def test_changes_per_hour() -> None:
    """46 parts of 60 s and a change of 25 s take 2785 s: 1.2926 an hour (worked by hand)."""
    assert bar_changes_per_hour(46, 60.0, 25.0) == pytest.approx(3600 / 2785)


@given(st.integers(1, 5000), st.integers(1, 300))
def test_no_bar_too_many_or_too_few(parts: int, per_bar: int) -> None:
    """The bars give the parts, one bar fewer would not, and the last one is neither empty nor overfull."""
    lot = lot_of(parts, per_bar, None, 0.0)
    assert (lot.bars - 1) * per_bar < parts <= lot.bars * per_bar
    assert 1 <= lot.last_parts <= per_bar
    assert (lot.bars - 1) * per_bar + lot.last_parts == parts


def test_a_bar_without_a_part_is_refused() -> None:
    """Nothing comes of bars that are shorter than one part and the remnant."""
    with pytest.raises(ValueError, match="no part"):
        lot_of(10, 0, None, 0.0)
