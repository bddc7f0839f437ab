"""NISTIR 6556: the sample program of annex C.1 as a whole, and the small worked examples of machine states."""

from __future__ import annotations

import math

import pytest

from gemel.reading import read
from support.rs274 import run, run_from

HELLO_WORLD = """(ENGRAVES THE WORDS OF ANNEX C.1)
n0010 g21 g0 x0 y0 z50 (top of part should be on XY plane)
n0020 t1 m6 m3 f20 s4000 (use an engraver or small ball-nose endmill)
n0030 g0 x0 y0 z2
n0040 g1 z-0.5 (start H)
n0050 y10
n0060 g0 z2
n0070 y5
n0080 g1 z-0.5
n0090 x 7
n0100 g0 z2
n0110 y0
n0120 g1 z-0.5
n0130 y10
n0140 g0 z2
n0150 x11 y2.5
n0160 g1 z-0.5 (start e)
n0170 x16
n0190 g3 x13.5 y0 i-2.5
n0200 g1 x16
n0210 g0 z2
n0220 x20 y0
n0230 g1 z-0.5 (start l)
n0240 y9
n0250 g0 z2
n0260 x26
n0270 g1 z-0.5 (start l)
n0280 y0
n0290 g0 z2
n0300 x32.5
n0310 g1 z-0.5 (start o)
n0320 g2 x32.5 j2.5
n0330 g0 z2
n0340 x45 y5
n0350 g1 z-0.5 (start w)
n0360 x47 y0
n0370 x48.5 y3
n0380 x50 y0
n0390 x52 y5
n0400 g0 z2
n0410 x57.5 y0
n0420 g1 z-0.5 (start o)
n0430 g2 x57.5 j2.5
n0440 g0 z2
n0450 x64
n0460 g1 z-0.5 (start r)
n0470 y5
n0480 y4
n0490 g2 x69 r4
n0500 g0 z2
n0510 x73 y0
n0520 g1 z-0.5 (start l)
n0530 y9
n0540 g0 z2
n0550 x81
n0560 g1 z-0.5 (start d)
n0570 y0
n0580 x79.5
n0590 g2 j2.5 y5
n0600 g1 x81
n0610 g0 z50
n0620 m2
"""
"""Annex C.1 (a work of the US government), its comment line worded anew."""


def _points(text: str) -> list[tuple[str, tuple[float, float, float], tuple[float, float, float], float]]:
    """Kind, start, end and sweep in radians of every motion from (0, 0, 50)."""
    done = run_from((0, 0, 50), text)
    found = []
    for step in done.steps:
        for m in step.motions:
            start, end = ((p.x_dia or 0.0, p.y or 0.0, p.z or 0.0) for p in (m.start, m.end))
            found.append((m.kind, start, end, math.radians(m.sweep_deg)))
    return found


def test_sample_program_blocks() -> None:
    """61 numbered blocks, N0010 to N0620 without N0180, and a comment; nothing in them is strange."""
    program = read(HELLO_WORLD.encode(), "c1.ngc")
    numbers = [round(b.parts.number.value or 0) for b in program if b.parts.number]
    assert numbers == [n for n in range(10, 630, 10) if n != 180]
    assert len(program) == len(numbers) + 1
    done = run(HELLO_WORLD)
    assert (done.remarks, done.ending) == ((), "end")


def test_sample_program_totals() -> None:
    """25 rapids, 29 straight cuts, 5 arcs; their lengths, the cut box, and 9.1715 minutes at F20 (all computed)."""
    motions = _points(HELLO_WORLD)
    kinds = [kind for kind, *_ in motions]
    assert {kind: kinds.count(kind) for kind in ("rapid", "feed", "arc")} == {"rapid": 25, "feed": 29, "arc": 5}
    assert [s.block.line for s in run(HELLO_WORLD).steps if not s.motions] == [3, 62]
    rapid = sum(math.dist(start, end) for kind, start, end, _ in motions if kind == "rapid")
    straight = sum(math.dist(start, end) for kind, start, end, _ in motions if kind == "feed")
    arcs = sum(sweep * (4.0 if end[0] == 69 else 2.5) for kind, _, end, sweep in motions if kind == "arc")
    assert (round(rapid, 3), round(straight, 3), round(arcs, 3)) == (202.053, 126.979, 56.452)
    assert straight + arcs == pytest.approx(183.431, abs=1e-3)
    assert (straight + arcs) / 20 == pytest.approx(9.1715, abs=1e-4)


