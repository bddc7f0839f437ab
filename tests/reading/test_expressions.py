"""Expressions: NISTIR 6556, 3.3.2.3-4 and the sample program of annex C.2; and what of macro programs it lacks."""

from __future__ import annotations

import ast
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gemel.reading.expressions import Cursor, MacroSyntaxError, UndecidableError, evaluate, parse_value
from support.rs274 import run_from


def value(text: str, variables: dict[int, float] | None = None) -> float | None:
    """The value of an expression as a word's number takes it."""
    cursor = Cursor(text.upper().replace(" ", ""))
    expression = parse_value(cursor)
    assert cursor.at == len(cursor.text)
    return evaluate(expression, variables or {})


TABLE = [
    ("[1 --3]", 4),
    ("[1+2*3-4/5]", 6.2),
    ("[2 ** 3.0]", 8),
    ("[2.0/3*1.5-5.5/11.0]", 0.5),
    ("[15 MOD 4.0]", 3),
    ("[2 OR 2]", 1),
    ("[2 AND 2]", 1),
    ("[2 XOR 2]", 0),
    ("[0 OR 1]", 1),
    ("[0 AND 1]", 0),
    ("[0 XOR 1]", 1),
    ("[0 OR 0]", 0),
    ("[0 AND 0]", 0),
    ("[0 XOR 0]", 0),
    ("SQRT[3**2+4**2]", 5),
    ("SIN[30]", 0.5),
    ("COS[0]", 1),
    ("TAN[60]", 1.7320508),
    ("ATAN[1.7321]/[1.0]", 60.0007),
    ("ASIN[1]", 90),
    ("ACOS[0.707107]", 45.0000),
    ("EXP[2.3026]", 10.0001),
    ("LN[10]", 2.3026),
    ("FIX[2.8]", 2),
    ("FIX[-2.8]", -3),
    ("FIX[-0.499]", -1),
    ("FIX[9.975]", 9),
    ("FUP[2.8]", 3),
    ("FUP[-2.8]", -2),
    ("FUP[-0.5001]", 0),
    ("FUP[2.444]", 3),
    ("ROUND[-0.499]", 0),
    ("ROUND[-0.5001]", -1),
    ("ROUND[2.444]", 2),
    ("ROUND[9.975]", 10),
    ("ABS[-1.23]", 1.23),
    ("ABS[20.0]", 20),
]


@pytest.mark.parametrize(("text", "expected"), TABLE, ids=[text for text, _ in TABLE])
def test_table(text: str, expected: float) -> None:
    """Every row of the report, to the figures that it prints; FIX is the floor, not the whole part."""
    found = value(text)
    assert found is not None
    assert math.isclose(found, expected, rel_tol=0, abs_tol=5e-5)


def test_the_long_one() -> None:
    """Annex C.2, N0460, for which the report prints no value; computed apart."""
    text = "[2 + asin[1/2.1+-0.345] / [atan[fix[4.4]*2.1*sqrt[16.8]]/[-18]]**2]"
    angle = math.degrees(math.atan2(4 * 2.1 * math.sqrt(16.8), -18))
    assert value(text) == pytest.approx(2 + math.degrees(math.asin(1 / 2.1 - 0.345)) / angle**2, abs=1e-12)
    assert value(text) == pytest.approx(2.000545078, abs=5e-10)


SAMPLE = """
n0010 g21 g1 x3 f20 (expression test)
n0020 x [1 + 2]
n0030 x [1 - 2]
n0040 x [1 --3]
n0050 x [2/5]
n0060 x [3.0 * 5]
n0070 x [0 OR 0]
n0080 x [0 OR 1]
n0090 x [2 or 2]
n0160 x [15 MOD 4.0]
n0170 x [1 + 2 * 3 - 4 / 5]
n0180 x sin[30]
n0220 x atan[1.7321]/[1.0]
n0320 x fix[-0.5001]
n0410 x [2 ** 3.0] #1=2.0
n0420 ##1 = 0.375 (#1 is 2, so parameter 2 is set to 0.375)
n0430 x #2 #3=7.0
n0440 #3=5.0 x #3 (parameters are set together, behind the line)
n0450 x #3 #3=1.1
n0470 x sqrt[3**2 + 4**2]
n0480 m2
"""
"""Of annex C.2 (a work of the US government): a line of each kind, and those that the table above cannot hold."""


