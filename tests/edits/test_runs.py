"""Where two lists of blocks part and meet again, held against published facts and against a text-book algorithm."""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from typing import TYPE_CHECKING

from hypothesis import given
from hypothesis import strategies as st

from gemel.edits.gaps import resolve
from gemel.edits.runs import Gap, gaps
from gemel.edits.spelling import Speller
from gemel.machines.dialect import dialect_of
from gemel.reading.words import parts_of
from support.pairs import machine

if TYPE_CHECKING:
    from collections.abc import Sequence

_FEW_LETTERS = st.lists(st.sampled_from([b"M05", b"M09", b"G00X40.", b"G01Z-2."]), max_size=60)


def _gaps(ours: Sequence[bytes], theirs: Sequence[bytes]) -> list[Gap]:
    return list(gaps(ours, theirs, Gap(0, len(ours), 0, len(theirs))))


def _patched(ours: Sequence[bytes], theirs: Sequence[bytes]) -> list[bytes]:
    """The first list with every gap replaced by what the second has there."""
    done: list[bytes] = []
    at = 0
    for gap in _gaps(ours, theirs):
        done += [*ours[at : gap.a], *theirs[gap.b : gap.b_end]]
        at = gap.a_end
    return [*done, *ours[at:]]


def _distance(ours: Sequence[bytes], theirs: Sequence[bytes]) -> int:
    """Removed and added blocks of a shortest way, by the recursion of the longest common subsequence."""

    @cache
    def common(i: int, j: int) -> int:
        if i == len(ours) or j == len(theirs):
            return 0
        if ours[i] == theirs[j]:
            return common(i + 1, j + 1) + 1
        return max(common(i + 1, j), common(i, j + 1))

    return len(ours) + len(theirs) - 2 * common(0, 0)


@given(_FEW_LETTERS, _FEW_LETTERS)
def test_the_gaps_lead_from_one_list_to_the_other(ours: list[bytes], theirs: list[bytes]) -> None:
    """patch(X, diff(X, Y)) = Y, whatever repeats; gaps rise and do not touch what is equal."""
    assert _patched(ours, theirs) == theirs
    found = _gaps(ours, theirs)
    assert all(one.a_end <= other.a and one.b_end <= other.b for one, other in pairwise(found))


@given(_FEW_LETTERS)
def test_a_list_does_not_differ_from_itself(blocks: list[bytes]) -> None:
    """diff(X, X) is empty."""
    assert _gaps(blocks, blocks) == []


@given(_FEW_LETTERS, _FEW_LETTERS)
def test_no_more_is_changed_than_must_be(ours: list[bytes], theirs: list[bytes]) -> None:
    """Outside of the gaps stands no less than what a longest common subsequence keeps there.

    Gaps with hardly a block between them are joined, so that they hold at most two equal blocks for each of theirs.
    """
    found = _gaps(ours, theirs)
    inside = sum(gap.a_end - gap.a + gap.b_end - gap.b for gap in found)
    assert inside <= 5 * _distance(ours, theirs)


def test_the_example_of_the_paper() -> None:
    """ABCABBA and CBABAC: the longest common subsequence has 4 letters, a shortest script 5 steps (Myers 1986)."""
    ours, theirs = ([bytes([c]) for c in word] for word in (b"ABCABBA", b"CBABAC"))
    assert _distance(ours, theirs) == 5
    assert _patched(ours, theirs) == theirs


def test_a_changed_block_is_found_among_its_twins() -> None:
    """Of forty equal passes one got another depth: this one is the gap, and nothing else."""
    passes = [block for _ in range(40) for block in (b"G00X40.", b"G01Z-20.", b"G00X42.", b"G00Z2.")]
    changed = [*passes]
    changed[81] = b"G01Z-19.5"
    assert _gaps(passes, changed) == [Gap(81, 82, 81, 82)]
    assert _gaps(passes, [*passes[:81], b"M01", *passes[81:]]) == [Gap(81, 81, 81, 82)]
    assert _gaps(passes, [*passes[:81], *passes[82:]]) == [Gap(81, 82, 81, 81)]


def test_a_gap_is_sorted_out_by_what_blocks_have_in_common() -> None:
    """A block with another feed is the same block; one with another code is another."""
    speller = Speller(dialect_of(machine(), "lower"))
    ours, theirs = (
        [speller.block(text, parts_of(text)) for text in texts]
        for texts in (("G01 Z-20. F0.2", "M08", "G00 X120."), ("M01", "G01 Z-20. F0.15", "M88", "G04 X1."))
    )
    assert [tuple(match) for match in resolve(ours, theirs)] == [(None, 0), (0, 1), (1, 2), (2, None), (None, 3)]
