"""How many edits that correspond to one value of the YAML are traced to exactly that value.

    python -m benchmarks.traced [COPIES]

A number of a family is changed and the pair written; where only words change, that text is the copy from the control,
and its first edit is traced. Most numbers of a family are tried, also those that nobody would touch at a control.
"""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from support.traced import copies, trace

FAMILIES = ("hex-coupling", "port-block", "sensor-collar", "valve-stem")

if __name__ == "__main__":
    most = int(sys.argv[1]) if len(sys.argv) > 1 else 40
    total: Counter[str] = Counter()
    for family in FAMILIES:
        here: Counter[str] = Counter()
        for guess, pair in copies(family, 7, most):
            told = trace(guess, pair)
            offered = (told.value, float(told.new)) in told.found
            here["first" if told.is_first else "offered" if offered else "other" if told.found else "none"] += 1
            if not told.is_first:
                print(f"  {told.value} to {told.new}: {list(told.found) or 'nothing'}", flush=True)
        print(f"{family:<16} {sum(here.values())} copies: {dict(here)}", flush=True)
        total += here
    share = (total["first"] + total["offered"]) / total.total()
    first = total["first"] / total.total()
    print(f"traced to exactly that value: {share:.1%} of {total.total()}; offered first: {first:.1%}")
