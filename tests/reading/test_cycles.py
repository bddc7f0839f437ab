"""Cycles that stay active: drilling and tapping, and the single cycles of turning. Common practice, no source."""

from __future__ import annotations

import pytest

from support.channels import BY_MODE, LATHE, causes, codes, path, run_from


def test_drilling_along_z() -> None:
    """Position, depth, back to where it began; each further block with an axis word is one more stroke."""
    text = "G83 X0. Z-20. Q5000 F.1\nZ-30.\nX10.\nG80\nX20."
    assert path(run_from(20, 5, text)) == [
        *("rapid 0 5", "drill 0 -20", "retract 0 5"),
        *("drill 0 -30", "retract 0 5"),
        *("rapid 10 5", "drill 10 -30", "retract 10 5"),
        "rapid 20 5",
    ]


@pytest.mark.parametrize("code", ["G0", "G1", "G32", "G80"])
def test_what_ends_a_cycle(code: str) -> None:
    """G80, or another motion code."""
    done = run_from(0, 5, f"G83 Z-20.\n{code}\nM8")
    assert [s.cycle for s in done.steps] == ["drill", "", ""]
    last = run_from(0, 5, f"G83 Z-20.\n{code}\nX9.").steps[-1].motions
    assert len(last) == 1


@pytest.mark.parametrize(
    ("text", "strokes"),
    [
        ("G83 Z-20. R-3.", ["rapid 0 2", "drill 0 -20", "retract 0 5"]),
        ("G83 W-10. R-3.", ["rapid 0 2", "drill 0 -8", "retract 0 5"]),
        ("G83 W-10.", ["drill 0 -5", "retract 0 5"]),
        ("G84 Z-12. F1.", ["tap 0 -12", "retract 0 5"]),
    ],
)
def test_levels(text: str, strokes: list[str]) -> None:
    """R is the way from the start to where the feed begins; an incremental depth counts from there."""
    assert path(run_from(0, 5, text)) == strokes


@pytest.mark.parametrize(
    ("text", "strokes"),
    [
        ("G19\nG83 X20. Z-5. Q2500 F100.", ["rapid 60 -5", "drill 20 -5", "retract 60 -5"]),
        ("G83 X20. R-2. F100.", ["rapid 56 3", "drill 20 3", "retract 60 3"]),
        ("G84 U-30. F1.", ["tap 30 3", "retract 60 3"]),
    ],
)
def test_drilling_along_x(text: str, strokes: list[str]) -> None:
    """Under G19, or where the first block has X and no Z, the depth is X; R is a radius: X moves by twice."""
    assert path(run_from(60, 3, text)) == strokes


def test_the_next_hole_across() -> None:
    """In a cycle along X, Z and C of the next block are positions."""
    done = run_from(60, 3, "G19\nG83 X20. Z-5. C0.\nC90.\nZ-15. C0.")
    assert path(done)[3:] == [
        *("rapid 60 -5", "drill 20 -5", "retract 60 -5"),
        *("rapid 60 -15", "drill 20 -15", "retract 60 -15"),
    ]
    assert [m.end.c for m in done.steps[2].motions] == [90, 90, 90]


@pytest.mark.parametrize(("letter", "count", "strokes"), [("K", 3, 3), ("L", 2, 2), ("K", 0, 0), ("K", 5000, 1000)])
def test_repeated_strokes(letter: str, count: int, strokes: int) -> None:
    """K or L repeats by the increments of the block, a bolt circle by H; 0 keeps the words for the next block."""
    done = run_from(0, 5, f"G0 C0.\nG83 H30. Z-20. {letter}{count}\nG80")
    motions = done.steps[1].motions
    assert [m.kind for m in motions].count("drill") == strokes
    assert done.state.position.c == 30 * strokes
    again = run_from(0, 5, "G0 C0.\nG83 H30. Z-20. K0\nH30.")
    assert [m.end.z for m in again.steps[2].motions if m.kind == "drill"] == [-20]


