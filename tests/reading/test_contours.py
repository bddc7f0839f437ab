"""Roughing and finishing along a contour of the program: `G70 G71 G72`. Common practice, no source."""

from __future__ import annotations

import itertools
import math

import pytest

from support.channels import causes, codes, path, run_from

SHAFT = """N10 G0 X20.
N20 G1 Z-10. F.1
X30.
Z-25.
N30 X42.
"""


def test_roughing_along_z() -> None:
    """G71: levels of U (a radius) down to the contour with its allowances, each drawn back by R; then along it."""
    done = run_from(44, 2, f"G71 U4. R1.\nG71 P10 Q30 U1. W.2 F.3\n{SHAFT}G0 X60.")
    assert path(done) == [
        *("rapid 36 2", "feed 36 -24.8", "rapid 38 -23.8", "rapid 38 2"),
        *("rapid 28 2", "feed 28 -9.8", "rapid 30 -8.8", "rapid 30 2"),
        *("rapid 21 2", "feed 21 2.2", "feed 21 -9.8", "feed 31 -9.8", "feed 31 -24.8", "feed 43 -24.8"),
        *("rapid 44 -24.8", "rapid 44 2"),
        "rapid 60 2",
    ]
    assert {m.feed for m in done.steps[1].motions if m.kind == "feed"} == {0.3}
    assert codes(done) == []


def test_the_contour_is_not_run_a_second_time() -> None:
    """Behind the cycle the program goes on behind the contour's last block."""
    done = run_from(44, 2, f"G71 U4. R1.\nG71 P10 Q30 U1. W.2\n{SHAFT}M8")
    assert [s.block.line for s in done.steps] == [1, 2, 8]


def test_roughing_along_x() -> None:
    """G72: the same with levels of W along X."""
    text = "G72 W2. R.5\nG72 P10 Q20 U0. W0.\nN10 G0 Z-5.\nN20 G1 X20. F.1\n"
    assert path(run_from(44, 1, text)) == [
        *("rapid 44 -1", "feed 20 -1", "rapid 21 -0.5", "rapid 44 -0.5"),
        *("rapid 44 -3", "feed 20 -3", "rapid 21 -2.5", "rapid 44 -2.5"),
        *("rapid 44 -5", "feed 20 -5", "rapid 20 1", "rapid 44 1"),
    ]


def test_roughing_in_one_line() -> None:
    """D instead of a first line, in least increments or with a point."""
    for depth in ("D4000", "D4."):
        done = run_from(44, 2, f"G71 P10 Q30 U0. W0. {depth}\n{SHAFT}")
        assert path(done)[:2] == ["rapid 36 2", "feed 36 -25"]


def test_finishing() -> None:
    """G70: along the contour with its own feeds, then back to where the cycle began."""
    done = run_from(44, 2, f"G70 P10 Q30\n{SHAFT}M8")
    assert path(done) == [
        *("rapid 20 2", "feed 20 -10", "feed 30 -10", "feed 30 -25", "feed 42 -25"),
        *("rapid 44 -25", "rapid 44 2"),
    ]
    assert {m.feed for m in done.steps[0].motions if m.cuts} == {0.1}
    assert done.steps[-1].block.line == 7


def test_finishing_a_contour_that_ends_at_z0() -> None:
    """The way back leaves along X first, also from Z0."""
    done = run_from(44, 2, "G70 P1 Q2\nN1 G0 X20.\nN2 G1 Z0.\n")
    assert path(done)[-2:] == ["rapid 44 0", "rapid 44 2"]


def test_finishing_finds_a_contour_above() -> None:
    """The blocks may stand before the cycle, as they do behind G71; the program then just goes on."""
    done = run_from(44, 2, f"G71 U4. R1.\nG71 P10 Q30 U1. W.2\n{SHAFT}G70 P10 Q30\nM8")
    assert [s.block.line for s in done.steps] == [1, 2, 8, 9]
    assert path(done)[-7:-2] == ["rapid 20 2", "feed 20 -10", "feed 30 -10", "feed 30 -25", "feed 42 -25"]


