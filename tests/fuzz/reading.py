"""A coverage-guided search for bytes that the reader cannot bear: `python tests/fuzz/reading.py CORPUS [-runs=N ...]`.

Every input is read, written back, and interpreted in three dialects; what `holds_together` refuses is a crash.
Options are those of libFuzzer. Runs of endless programs are cut short early, so that the search goes on.
"""

from __future__ import annotations

import sys
from pathlib import Path

import atheris

sys.path.insert(0, str(Path(__file__).parents[1]))
with atheris.instrument_imports(include=["gemel.reading"]):
    import gemel.reading.flow
    from support.anything import DIALECTS, bears

gemel.reading.flow.MOST_JUMPS = 20
gemel.reading.flow.MOST_BLOCKS = 100


def once(data: bytes) -> None:
    """One input: its first byte chooses the dialect and the skip switch, the rest is the text."""
    choice = data[0] if data else 0
    bears(data[1:], DIALECTS[choice % len(DIALECTS)], skip=choice >= 128)


if __name__ == "__main__":
    atheris.Setup(sys.argv, once)
    atheris.Fuzz()