def test_sample_program_cut_box() -> None:
    """It cuts from X0 to X81 and Y0 to Y10 at Z-0.5, as the report itself says of X."""
    cut = [p for kind, start, end, _ in _points(HELLO_WORLD) if kind != "rapid" for p in (start, end)]
    low = [min(p[axis] for p in cut) for axis in range(3)]
    high = [max(p[axis] for p in cut) for axis in range(2)]
    assert (low, high) == ([0, 0, -0.5], [81, 10])


def test_origin() -> None:
    """X = 4, then G92 X7: the offset is -3; then G92 X9: -5. The coordinate of home moves the other way."""
    done = run_from((4, 0, 0), "G92 X7")
    assert (done.state.position.x_dia, done.state.shift) == (7, {"x": 3})
    done = run_from((4, 0, 0), "G92 X7\nG92 X9")
    assert (done.state.position.x_dia, done.state.shift) == (9, {"x": 5})
    home = run_from((4, 0, 0), "G92 X7\nG92 X9\nG28 X9").state.position.x_dia
    assert home == 100 + 5


def test_tapping_feed() -> None:
    """F150 with two threads a unit is S300: the feed is the speed by the pitch, and both words are kept."""
    [_, step] = run_from((0, 0, 5), "M3 S300 F150\nG84 Z-5 R5").steps
    [motion, _] = step.motions
    assert motion.kind == "tap"
    assert motion.feed == (step.speed.value or 0) * 0.5


def test_inverse_time_feed() -> None:
    """G93 F2.0 takes half a minute; each G1, G2, G3 line needs its own F, and one without has none."""
    first, second = run_from((0, 0, 0), "G93 G1 X1 F2.0\nX2").steps
    assert (first.motions[0].feed_mode, 1 / (first.motions[0].feed or 0)) == ("inverse", 0.5)
    assert second.motions[0].feed is None
    assert [remark.code for remark in second.remarks] == ["no-feed"]


@pytest.mark.parametrize(
    ("at", "text", "path"),
    [
        (
            (1, 2, 3),
            "G90 G81 G98 X4 Y5 Z1.5 R2.8",
            ["rapid 4 5 3", "rapid 4 5 2.8", "drill 4 5 1.5", "retract 4 5 3"],
        ),
        (
            (1, 2, 3),
            "G91 G81 G98 X4 Y5 Z-0.6 R1.8 L3",
            [
                "rapid 1 2 4.8",
                *("rapid 5 7 4.8", "drill 5 7 4.2", "retract 5 7 4.8"),
                *("rapid 9 12 4.8", "drill 9 12 4.2", "retract 9 12 4.8"),
                *("rapid 13 17 4.8", "drill 13 17 4.2", "retract 13 17 4.8"),
            ],
        ),
        (
            (30, 1, -0.5),
            "G91 G81 X3 Y2 Z-0.8 R1.5 L2",
            [
                "rapid 30 1 1",
                *("rapid 33 3 1", "drill 33 3 0.2", "retract 33 3 1"),
                *("rapid 36 5 1", "drill 36 5 0.2", "retract 36 5 1"),
            ],
        ),
    ],
    ids=["absolute", "incremental, three times", "Table 10"],
)
def test_drilling_cycle(at: tuple[float, float, float], text: str, path: list[str]) -> None:
    """3.5.16: position, R level, bottom, back; an increment repeated; a tool below the R level goes there first."""
    [_, step] = run_from(at, f"F100\n{text}").steps
    assert [f"{m.kind} {m.end.x_dia:g} {m.end.y:g} {m.end.z:g}" for m in step.motions] == path


def test_position_before_the_table_10_arc() -> None:
    """Table 10: G1 to (3, 1). What G43 would show as Z, 0.5 less a tool of length 1, is the machine's display."""
    assert run_from((0, 0, 0.5), "F1 G1 X3 Y1\nG43 H2").state.position[:3] == (3, 1, 0.5)


def test_a_misspelt_function_spoils_its_line_only() -> None:
    """B.5: the line is rejected as a whole, nothing moves, the next line runs."""
    bad, good = run_from((0, 0, 0), "F1\nG1 X asim[1]\nY2").steps[1:]
    assert (bad.motions, [r.code for r in bad.remarks]) == ((), ["not-understood"])
    assert good.motions[0].end[:2] == (0, 2)