def test_sample_program() -> None:
    """Annex C.2: where each line goes, as its comments in the report say."""
    done = run_from((0, 0, 0), SAMPLE)
    found = [round(m.end.x_dia or 0.0, 3) for step in done.steps for m in step.motions]
    assert found == [3, 3, -1, 4, 0.4, 15, 0, 1, 1, 3, 6.2, 0.5, 60.001, -1, 8, 0.375, 7, 5, 5]
    assert done.remarks == ()
    assert {n: done.state.variables[n] for n in (1, 2, 3)} == {1: 2.0, 2: 0.375, 3: 1.1}


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("[2**3**2]", 64),
        ("[-2**2]", 4),
        ("[8/4/2]", 1),
        ("[7-4-2]", 1),
        ("[1 OR 0 AND 0]", 0),
        ("[2*3 OR 0]", 1),
        ("[1 + 1 EQ 2]", 1),
        ("[1 LT 2]", 1),
        ("[2 LE 1]", 0),
        ("[1 NE 1]", 0),
        ("[2 GE 2]", 1),
        ("[0.1 + 0.2 EQ 0.3]", 1),
        ("-[1+2]", -3),
        ("--5", 5),
        ("ATAN[1,1]", 45),
        ("ATAN[1]", 45),
        ("[-7 MOD 4]", 1),
    ],
)
def test_precedence(text: str, expected: float) -> None:
    """`**`, then `* / MOD`, then `+ - OR XOR AND`, then comparisons (common practice); equal rank left to right."""
    assert value(text) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("text", "expected"), [("#1", 4), ("#[1+1]", 7), ("##3", 4), ("-#2", -7), ("[#1+#2*2]", 18), ("#9", None)]
)
def test_variables(text: str, expected: float | None) -> None:
    """A variable, one whose number is computed, one of a variable; a local one without a value is vacant."""
    assert value(text, {1: 4, 2: 7, 3: 1}) == expected


@pytest.mark.parametrize(
    ("text", "expected"), [("[#9 EQ #0]", 1), ("[#9 NE #0]", 0), ("[#1 EQ #0]", 0), ("[#9 + 5]", 5), ("[#9 LT 1]", 1)]
)
def test_a_vacant_variable(text: str, expected: float) -> None:
    """It equals `#0` only, and counts as zero wherever else it stands; common practice, no source."""
    assert value(text, {1: 0.0}) == expected


@pytest.mark.parametrize(
    "text",
    [
        "[1/0]",
        "[1 MOD 0]",
        "SQRT[-1]",
        "LN[0]",
        "ASIN[2]",
        "#500",
        "[10**400]",
        "[10**15]",
        "EXP[1000]",
        "[-8**0.5]",
        "#[1/0]",
    ],
)
def test_values_that_cannot_be_known(text: str) -> None:
    """A division by zero, a root of a negative number, a number without bounds, a variable that nobody sets."""
    with pytest.raises(UndecidableError):
        value(text)


@pytest.mark.parametrize(
    "text",
    ["[", "[1", "[]", "[1+]", "#", "ASIM[1]", "SIN 30", ".", "[1 ++ ]", "ATAN[1]/[", "[" * 61 + "1" + "]" * 61],
)
def test_what_follows_no_rule(text: str) -> None:
    """It is refused with the place where it stops following the rules; so are brackets sixty deep."""
    with pytest.raises(MacroSyntaxError) as error:
        value(text)
    assert 0 <= error.value.at <= len(text)


_PLAIN = st.recursive(
    st.integers(0, 99).map(str),
    lambda inner: st.tuples(inner, st.sampled_from(["+", "-", "*"]), inner).map(lambda t: f"[{''.join(t)}]"),
    max_leaves=12,
)


@settings(deadline=None, derandomize=True)
@given(text=_PLAIN)
def test_sums_agree_with_python(text: str) -> None:
    """Whole numbers with `+ - *` and brackets: as Python computes them."""
    expected = eval(compile(ast.parse(text.replace("[", "(").replace("]", ")"), mode="eval"), "", "eval"))  # noqa: S307 # digits, brackets and + - * of our own
    assert value(text) == expected


@settings(deadline=None, derandomize=True)
@given(text=st.text("#[]0123456789.+-*/ABCDEGILMNOPQRSTUX,=", max_size=40))
def test_any_text_has_a_value_or_a_reason(text: str) -> None:
    """Nothing but the two errors, whatever stands there; a value is a finite number or vacant."""
    cursor = Cursor(text)
    try:
        found = evaluate(parse_value(cursor, whole=True), {1: 2.0})
    except (MacroSyntaxError, UndecidableError):
        return
    assert found is None or math.isfinite(found)
