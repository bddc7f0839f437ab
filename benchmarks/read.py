"""How long a posted program of 200,000 blocks takes to read without losing a byte, against parsers of the registry.

Words are read when first asked for. Both ends are shown: the words of the blocks that a check looks at first (those
with an M word), and those of every block, one after the other. The other side is the fastest parser found that gives
every word of a block: `gcodeparser`; it keeps neither block numbers nor spelling, and refuses `F900.`, so every number
here has digits behind its point. `pygcode` reads that and keeps more, and is slower. A printer's parser that is faster
gives the axis letters only, no G, M, N, S or T, and is left out.
"""

from __future__ import annotations

import random
import re
from functools import cache
from time import perf_counter

from benchmarks.side_by_side import HEAD, Figure, compare
from gcodeparser import parse_gcode_lines
from pygcode.words import text2words

from gemel.reading import read, write

_BLOCKS = 200_000
_GOAL_FIRST = 1 / 5
_GOAL_ALL = {"pygcode": 1 / 2, "gcodeparser": 1.0}
_M_WORD = re.compile(rb"[^(;M]*M")


@cache
def posted(blocks: int = _BLOCKS) -> str:
    """A program as a post-processor writes it: short moves in three axes, arcs, some speeds and comments; 9 MB."""
    rng = random.Random(1)  # noqa: S311 # the same program every time
    rows = ["%", "O1234 (POSTED)", "G21 G17 G40 G80 G90"]
    x = y = 0.0
    while len(rows) < blocks - 2:
        head = f"N{10 * len(rows)} "
        x, y, kind = x + rng.uniform(-1, 1), y + rng.uniform(-1, 1), rng.random()
        if kind < 0.8:
            rows.append(f"{head}G01 X{x:.4f} Y{y:.4f} Z{rng.uniform(-5, 5):.4f} F{rng.randint(200, 900)}.0")
        elif kind < 0.95:
            i, j = rng.uniform(-2, 2), rng.uniform(-2, 2)
            rows.append(f"{head}G0{rng.choice('23')} X{x:.4f} Y{y:.4f} I{i:.4f} J{j:.4f}")
        elif kind < 0.97:
            rows.append(f"{head}G00 Z{rng.uniform(1, 9):.4f} (CLEAR)")
        else:
            rows.append(f"{head}M03 S{rng.randint(500, 9000)}")
    return "\n".join([*rows, "M30", "%", ""])


def _first() -> int:
    """Read, the bytes back, and the words of the blocks with an M word."""
    data = posted().encode()
    program = read(data)
    assert write(program) == data
    return sum(len(program[i].words) for i in program.lines_like(_M_WORD))


def _all() -> int:
    """Read, the bytes back, and the words of every block."""
    data = posted().encode()
    program = read(data)
    assert write(program) == data
    return sum(len(block.words) for block in program)


def _gcodeparser() -> int:
    return len(list(parse_gcode_lines(posted())))


def _pygcode() -> int:
    rows = [row.partition("(")[0].strip(" %") for row in posted().splitlines()]
    return sum(len(words) for words in [list(text2words(row)) for row in rows])


def measure() -> Figure:
    """Read with the words that are asked for first, against every word by the fastest parser."""
    return compare(
        ("read, words on demand", "gcodeparser, 200,000 blocks"), _first, _gcodeparser, _GOAL_FIRST, rounds=3
    )


def measure_all() -> list[Figure]:
    """Read with the words of every block, against both parsers."""
    sides = (("pygcode", _pygcode), ("gcodeparser", _gcodeparser))
    return [
        compare(("read, every word", f"{name}, 200,000 blocks"), _all, theirs, _GOAL_ALL[name], rounds=3)
        for name, theirs in sides
    ]


if __name__ == "__main__":
    print(f"{_BLOCKS:,} blocks, {len(posted()) / 1e6:.1f} MB")
    print(HEAD)
    for figure in (measure(), *measure_all()):
        rates = (_BLOCKS / seconds / 1000 for seconds in (figure.ours_s, figure.theirs_s))
        print(figure.row(), " thousand blocks a second:", *(f"{rate:.0f}" for rate in rates), flush=True)
    begun = perf_counter()
    read(posted().encode())
    print(f"read alone: {(perf_counter() - begun) * 1000:.0f} ms")
