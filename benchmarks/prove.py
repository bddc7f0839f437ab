"""How long a proof takes: a demo pair against the model checker on the same model, and pairs that grow."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path
from time import perf_counter

_TESTS = Path(__file__).parents[1] / "tests"
sys.path.insert(0, str(_TESTS))

from support.promela import is_available, promela, run_spin  # noqa: E402 # the same
from support.proofs import demo_machine, explored, models_of, proof  # noqa: E402 # the tests' own support, found above

_OUTPUT = Path(__file__).parents[1] / "output" / "twin-turnmill"
_GOAL_MS = 50.0
_GOAL_SPIN = 100.0


def _texts(folder: Path) -> dict[str, str]:
    return {c: next(folder.glob(f"*.{c}.nc")).read_text() for c in ("upper", "lower")}


def _seconds(texts: dict[str, str]) -> tuple[float, int]:
    """The median of nine proofs, and how many states they looked at."""
    times = []
    for _ in range(9):
        begun = perf_counter()
        verdict = proof(demo_machine(), **texts)
        times.append(perf_counter() - begun)
    return sorted(times)[4], verdict.states


def demo_pairs() -> None:
    """One pair of each family: read, interpreted, explored, against spin with its compile on the same reduced model."""
    first: dict[str, Path] = {}
    for folder in sorted(_OUTPUT.glob("*-*")):
        first.setdefault(folder.name.rpartition("-")[0], folder)
    for folder in first.values():
        texts = _texts(folder)
        ours, states = _seconds(texts)
        row = f"prove {folder.name}: {ours * 1000:.1f} ms (goal {_GOAL_MS:.0f}), {states} states"
        if is_available():
            models = models_of(demo_machine(), texts)
            begun = perf_counter()
            explored(demo_machine(), models)
            search = perf_counter() - begun
            with tempfile.TemporaryDirectory() as place:
                begun = perf_counter()
                run_spin(promela([models]), Path(place))
                theirs = perf_counter() - begun
            row += f"; search of the model {search * 1000:.1f} ms, by spin with its compile {theirs:.2f} s: "
            row += f"{theirs / search:.0f} times (goal {_GOAL_SPIN:.0f})"
        print(row, flush=True)


def _staged(stages: int, shared: int, plain: int) -> dict[str, str]:
    """A pair of that many stages, each with blocks that change shared state and blocks that touch none."""
    upper, lower = ["G21 G18 G40 G80"], ["G21 G18 G40 G80"]
    rest = ["G00 X300.", "G00 X310."] * (plain // 2)
    for number in range(stages):
        upper += [f"M{701 + number}", *(["M145", "M146", "M189", "M190"] * shared)[:shared], *rest]
        lower += [f"M{701 + number}", *(["M73", "M74", "M45", "M46"] * shared)[:shared], *rest]
    return {"upper": "\n".join([*upper, "M30", ""]), "lower": "\n".join([*lower, "M30", ""])}


def growth() -> None:
    """Stages and shared blocks; and blocks that touch no shared state, which must add no states."""
    for stages, shared, plain in ((10, 10, 0), (40, 30, 0), (40, 30, 100), (10, 10, 1000), (10, 10, 2000)):
        seconds, states = _seconds(_staged(stages, shared, plain))
        what = f"{stages} waits, {shared} shared and {plain} other blocks a stage"
        print(f"prove {what}: {seconds * 1000:.0f} ms, {states} states", flush=True)


if __name__ == "__main__":
    demo_pairs()
    growth()
