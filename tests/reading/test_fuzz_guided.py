"""A short coverage-guided search (atheris) for bytes that reading or interpreting cannot bear; always the same one.

A longer one: `python tests/fuzz/reading.py CORPUS -max_total_time=600`, with a folder of its own for what it finds.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.fuzz
pytest.importorskip("atheris", reason="atheris has no package for this system")

_HERE = Path(__file__).parents[1]
_RUNS = 3_000
_SEEDS = (
    "%\nO0001 (BUSH)\nN10 G50 S3000 T0101\nG96 S180 M3\nG0 X30. Z2.\nG1 Z-20. F.2\nG3 X40. Z-25. R5.\nG28 U0\nM30\n%",
    "#1=1 #2=[#1*2]\nWHILE[#1 LT 9]DO1\n#1=#1+1\nIF[#1 EQ 5]GOTO 20\nEND1\nN20 G65 P2 A1.\nM30\nO2\nG0 X#1\nM99",
    "G71 U2. R.5\nG71 P10 Q20 U.5 W.1\nN10 G0 X20.\nG2 X30. Z-5. R5.\nN20 G1 X40.\nG70 P10 Q20\nG76 P010060 Q50 R.02\n",
    "G90 G81 G98 X4 Y5 Z1.5 R2.8 L2\nG91 X1\nG80\nG18 G2 X1 Z2 I3 K4\nG20 G92 X7\nG93 G1 X1 F2\nM2",
    "/2 M701 P12\nG83 H30. Z-20. K3 Q500 P100\nM98 P2 L3\nM99 P7\n;\n(A(B)C\nG75 X1. Z2. P10 Q10",
)
_WORDS = (
    *("G0", "G1", "G2", "G3", "G4", "G28", "G32", "G50", "G53", "G65", "G70", "G71", "G72", "G75", "G76", "G83", "G84"),
    *(
        "G90",
        "G91",
        "G92",
        "G94",
        "M98",
        "M99",
        "M30",
        "M701",
        "GOTO",
        "WHILE[",
        "DO1",
        "END1",
        "THEN",
        "SQRT[",
        "ATAN[",
    ),
    *(
        "X1.",
        "Z-2.",
        "U3.",
        "W-1",
        "R5.",
        "I1",
        "K-1",
        "P10",
        "Q20",
        "#1=",
        "#[",
        " EQ ",
        " MOD ",
        "**",
        "O2",
        "N10",
        "/",
    ),
)


def test_a_guided_search_finds_nothing(tmp_path: Path) -> None:
    """Some thousands of inputs that each reach code no earlier one did: none raises, hangs, or breaks a promise."""
    corpus = tmp_path / "corpus"
    corpus.mkdir()
    for number, seed in enumerate(_SEEDS):
        for choice in range(6):
            (corpus / f"{number}-{choice}").write_bytes(bytes([choice * 43]) + seed.encode())
    words = tmp_path / "words.dict"
    words.write_text("".join(f'"{word}"\n' for word in _WORDS))
    options = ["-seed=1", f"-runs={_RUNS}", "-max_len=600", "-rss_limit_mb=1000", f"-dict={words}"]
    done = subprocess.run(  # noqa: S603 # our own interpreter
        [sys.executable, str(_HERE / "fuzz" / "reading.py"), *options, f"-artifact_prefix={tmp_path}/", str(corpus)],
        capture_output=True,
        check=False,
        text=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(p for p in sys.path if p)},
    )
    assert done.returncode == 0, done.stderr[-3000:] + done.stdout[-3000:]
    counted = re.search(r"Done (\d+) runs", done.stderr)
    assert counted is not None
    assert int(counted[1]) >= _RUNS
