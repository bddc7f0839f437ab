"""Operations as the text tells them apart."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest

from gemel.timing import Bar, time_pair
from support.proofs import demo_machine
from support.timed import timeline

_OUTPUT = Path(__file__).parents[2] / "output" / "twin-turnmill"


def _names(text: str) -> list[str]:
    return [b.name for b in timeline(lower=text).lanes[0].bars]


def _demo(name: str) -> tuple[Bar, ...]:
    files = {c: next((_OUTPUT / name).glob(f"*.{c}.nc")) for c in ("upper", "lower")}
    return time_pair({c: (p.name, p.read_bytes()) for c, p in files.items()}, demo_machine()).bars


def test_a_written_program_names_its_operations() -> None:
    """In a demo pair every numbered block that is no stage begins an operation with the comment above it."""
    folder = _OUTPUT / "port-block-35"
    for channel in ("upper", "lower"):
        lines = next(folder.glob(f"*.{channel}.nc")).read_text().splitlines()
        expected = []
        for above, line in pairwise(lines):
            if line.startswith("N") and above.startswith("(") and " M7" not in line:
                expected.append((above.strip("()"), int(line.split()[0][1:])))
        bars = [b for b in _demo("port-block-35") if b.channel == channel]
        assert bars[0].name == "start"
        assert [(b.name, b.sequence) for b in bars[1:]] == expected
        assert all(b.stage is not None and b.sequence // 100 == b.stage // 100 for b in bars[1:] if b.sequence)


def test_comments_inside_an_operation_are_no_operations() -> None:
    """`SLOWER TO THE CENTRE` in a cut-off is a remark to the operator."""
    text = "M701\n(CUT OFF)\nN320 T0303\nG99 G97 S900 M03\nG00 X30.\nG01 X6. F0.1\n(SLOWER)\nG01 X-0.4 F0.05\nM30\n"
    assert _names(text) == ["CUT OFF"]


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("T0101\nG04 X1.\nT0202\nG04 X1.\nM30\n", ["turn-rough-80", "turn-finish-35"]),
        ("T0101 (FACE)\nG04 X1.\nT0202 (BORE)\nG04 X1.\nM30\n", ["FACE", "BORE"]),
        ("(FACE)\nT0101\nG04 X1.\n(BORE)\nT0202\nG04 X1.\nM30\n", ["turn-rough-80", "BORE"]),
        ("G04 X1.\nM701\nG04 X2.\nM30\n", ["start", "start"]),
        ("G04 X1.\n(FACE)\nT0101\nG04 X1.\nM701\nG04 X2.\nM30\n", ["start", "FACE", "FACE"]),
        ("G04 X1.\n(FACE)\nG28 U0\nG28 W0\nT0101\nG04 X1.\nM30\n", ["start", "FACE"]),
        ("G04 X1.\n(PART AWAY)\nG28 U0\nG04 X1.\nM30\n", ["start", "PART AWAY"]),
        ("G04 X1.\n(A REMARK)\nG04 X1.\nM30\n", ["start"]),
        ("G04 X1.\n(TURN)\nN10 G04 X1.\n(REMARK)\nG04 X1.\nM30\n", ["start", "TURN"]),
        ("G04 X1.\n(TURN\n(TWICE))\n(AND AGAIN)\nN10 G04 X1.\nM30\n", ["start", "AND AGAIN"]),
        ("G04 X1.\n(TURN)\n(AND AGAIN)\nN10 G04 X1.\nM30\n", ["start", "TURN AND AGAIN"]),
        ("M98 P20\nM98 P30\nM30\nO20 (BORE)\nT0101\nG04 X1.\nM99\nO30 (TURN)\nT0202\nG04 X1.\nM99\n", ["BORE", "TURN"]),
        ("", []),
    ],
)
def test_programs_as_people_type_them(text: str, names: list[str]) -> None:
    """Tool calls, comments and waits are enough to tell operations apart where nothing is numbered."""
    assert _names(text) == names


def test_every_block_numbered() -> None:
    """Where every block has a number, a comment begins an operation before a tool call or a move home only."""
    text = "N1 G04 X1.\n(FACE)\nN2 T0101\nN3 G04 X1.\n(A REMARK)\nN4 G04 X1.\n(AWAY)\nN5 G28 U0\nN6 G04 X1.\nN7 M30\n"
    assert _names(text) == ["start", "FACE", "AWAY"]


def test_what_a_bar_knows() -> None:
    """A bar has the tool, the spindle, speed and feed of its cuts, and where it stands in the file."""
    text = "M701\n(FACE)\nN110 T0101\nG99 G54\nG50 S3000\nG96 S200 M03\nG00 X60. Z0.\nG01 X0. F0.2\nM30\n"
    (bar,) = timeline(upper="N100 M701\nM30\n", lower=f"N100 {text}").lane("lower").bars
    assert (bar.name, bar.sequence, bar.stage, bar.mark) == ("FACE", 110, 100, 701)
    assert (bar.first_line, bar.last_line, bar.file) == (3, 8, "lower.nc")
    assert (bar.station, bar.tool, bar.spindle, bar.drive) == (1, "turn-rough-80", "left", "left")
    assert bar.rpm == pytest.approx((200_000 / 3.141592653589793 / 60, 3000))
    assert (bar.feed, bar.feed_mode) == ((0.2, 0.2), "revolution")
    assert bar.seconds == pytest.approx(bar.end_s - bar.start_s)
