"""Edits that correspond to one value of the YAML are traced to exactly that value."""

from __future__ import annotations

import pytest

from support.traced import copies, trace


@pytest.mark.parametrize(("family", "seed"), [("port-block", 1), ("valve-stem", 2), ("hex-coupling", 3)])
def test_an_edit_goes_back_to_the_value_that_gives_it(family: str, seed: int) -> None:
    """The value that was changed is among those offered, with its very spelling."""
    told = [trace(guess, pair) for guess, pair in copies(family, seed, 3)]
    assert len(told) == 3
    for one in told:
        assert (one.value, float(one.new)) in one.found, one
