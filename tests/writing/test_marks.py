"""Marks of origin in text."""

from __future__ import annotations

import pytest

from gemel.writing.marks import PIECE, PRIVATE_USE, Address, Trace, literal_mark, site_index, strip, value_index


@pytest.mark.parametrize("count", [1, 32766, 32767, 32768, 70000])
def test_marks_of_many_values_stay_apart(count: int) -> None:
    """A program may print more values than one private-use plane has characters."""
    trace = Trace()
    text = "".join(trace.piece("X1.", index) for index in range(count))
    assert strip(text) == "X1." * count
    assert PRIVATE_USE.search(text)
    found = [value_index(match[2], match[3]) for match in PIECE.finditer(text)]
    assert found == list(range(count))


def test_pieces_tile_a_text_of_literals_values_and_addresses() -> None:
    """Nothing is lost between marks, and an address has no text."""
    trace = Trace()
    text = (
        literal_mark(7) + "G0" + trace.piece(" X1.", 1) + trace.address(Address(2, "op", 3, "rapid")) + literal_mark(8)
    )
    pieces = [(match[1] and site_index(match[1]), match[4]) for match in PIECE.finditer(text)]
    assert pieces == [(7, "G0"), (None, " X1."), (None, ""), (8, "")]
    assert strip(text) == "G0 X1."


def test_an_expression_gives_its_template_line_to_all_its_values() -> None:
    """Values made while an expression is worked out belong to that expression's line, earlier ones keep theirs."""
    trace = Trace()
    trace.output(trace.piece("a", 1), 4)
    trace.output(trace.piece("b", 2) + trace.piece("c", 3), 5)
    assert trace.sites == [4, 5, 5]
    trace.reset()
    assert (trace.sites, trace.values, trace.unknown) == ([], [], [])
