"""Reduced pairs for the model checker `spin`, and what it finds in them.

This is a second telling of the state table and of the rules of docs/proving.md, in other languages (Promela for the
interleavings and the waits, C for what a block does) and run by an exhaustive search that is not ours. The model is one
for all pairs: it reads the pairs from a file, and which pair it searches is the first choice that it makes. The search
visits every transition of every reachable state; a fault calls a C function that prints it once.
"""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from gemel.proving.model import ChannelModel, Node

__all__ = ["HUNG", "NAMES", "compile_model", "is_available", "search"]

HUNG = "waits:hung"
"""A state in which nobody can move and not all have ended."""

NAMES = (
    HUNG,
    "waits:ended",
    "zones:left",
    "zones:right",
    "zones:slide",
    *(
        f"holding:{n}"
        for n in (
            *("1", "2", "3", "4", "5", "6", "7", "8-clamp", "8-zone", "9-c-off", "9-turning", "9-drive-stopped"),
            *("9-stopped", "9-c-on", "10-c-on", "10-start", "11", "13", "14", "12-turning", "12-piece"),
        )
    ),
)
"""What the model can show, by the number under which it prints it."""

_MODEL = Path(__file__).with_name("pair.pml")
_NODE_KINDS = {"act": 0, "repeat": 0, "wait": 1, "end": 2}
_TOOLS = {None: 0, "turning": 1, "cut-off": 2, "rotating": 3, "bar stop": 4, "bar puller": 5}
_DEEDS = (
    *("start", "stop", "open", "close", "c-on", "c-off", "brake-on", "brake-off", "sync-on", "sync-off"),
    *("catcher-out", "catcher-in", "bar-feed", "slide", "pull", "c-move", "cut", "cut-off"),
    "slide-rests",
)


def is_available() -> bool:
    """Whether the model checker and a C compiler are installed."""
    return shutil.which("spin") is not None and shutil.which("gcc") is not None


def _names() -> str:
    """The numbers of codes and deeds for the C part."""
    codes = [f"#define F_{n.split(':')[0]}_{n.split(':')[1].replace('-', '_')} {i}" for i, n in enumerate(NAMES)]
    deeds = [f"#define D_{n.replace('-', '_')} {i}" for i, n in enumerate(_DEEDS)]
    return "\n".join([*codes, *deeds, ""])


def compile_model(folder: Path, optimise: str = "-O1") -> Path:
    """The search as a program, in a folder; `optimise` is passed to the compiler."""
    shutil.copy(_MODEL, folder / "pair.pml")
    shutil.copy(_MODEL.with_name("pair.h"), folder / "pair.h")
    (folder / "names.h").write_text(_names())
    for command in (
        ["spin", "-a", "pair.pml"],
        ["gcc", optimise, "-w", "-DSAFETY", "-DNOREDUCE", "-o", "pan", "pan.c"],
    ):
        _run(command, folder)
    return folder / "pan"


def search(program: Path, pairs: Sequence[Sequence[ChannelModel]], folder: Path) -> dict[int, set[str]]:
    """What an exhaustive search finds: the codes of each pair."""
    (folder / "pairs.txt").write_text(" ".join(str(n) for n in _numbers(pairs)))
    said = _run([str(program), "-c0", "-E", "-m400000"], folder)
    assert "max search depth too small" not in said
    assert "Search not completed" not in said
    found: dict[int, set[str]] = {}
    for line in said.splitlines():
        if line.startswith("HIT "):
            _, pair, code = line.split()
            found.setdefault(int(pair), set()).add(NAMES[int(code)])
    return found


def _run(command: list[str], folder: Path) -> str:
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)  # noqa: S603 # fixed commands
    assert done.returncode == 0, f"{command}: {done.stdout[-2000:]} {done.stderr[-2000:]}"
    return done.stdout


def _numbers(pairs: Sequence[Sequence[ChannelModel]]) -> Iterator[int]:
    """The pairs as numbers, in the order in which the model reads them."""
    yield len(pairs)
    for models in pairs:
        yield len(models)
        for model in models:
            yield len(model.nodes)
            for node in model.nodes:
                yield from _node(node)


def _node(node: Node) -> Iterator[int]:
    yield _NODE_KINDS[node.kind]
    yield node.next
    yield node.number
    yield sum(1 << (c if c >= 0 else 7) for c in node.named)
    for inside, tool in ((node.inside, node.tool), (node.during, node.tool_during)):
        yield from (int(v >= 0) for v in inside)
        yield _TOOLS[str(tool) if tool else None]
    yield int(node.slides)
    yield len(node.deeds)
    for deed in node.deeds:
        yield _DEEDS.index(deed.kind)
        yield deed.side
        yield int(deed.forward)
        yield from (int(deed.cut is not None and v) for v in (deed.cut or (0, 0, 0))[:3])
