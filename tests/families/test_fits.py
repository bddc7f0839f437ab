"""ISO 286 letters and own deviation pairs."""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gemel.families.fits import (
    Limits,
    UnknownTolerance,
    aim,
    iso286_limits,
    known_tolerances,
    largest,
    limits,
    own_limits,
    smallest,
    tolerance_um,
)
from gemel.findings import nearest
from gemel.numbers import Number, Rule, Source, formula, leaves, sensitivity, sourced

# DIN ISO 286-1, two independent copies agree. Columns: IT5 to IT11, micrometres.
PUBLISHED_UM = {
    (3, 6): (5, 8, 12, 18, 30, 48, 75),
    (6, 10): (6, 9, 15, 22, 36, 58, 90),
    (10, 18): (8, 11, 18, 27, 43, 70, 110),
    (18, 30): (9, 13, 21, 33, 52, 84, 130),
    (30, 50): (11, 16, 25, 39, 62, 100, 160),
    (50, 80): (13, 19, 30, 46, 74, 120, 190),
}
CASES = [(low, high, grade, um) for (low, high), row in PUBLISHED_UM.items() for grade, um in enumerate(row, start=5)]

sizes = st.floats(min_value=0.001, max_value=120, allow_nan=False)
names = st.sampled_from([n for n in known_tolerances("h") + known_tolerances("H") if any(c.isdigit() for c in n)])


@pytest.mark.parametrize(("low", "high", "grade", "um"), CASES)
def test_tolerance_is_the_published_one_at_both_ends_of_the_step(low: float, high: float, grade: int, um: int) -> None:
    """A step holds sizes over its lower end up to and including its upper end."""
    assert tolerance_um(high, grade) == um
    assert tolerance_um(low + 0.001, grade) == um


@pytest.mark.parametrize(("low", "high", "grade", "um"), [case for case in CASES if case[2] <= 9])
def test_tolerance_lies_near_the_standard_s_formula(low: float, high: float, grade: int, um: int) -> None:
    """IT5 to IT9 are 7, 10, 16, 25, 40 i within a micrometre; the rounding is irregular, so the table rules."""
    mean = (low * high) ** 0.5
    unit = 0.45 * mean ** (1 / 3) + 0.001 * mean
    factor = {5: 7, 6: 10, 7: 16, 8: 25, 9: 40}[grade]
    assert abs(factor * unit - um) <= 1


@pytest.mark.parametrize(("size", "um"), [(6, 8), (6.001, 9), (10, 9), (10.001, 11), (18, 11), (18.001, 13)])
def test_a_boundary_belongs_to_the_lower_step(size: float, um: int) -> None:
    """6 mm belongs to 3-6, 10 to 6-10, 18 to 10-18."""
    assert tolerance_um(size, 6) == um


def test_binary_noise_does_not_move_a_size_over_a_boundary() -> None:
    """A size of 6 mm that arithmetic left at 6.0000000000000009 is 6 mm."""
    noisy = 0.1 * 3 * 20
    assert noisy > 6
    assert tolerance_um(noisy, 6) == 8


@pytest.mark.parametrize(
    ("dia", "most", "least"),
    [(6, 5.990, 5.960), (8, 7.987, 7.951), (12, 11.984, 11.941), (16, 15.984, 15.941), (20, 19.980, 19.928)],
)
def test_f9_gives_the_published_shoulder_screw_limits(dia: float, most: float, least: float) -> None:
    """Published f9 limits of shoulder screws confirm f and IT9."""
    found = limits(dia, "f9")
    assert largest(dia, found) == pytest.approx(most, abs=1e-9)
    assert smallest(dia, found) == pytest.approx(least, abs=1e-9)


# From memory, except h, H and js which follow from their definition and the published table.
@pytest.mark.parametrize(
    ("size", "text", "lower", "upper"),
    [
        (15, "h9", -0.043, 0),
        (15, "H8", 0, 0.027),
        (15, "js9", -0.0215, 0.0215),
        (15, "JS9", -0.0215, 0.0215),
        (5, "g6", -0.012, -0.004),
        (8, "g6", -0.014, -0.005),
        (12, "g6", -0.017, -0.006),
        (25, "g6", -0.020, -0.007),
        (40, "g6", -0.025, -0.009),
        (20, "f7", -0.041, -0.020),
        (20, "e8", -0.073, -0.040),
        (20, "d9", -0.117, -0.065),
        (20, "F8", 0.020, 0.053),
        (20, "G7", 0.007, 0.028),
        (20, "k6", 0.002, 0.015),
        (20, "k9", 0, 0.052),
        (20, "m6", 0.008, 0.021),
        (20, "n6", 0.015, 0.028),
        (20, "p6", 0.022, 0.035),
        (60, "r6", 0.041, 0.060),
        (70, "s6", 0.059, 0.078),
        (20, "K7", -0.015, 0.006),
        (20, "M7", -0.021, 0),
        (20, "N7", -0.028, -0.007),
        (5, "N9", -0.030, 0),
        (2, "N9", -0.029, -0.004),
        (20, "P7", -0.035, -0.014),
        (5, "P9", -0.042, -0.012),
        (100, "H7", 0, 0.035),
        (2, "h6", -0.006, 0),
    ],
)
def test_letters_give_the_standard_s_deviations(size: float, text: str, lower: float, upper: float) -> None:
    """Capitals are holes, small letters shafts; the deviations are the standard's."""
    found = limits(size, text)
    assert [found.lower_mm, found.upper_mm] == pytest.approx([lower, upper], abs=1e-12)
    assert (found.text, found.standard) == (text, "ISO 286-1")


