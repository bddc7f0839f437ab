"""Nothing lost, measured: control copies by seed over all demo pairs, with and without a following drawing revision.

    python -m benchmarks.nothing_lost [COPIES]      5,000 when left out

Every injected edit must be reported and none invented; when all are kept and the drawing is revised, every kept edit
must be in the regenerated text, be what the revision brings anyway, or come back stranded. `benchmarks/traced.py`
measures how many edits of one value are traced to exactly that value.
"""

from __future__ import annotations

import os
import sys
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from time import monotonic

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from support import demo  # the tests' own support, found above
from support.nothing_lost import tally  # the same
from support.revised import carried_over  # the same

_COPIES = 5000
_PIECE = 50


def looked_at(seeds: range) -> Counter[str]:
    """What came of the copies with these seeds."""
    names, total = demo.names(), Counter[str]()
    for seed in seeds:
        name = names[seed % len(names)]
        told = tally(name, seed)
        total["copies"] += 1
        total["edits injected"] += len(told.copy.edits)
        total["not reported"] += told.missing.total()
        total["invented"] += told.invented.total()
        carried = carried_over(name, seed)
        if carried is None:
            continue
        total["copies with a revision behind them"] += 1
        total["edits kept"] += carried.kept
        total["in the regenerated text"] += carried.carried
        total["brought by the revision itself"] += carried.settled
        total["stranded, and said so"] += carried.stranded
        total["lost"] += len(carried.lost)
        total["wrong in the regenerated text"] += carried.wrong.total()
    return total


if __name__ == "__main__":
    copies = int(sys.argv[1]) if len(sys.argv) > 1 else _COPIES
    begun = monotonic()
    summed: Counter[str] = Counter()
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        for part in pool.map(looked_at, [range(at, min(copies, at + _PIECE)) for at in range(0, copies, _PIECE)]):
            summed += Counter(part)
    for what in (
        *("copies", "edits injected", "not reported", "invented", "copies with a revision behind them", "edits kept"),
        *("in the regenerated text", "brought by the revision itself", "stranded, and said so", "lost"),
        "wrong in the regenerated text",
    ):
        print(f"{summed[what]:>8,}  {what}")
    print(f"{monotonic() - begun:>8.0f}  seconds")
    sys.exit(
        bool(summed["not reported"] + summed["invented"] + summed["lost"] + summed["wrong in the regenerated text"])
    )
