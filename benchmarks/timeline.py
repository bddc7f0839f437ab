"""How long the timeline of a demo pair takes, from its bytes, against reading the same bytes alone.

Ours: reading, durations block by block, waits, period, critical path, what a second saved in each operation brings.
Against: reading: blocks, words and the run of every channel. Of a pair that repeats ours reads two passes.
"""

from __future__ import annotations

from pathlib import Path

from benchmarks.side_by_side import HEAD, Figure, compare

from gemel.documents import compose, validate
from gemel.machines.dialect import dialect_of
from gemel.machines.schema import Machine
from gemel.reading import ChannelText, Run, interpret, read
from gemel.timing import time_pair

ROOT = Path(__file__).parents[1]
_OUTPUT = ROOT / "output" / "twin-turnmill"
_GOAL_MS = 30.0
_GOAL = 2.5


def _machine() -> Machine:
    file = ROOT / "templates" / "twin-turnmill" / "machine.yaml"
    return validate(Machine, compose(file.read_text(encoding="utf-8"), "machine.yaml"))


def _programs(folder: Path, machine: Machine) -> dict[str, tuple[str, bytes]]:
    files = {c: folder / f"{folder.name}{facts.suffix}" for c, facts in machine.channels.items()}
    return {channel: (path.name, path.read_bytes()) for channel, path in files.items()}


def _read(programs: dict[str, tuple[str, bytes]], machine: Machine) -> list[Run]:
    """What reading alone does: one pass of every channel."""
    return [interpret(ChannelText(dialect_of(machine, c), (read(d, n),))) for c, (n, d) in programs.items()]


def measure(folders: list[Path] | None = None, name: str = "") -> Figure:
    """Some demo pairs, all by default; the machine file is read outside of both."""
    machine = _machine()
    chosen = folders or sorted(p for p in _OUTPUT.iterdir() if p.is_dir())
    pairs = [_programs(folder, machine) for folder in chosen]
    return compare(
        (name or f"time {len(pairs)} pairs", "reading the same programs"),
        lambda: sum(len(time_pair(programs, machine).bars) for programs in pairs),
        lambda: sum(len(_read(programs, machine)) for programs in pairs),
        goal=_GOAL,
        rounds=15 if folders else 9,
    )


def each() -> list[Figure]:
    """The longest pair of each demo family."""
    families: dict[str, Path] = {}
    for folder in sorted(_OUTPUT.iterdir(), key=lambda p: sum(f.stat().st_size for f in p.glob("*.nc"))):
        families[folder.name.rpartition("-")[0]] = folder
    return [measure([folder], f"time {folder.name}") for folder in families.values()]


if __name__ == "__main__":
    print(HEAD)
    figures = each()
    for figure in figures:
        print(figure.row())
    slowest = max(figures, key=lambda f: f.ours_s)
    met = "met" if slowest.ours_s * 1000 <= _GOAL_MS else "MISSED"
    print(f"slowest: {slowest.name} {slowest.ours_s * 1000:.1f} ms (goal {_GOAL_MS:.0f} ms) {met}")
    print(measure().row())