@given(sizes, names)
def test_deviations_are_ordered_and_as_wide_as_the_grade(size: float, name: str) -> None:
    """Lower lies below upper by exactly the standard tolerance of the grade, for every letter and size."""
    found = limits(size, name)
    grade = int("".join(c for c in name if c.isdigit()))
    assert found.lower_mm < found.upper_mm
    assert found.width_mm * 1000 == pytest.approx(tolerance_um(size, grade), abs=1e-9)
    assert found.lower_mm <= found.middle_mm <= found.upper_mm


@given(sizes, st.sampled_from("cdefgh"), st.integers(5, 11))
def test_a_clearance_hole_mirrors_its_shaft(size: float, letter: str, grade: int) -> None:
    """Holes C to H lie as far above the zero line as shafts c to h lie below it."""
    shaft = limits(size, f"{letter}{grade}")
    hole = limits(size, f"{letter.upper()}{grade}")
    assert (hole.lower_mm, hole.upper_mm) == (-shaft.upper_mm, -shaft.lower_mm)


@given(st.floats(min_value=3.001, max_value=120), st.sampled_from("kmn"), st.integers(6, 8))
def test_a_transition_hole_fits_like_the_shaft_one_grade_finer(size: float, letter: str, grade: int) -> None:
    """The rule behind the corrections of K, M, N: H(n)/k(n-1) and K(n)/h(n-1) have the same clearances."""
    basis_hole = limits(size, f"H{grade}"), limits(size, f"{letter}{grade - 1}")
    basis_shaft = limits(size, f"{letter.upper()}{grade}"), limits(size, f"h{grade - 1}")
    loosest = [hole.upper_mm - shaft.lower_mm for hole, shaft in (basis_hole, basis_shaft)]
    tightest = [hole.lower_mm - shaft.upper_mm for hole, shaft in (basis_hole, basis_shaft)]
    assert loosest[0] == pytest.approx(loosest[1], abs=1e-12)
    assert tightest[0] == pytest.approx(tightest[1], abs=1e-12)


@given(sizes, st.sampled_from(["h", "H", "js", "f"]), st.integers(5, 13))
def test_a_coarser_grade_is_wider(size: float, letter: str, grade: int) -> None:
    """Tolerances grow with the grade."""
    assert limits(size, f"{letter}{grade}").width_mm < limits(size, f"{letter}{grade + 1}").width_mm


@given(sizes, sizes, st.integers(5, 14))
def test_a_larger_size_is_never_held_closer(one: float, other: float, grade: int) -> None:
    """Tolerances do not shrink with the size."""
    small, large = sorted((one, other))
    assert tolerance_um(small, grade) <= tolerance_um(large, grade)


@pytest.mark.parametrize(
    ("text", "lower", "upper"),
    [
        ("+0.1 -0.05", -0.05, 0.1),
        ("-0.05 +0.1", -0.05, 0.1),
        ("+0.05/-0.02", -0.02, 0.05),
        ("+0.05 / -0.02", -0.02, 0.05),
        ("+0.05-0.02", -0.02, 0.05),
        ("+-0.1", -0.1, 0.1),
        ("+/-0.1", -0.1, 0.1),
        ("+/- .1", -0.1, 0.1),
        ("\N{PLUS-MINUS SIGN}0.1", -0.1, 0.1),
        ("\N{PLUS-MINUS SIGN} 0.1", -0.1, 0.1),
        ("0/-0.1", -0.1, 0),
        ("+0.2 0", 0, 0.2),
        ("-0.1 -0.2", -0.2, -0.1),
        ("+0.2 +0.1", 0.1, 0.2),
    ],
)
def test_own_pairs_are_read_in_either_order(text: str, lower: float, upper: float) -> None:
    """A pair keeps its signs, and the smaller deviation becomes the lower one."""
    found = limits(50, text)
    assert (found.lower_mm, found.upper_mm) == (lower, upper)


def test_an_own_pair_of_an_inch_family_is_in_inches() -> None:
    """`+.002 -.001` inch is +0.0508 -0.0254 mm; letters stay metric."""
    pair = limits(22.225, "+.002 -.001", 25.4)
    assert [pair.lower_mm, pair.upper_mm] == pytest.approx([-0.0254, 0.0508])
    assert limits(22.225, "h9", 25.4) == limits(22.225, "h9")


@given(st.integers(-500, 500), st.integers(-500, 500))
def test_any_pair_that_is_written_is_read_back(one: int, other: int) -> None:
    """Writing two signed deviations and reading them gives the same two, ordered."""
    found = own_limits(f"{one / 1000:+.3f} {other / 1000:+.3f}")
    assert [found.lower_mm, found.upper_mm] == [min(one, other) / 1000, max(one, other) / 1000]