@pytest.mark.parametrize(("code", "sense"), [("G2", 1), ("G3", -1)])
def test_levels_stop_at_an_arc(code: str, sense: int) -> None:
    """A rounded shoulder: each level ends on the arc itself, not on the chord between its ends.

    From X20 Z-10 to X40 Z-20 with R10: centre Z-10, radius 20 (hollow, G02) or Z-20, radius 10 (full, G03).
    """
    text = f"G71 U1. R.5\nG71 P1 Q4 U0. W0.\nN1 G0 X20.\nG1 Z-10. F.1\n{code} X40. Z-20. R10.\nN4 G1 X44.\n"
    done = run_from(44, 2, text)
    motions = done.steps[1].motions
    levels = [m.end for a, m in itertools.pairwise(motions) if m.kind == "feed" and a.kind == "rapid" and a.end.z == 2]
    on_arc = [(p.x_dia or 0.0, p.z or 0.0) for p in levels if 20 < (p.x_dia or 0.0) < 40]
    assert len(on_arc) == 9
    for x, z in on_arc:
        rise = (20 - x / 2) if sense == 1 else (x / 2 - 10)
        along = math.sqrt(100 - rise**2)
        assert z == pytest.approx(-10 - along if sense == 1 else -20 + along, abs=0.03)


@pytest.mark.parametrize(
    ("text", "cause"),
    [
        ("G71 U2.\nG71 P1 Q9 U0. W0.\nN1 G0 X20.\nN2 G1 Z-5.", "are not there"),
        ("G71 U2.\nG71 P2 Q1 U0. W0.\nN1 G0 X20.\nN2 G1 Z-5.", "are not there"),
        ("G71 P1 Q2 U0. W0.\nN1 G0 X20.\nN2 G1 Z-5.", "no depth of cut"),
        ("G71 U2.\nG71 P1 U0. W0.\nN1 G0 X20.", "cannot be known"),
        ("G71 U2.\nG71 P1 Q2 U0. W0.\nN1 G0 X#500\nN2 G1 Z-5.", "cannot be known"),
        ("G70 P1", "cannot be known"),
    ],
)
def test_contours_that_cannot_be_known(text: str, cause: str) -> None:
    """Blocks that are missing or the wrong way round, a depth or a place that nobody gives: said, nothing made up."""
    done = run_from(44, 2, text)
    assert cause in causes(done)
    assert not any(s.motions for s in done.steps[: 2 if text.startswith("G71 U") else 1])


@pytest.mark.parametrize("words", ["M701", "M98 P5", "M69", "T0202", "#1=2", "G83 Z-5.", "G28 U0.", "G4 X1."])
def test_what_a_contour_must_not_hold(words: str) -> None:
    """A wait, a call, a function, a tool, another cycle: left out or done at another moment: said."""
    done = run_from(44, 2, f"G70 P1 Q3\nN1 G0 X20.\nN2 {words}\nN3 G1 Z-5.\n")
    assert ("not-understood", 3) in [(r.code, r.span.line) for r in done.remarks]


def test_what_is_strange_in_a_contour_is_said() -> None:
    """As in any other block, with its own line."""
    done = run_from(44, 2, "G70 P1 Q3\nN1 G0 X20.\nN2 G1 Z-5. Q7 @\nN3 M199\n")
    assert [(r.code, r.span.line) for r in done.remarks if r.code == "not-understood"] == [
        ("not-understood", line) for line in (3, 3, 4)
    ]


def test_contours_are_bounded() -> None:
    """A depth of a thousandth makes five hundred levels, not fifty thousand."""
    done = run_from(100, 2, "G71 U.001\nG71 P1 Q2 U0. W0.\nN1 G0 X0.\nN2 G1 Z-50.\n")
    assert len(done.steps[1].motions) < 2100