@pytest.mark.parametrize(("text", "peck"), [("Q5000", 5), ("Q5.", 5), ("Q0.5", 0.5), ("Q-2000", 2), ("", 0)])
def test_pecks(text: str, peck: float) -> None:
    """Without a point Q counts in least increments, with one in mm; its sign means nothing."""
    [step] = run_from(0, 5, f"G83 Z-20. {text}").steps
    assert step.peck == pytest.approx(peck)


def test_a_dwell_at_the_depth() -> None:
    """P, in milliseconds, at the bottom of every stroke."""
    done = run_from(0, 5, "G83 Z-20. P500\nZ-30.")
    assert [m.dwell_s for s in done.steps for m in s.motions if m.kind == "drill"] == [0.5, 0.5]


def test_another_cycle_starts_anew() -> None:
    """Tapping behind drilling keeps nothing of the drilling but the place."""
    text = "G83 X0. Z-20. R-3. Q5000\nG84 Z-12. F1."
    assert path(run_from(0, 5, text))[-2:] == ["tap 0 -12", "retract 0 5"]


def test_an_unknown_depth() -> None:
    """A depth of a variable that nobody sets: no stroke is made up, and it is said."""
    done = run_from(0, 5, "G83 Z-20.\nZ#500")
    assert codes(done) == ["not-understood"]
    assert path(done) == ["drill 0 -20", "retract 0 5"]
    done = run_from(0, 5, "G83 Z-20.\nX#500")
    assert path(done)[-3:] == ["rapid ? 5", "drill ? -20", "retract ? 5"]


TURN = ["rapid 40 2", "feed 40 -20", "feed 50 -20", "rapid 50 2"]


@pytest.mark.parametrize(
    ("text", "motions"),
    [
        ("G90 X40. Z-20. F.2", TURN),
        ("G90 U-10. W-22.", TURN),
        ("G90 X40. Z-20. R-2.", ["rapid 36 2", "feed 40 -20", "feed 50 -20", "rapid 50 2"]),
        ("G92 X40. Z-20. F1.5", ["rapid 40 2", "thread 40 -20", "rapid 50 -20", "rapid 50 2"]),
        ("G92 X40. Z-20. R-1. F2.", ["rapid 38 2", "thread 40 -20", "rapid 50 -20", "rapid 50 2"]),
        ("G94 X0. Z-3.", ["rapid 50 -3", "feed 0 -3", "feed 0 2", "rapid 50 2"]),
        ("G94 X0. Z-3. R1.", ["rapid 50 -2", "feed 0 -3", "feed 0 2", "rapid 50 2"]),
    ],
)
def test_single_cycles(text: str, motions: list[str]) -> None:
    """Four moves from the start and back to it; R is how far the start of the cut lies off its end, a radius."""
    done = run_from(50, 2, text)
    assert path(done) == motions
    assert codes(done) == []


@pytest.mark.parametrize("again", ["X36.", "G90 X36.", "U-14."])
def test_single_cycles_go_on(again: str) -> None:
    """The next block with X or Z is one more round with the other word kept, the code repeated or not."""
    done = run_from(50, 2, f"G90 X40. Z-20.\n{again}\nG0 X60.")
    assert path(done) == [*TURN, "rapid 36 2", "feed 36 -20", "feed 50 -20", "rapid 50 2", "rapid 60 2"]


def test_a_single_cycle_without_its_corner() -> None:
    """One with X alone has no corner to go to: said, and X is not made up."""
    done = run_from(50, 2, "G90 X40.\nG0 W1.")
    assert codes(done) == ["position-unknown"]
    assert path(done) == ["rapid ? 3"]


def test_single_cycles_where_the_letters_differ() -> None:
    """A dialect whose G90 is a distance mode has no such cycle under it."""
    assert path(run_from(50, 2, "G90 X40. Z-20.", BY_MODE)) == ["rapid 40 -20"]
    assert LATHE.codes["G90"].state == "single-turn"