@pytest.mark.parametrize(
    ("text", "close"),
    [("h99", "h9"), ("h4", "h14"), ("y9", None), ("H0", "H9"), ("hh9", "h9"), ("Js9", "JS9"), ("jS9", "js9")],
)
def test_an_unknown_name_brings_names_to_choose_from(text: str, close: str | None) -> None:
    """A wrong letter or grade is refused with valid names of the same kind, shaft or hole."""
    with pytest.raises(UnknownTolerance) as caught:
        limits(15, text)
    assert caught.value.text == text
    assert all(name[0].isupper() == text[0].isupper() for name in caught.value.known if name[-1].isdigit())
    if close is not None:
        assert nearest(text, caught.value.known) is not None
        assert close in caught.value.known


@pytest.mark.parametrize(
    "text", ["", "  ", "0.1", "+0.1", "-0.1", "+0,1 -0,1", "+0.1 0.05", "h", "H", "h9 H8", "+-", "9h"]
)
def test_what_is_no_tolerance_is_refused(text: str) -> None:
    """One deviation alone, a decimal comma, a missing sign, a letter without a grade: never guessed at."""
    with pytest.raises(UnknownTolerance) as caught:
        limits(15, text)
    assert caught.value.reason
    assert caught.value.known


@pytest.mark.parametrize("size", [0, -1, 120.001, float("nan"), float("inf")])
def test_a_size_outside_the_table_is_refused(size: float) -> None:
    """There is no row for it, and none is made up."""
    with pytest.raises(UnknownTolerance, match="sizes here are over 0 up to 120 mm"):
        limits(size, "h9")


@pytest.mark.parametrize(("size", "text"), [(0.3, "+-0.3"), (4, "0 -5"), (2, "+-5")])
def test_a_pair_larger_than_its_size_is_refused(size: float, text: str) -> None:
    """A part of no size is a forgotten decimal point."""
    with pytest.raises(UnknownTolerance, match="leaves nothing"):
        limits(size, text)


def test_a_place_may_be_zero() -> None:
    """A position of 0 may vary to both sides."""
    assert limits(0, "+-0.1").width_mm == pytest.approx(0.2)


def test_every_known_name_is_taken() -> None:
    """What the remedy offers works."""
    for kind in "hH":
        for name in known_tolerances(kind):
            assert limits(2, name if name != "v" else "m").width_mm > 0


def test_aim_is_the_middle_and_remembers_both() -> None:
    """The aimed size is nominal plus middle deviation; its origin shows the size and the standard."""
    across = sourced(15.0, Source("values.across.size", "families/block.yaml", 9, 18, "15"))
    aimed = aim(across, limits(across, "h9"))
    assert isinstance(aimed, Number)
    assert aimed == pytest.approx(14.9785, abs=1e-12)
    assert formula(aimed) == "values.across.size + -0.0215 (middle of h9)"
    assert Rule("middle of h9", "ISO 286-1") in leaves(aimed)
    assert sensitivity(aimed)[Source("values.across.size", "families/block.yaml", 9, 18, "15")] == 1


def test_aim_of_a_symmetric_tolerance_still_names_it() -> None:
    """A reader sees that js9 was looked at although it moves nothing."""
    assert formula(aim(sourced(15.0, Source("d", "f", 1, 0, "15")), limits(15, "js9"))) == "d + 0 (middle of js9)"


@given(sizes, names)
def test_aim_lies_between_the_limits(size: float, name: str) -> None:
    """The aimed size is inside, whatever the tolerance."""
    found = limits(size, name)
    assert smallest(size, found) <= aim(size, found) <= largest(size, found)


def test_limits_refuse_to_be_upside_down() -> None:
    """A lower deviation above the upper one is a bug of the caller."""
    with pytest.raises(ValueError, match="above the upper"):
        Limits(0.1, -0.1)


def test_iso286_limits_wants_a_letter_and_grade() -> None:
    """The letters' own door does not take pairs."""
    with pytest.raises(UnknownTolerance, match="letter and a grade"):
        iso286_limits(15, "+0.1 -0.1")


def test_a_general_class_goes_through_the_same_door() -> None:
    """`m` and `ISO 2768-m` are the general class medium."""
    assert limits(15, "m") == limits(15, "ISO 2768-m") == Limits(-0.2, 0.2, "ISO 2768-m", "ISO 2768-1")


@given(sizes, st.text(alphabet="hHjJsSfmc+-/.,0123456789 \N{PLUS-MINUS SIGN}\N{ARABIC-INDIC DIGIT FIVE}", max_size=12))
def test_any_text_gives_ordered_limits_or_the_one_fault(size: float, text: str) -> None:
    """Whatever is typed, the answer is finite ordered limits or `UnknownTolerance`, nothing else."""
    with suppress(UnknownTolerance):
        found = limits(size, text)
        assert -1e7 < found.lower_mm <= found.upper_mm < 1e7