def test_grooves() -> None:
    """G75: pecks of P (a radius) with the draw-back R of its first line, at every Q along Z, the corner last."""
    done = run_from(50, -10, "G75 R.2\nG75 X40. Z-14. P2500 Q3000 F.05")
    at = ["feed 45 -{0}", "rapid 45.4 -{0}", "feed 40 -{0}", "rapid 50 -{0}"]
    expected = [row.format(10) for row in at]
    for z in (13, 14):
        expected += [f"rapid 50 -{z}", *(row.format(z) for row in at)]
    assert path(done) == [*expected, "rapid 50 -10"]
    assert codes(done) == []


@pytest.mark.parametrize(
    ("text", "motions"),
    [
        ("G75 X40.", ["feed 40 -10", "rapid 50 -10"]),
        ("G75 X40. P2500", ["feed 45 -10", "rapid 46 -10", "feed 40 -10", "rapid 50 -10"]),
        ("G75 X60. P2500", ["feed 55 -10", "rapid 54 -10", "feed 60 -10", "rapid 50 -10"]),
        ("G75 R1.", []),
    ],
)
def test_one_groove(text: str, motions: list[str]) -> None:
    """Without pecks in one go; with the control's own draw-back; inside a bore outward; a first line cuts nothing."""
    assert path(run_from(50, -10, text)) == motions


def test_pecks_are_bounded() -> None:
    """Pecks and grooves of a thousandth: thousands of motions, not millions; the corner is still reached."""
    done = run_from(50, -10, "G75 X0. Z-60. P1 Q1")
    assert len(path(done)) < 8000
    assert min(m.end.x_dia or 0 for m in done.steps[0].motions) == 0
    assert path(done)[-2:] == ["rapid 50 -60", "rapid 50 -10"]


def test_threads_by_passes() -> None:
    """G76: pass n stands at the first depth by the root of n, the last at the height; then the finishing passes.

    M20x1.5 outside from X24: height 0.92 to the root at X18.16; passes of 0.376 by the root of n:
    equal chip areas, d sqrt(i / N) with N = 6 (a maker's threading manual).
    """
    done = run_from(24, 5, "G76 P021060 Q50 R.02\nG76 X18.16 Z-20. P920 Q376 F1.5")
    depths = [0.376, 0.376 * 2**0.5, 0.376 * 3**0.5, 0.376 * 2, 0.376 * 5**0.5, 0.9, 0.92, 0.92]
    threads = [m for s in done.steps for m in s.motions if m.kind == "thread"]
    assert [m.end.x_dia for m in threads] == pytest.approx([20 - 2 * depth for depth in depths])
    assert {(m.start.z, m.end.z, m.feed) for m in threads} == {(5, -20, 1.5)}
    assert path(done)[-2:] == ["rapid 24 -20", "rapid 24 5"]
    assert codes(done) == []


def test_threads_inside() -> None:
    """A start inside the root diameter: the passes grow outward."""
    done = run_from(15, 5, "G76 P010060 Q100 R0.\nG76 X20. Z-20. P900 Q450 F1.5")
    ends = [m.end.x_dia for s in done.steps for m in s.motions if m.kind == "thread"]
    assert ends == pytest.approx([19.1, 20 - 1.8 + 0.9 * 2**0.5, 20 - 1.8 + 0.9 * 3**0.5, 20])


@pytest.mark.parametrize("text", ["G76 X18. Z-20. Q376 F1.5", "G76 X18. Z-20. P920 F1.5"])
def test_threads_without_a_height_or_a_depth(text: str) -> None:
    """Neither can be guessed."""
    done = run_from(24, 5, text)
    assert (path(done), codes(done)) == ([], ["not-understood"])


def test_cycles_from_nobody_knows_where() -> None:
    """A cycle whose start is unknown makes no motion up."""
    for text in ("G75 X40. P2500", "G76 X18. Z-20. P920 Q376", "G71 P1 Q1\nN1 G0 X20.", "G90 X40. Z-2."):
        done = run_from(50, 2, f"G55\nG71 U2.\n{text}")
        assert done.steps[2].motions == ()
        assert causes(done)
