"""Reduced pairs as one Promela model, for the model checker `spin`, and what it finds in them.

This is a second telling of the state table and of the rules of docs/proving.md, in another language and run by an
exhaustive search that is not ours. Every pair of a batch is a choice that the initial process makes. The search visits
every transition of every reachable state; a fault calls an embedded C function that prints it once.
"""

from __future__ import annotations

import shutil
import subprocess
from typing import TYPE_CHECKING, Any

from gemel.proving.facts import LEFT, RIGHT, SIDES

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

    from gemel.proving.model import ChannelModel, Node
    from gemel.proving.shared import Cut, Deed

__all__ = ["HUNG", "NAMES", "is_available", "promela", "run_spin"]

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

_PRELUDE = r"""
c_decl {
  \#include <stdio.h>
  char seen[512][64];
};
c_code {
  void hit(int p, int k) { if (!seen[p][k]) { seen[p][k] = 1; printf("HIT %d %d\n", p, k); } }
};
#define CH 3
short p; byte n;
bit lc = 1, rc, lt, rt, lx, rx, lb, rb, syn, cat, fwd;
byte stock = 1, held; bit joined0, orc, f0;
bit in0[CH], in1[CH], done[CH], go[CH]; byte kind[CH]; short at[CH];
bit tl, tr, loose_l, loose_r, twist;
"""
_KINDS = {None: 0, "turning": 1, "cut-off": 2, "rotating": 3, "bar stop": 4, "bar puller": 5}


def is_available() -> bool:
    """Whether the model checker and a C compiler are installed."""
    return shutil.which("spin") is not None and shutil.which("gcc") is not None


def run_spin(model: str, folder: Path) -> dict[int, set[str]]:
    """What an exhaustive search of the model finds: the codes of each pair."""
    (folder / "pairs.pml").write_text(model)
    commands = (
        ["spin", "-a", "pairs.pml"],
        ["gcc", "-O0", "-w", "-DSAFETY", "-DNOREDUCE", "-DVECTORSZ=4096", "-o", "pan", "pan.c"],
        ["./pan", "-c0", "-E", "-m200000"],
    )
    for command in commands:
        done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)  # noqa: S603 # fixed commands
        assert done.returncode == 0, f"{command}: {done.stdout[-2000:]} {done.stderr[-2000:]}"
    assert "max search depth too small" not in done.stdout
    assert "Search not completed" not in done.stdout
    found: dict[int, set[str]] = {}
    for line in done.stdout.splitlines():
        if line.startswith("HIT "):
            _, pair, code = line.split()
            found.setdefault(int(pair), set()).add(NAMES[int(code)])
    return found


def promela(pairs: Sequence[Sequence[ChannelModel]]) -> str:
    """One model of all pairs."""
    parts = [_PRELUDE]
    for number, models in enumerate(pairs):
        parts.extend(_proctype(number, channel, models) for channel in range(len(models)))
    parts.append(_init(pairs))
    return "\n".join(parts)


def _hit(name: str) -> str:
    return f"c_code {{ hit(now.p, {NAMES.index(name)}); }}"


def _when(condition: str, *then: str) -> str:
    return f"if :: ({condition}) -> {'; '.join(then)} :: else fi"


def _init(pairs: Sequence[Sequence[ChannelModel]]) -> str:
    choices = " ".join(f":: p = {i}; n = {len(m)}" for i, m in enumerate(pairs))
    starts = "\n".join(
        f"  :: (p == {i}) -> atomic {{ {' '.join(f'run C{i}_{c}();' for c in range(len(m)))} }}"
        for i, m in enumerate(pairs)
    )
    ended = " && ".join(f"(n <= {c} || done[{c}])" for c in range(3))
    return f"""
init {{
  if {choices} fi;
  if
{starts}
  fi;
  timeout;
  if
  :: ({ended}) ->
     {_when("lt || rt", _hit("holding:12-turning"))};
     {_when("held == 2", _hit("holding:12-piece"))}
  :: else -> {_hit(HUNG)}
  fi;
  end0: false
}}"""


def _proctype(pair: int, channel: int, models: Sequence[ChannelModel]) -> str:
    nodes = models[channel].nodes
    lines = [f"proctype C{pair}_{channel}() {{"]
    lines += [_node(i, node, channel, models) for i, node in enumerate(nodes)]
    return "\n".join([*lines, "}"])


def _occupied(node: Node, channel: int) -> str:
    tool = _KINDS[str(node.tool) if node.tool else None]
    inside = [int(v >= 0) for v in node.inside]
    return f"in0[{channel}] = {inside[0]}; in1[{channel}] = {inside[1]}; kind[{channel}] = {tool}"


def _node(index: int, node: Node, channel: int, models: Sequence[ChannelModel]) -> str:
    count = len(models)
    if node.kind == "end":
        return f"N{index}: done[{channel}] = 1; end{index}: false"
    if node.kind == "wait":
        return _wait(index, node, channel)
    following = models[channel].nodes[node.next]
    body = [
        "joined0 = (held == 1); orc = 0; f0 = fwd",
        *(s for d in node.deeds for s in _deed(d, node, channel, count)),
        *_behind(node, channel, count),
        _occupied(following, channel),
        *(_meetings(count) if _matters(node, following) else ()),
    ]
    inner = ";\n    ".join(body)
    # A jump may not lead into a d_step itself, but to the choice around it.
    return f"N{index}: if :: d_step {{\n    {inner}\n  }}; goto N{node.next} fi;"


def _wait(index: int, node: Node, channel: int) -> str:
    """Arrives; lets everybody go that the wait names once they are all there; then waits to be let go itself."""
    named = sorted(node.named | {channel})
    everybody = " && ".join(f"at[{c}] == {node.number}" for c in named)
    release = "; ".join(f"at[{c}] = 0; go[{c}] = 1" for c in named)
    ended = " || ".join(f"done[{c}]" for c in named if c != channel) or "false"
    return (
        f"N{index}: if :: d_step {{ at[{channel}] = {node.number}; {_when(everybody, release)} }} fi;\n"
        f"  if :: d_step {{ go[{channel}] -> go[{channel}] = 0 }}; goto N{node.next}\n"
        f"     :: (!go[{channel}] && ({ended})) -> {_hit('waits:ended')}; endw{index}: false fi;"
    )


_MEET = {
    "zones:left": "in0[{a}] && in0[{b}] || fwd && (in0[{a}] && in1[{b}] || in1[{a}] && in0[{b}])",
    "zones:right": "in1[{a}] && in1[{b}]",
}


def _matters(node: Node, following: Node) -> bool:
    """Whether the block can bring two channels together: it enters, changes the tool inside, or moves the slide."""
    return following.inside != (-1, -1) or any(d.kind.startswith("slide") for d in node.deeds)


def _meetings(count: int) -> Iterator[str]:
    for a in range(count):
        for b in range(a + 1, count):
            tests = [_when(c.format(a=a, b=b), _hit(name)) for name, c in _MEET.items()]
            yield _when(f"!(kind[{a}] == 1 && kind[{b}] == 1)", *tests)


def _behind(node: Node, channel: int, count: int) -> Iterator[str]:
    if any(d.kind in {"slide", "slide-under-way"} for d in node.deeds):
        for other in range(count):
            if other != channel:
                yield _when(f"in1[{other}] || (f0 || fwd) && in0[{other}]", _hit("zones:slide"))


_TURNING = frozenset({"start", "sync-on", "sync-off", "stop"})
_HOLDING = frozenset({"open", "close", "cut-off"})


def _deed(deed: Deed, node: Node, channel: int, count: int) -> Iterator[str]:
    """One deed: rules judged on the state before, the change, rules judged on the change."""
    if deed.kind not in _TURNING | _HOLDING:
        yield from _change(deed, node, channel, count)
        return
    yield "loose_l = lt && !lc; loose_r = rt && !rc && !syn; twist = held == 1 && lc && (lt || rt) && !syn"
    starts = deed.kind in {"start", "sync-on"}
    if starts:
        yield "tl = 0; tr = 0"
    yield from _change(deed, node, channel, count)
    yield _when("(lt && !lc && !loose_l) || (rt && !rc && !syn && !loose_r)", _hit("holding:2"))
    yield _when("held == 1 && lc && (lt || rt) && !syn && !twist", _hit("holding:4"))
    if starts:
        yield _when("(tl && lx) || (tr && rx)", _hit("holding:10-start"))
        yield _when("(tl && lb) || (tr && rb)", _hit("holding:13"))


def _change(deed: Deed, node: Node, channel: int, count: int) -> Iterator[str]:
    s = "l" if deed.side == LEFT else "r"
    if deed.kind in {"start", "stop", "sync-on", "sync-off"}:
        return _turning(deed, s)
    if deed.kind in {"open", "close"}:
        return _clamp(deed, s, node, channel, count)
    if deed.kind.startswith(("c-", "brake-")):
        return _c_axis(deed, s)
    return _rest(deed, node, channel, count)


def _turning(deed: Deed, s: str) -> Iterator[str]:
    match deed.kind:
        case "start":
            own = "lt = 1; tl = 1" if deed.side == LEFT else "rt = 1; tr = 1"
            both = "lt = 1; rt = 1; tl = 1; tr = 1" if deed.side == LEFT else "skip"
            yield f"if :: syn -> {both} :: else -> {own} fi"
        case "stop":
            both = "lt = 0; rt = 0" if deed.side == LEFT else "skip"
            yield f"if :: syn -> {both} :: else -> {s}t = 0 fi"
        case "sync-on":
            yield _when("lt && !rt", "tr = 1")
            yield "syn = 1; rt = lt"
        case "sync-off":
            yield "syn = 0"


def _clamp(deed: Deed, s: str, node: Node, channel: int, count: int) -> Iterator[str]:
    if deed.kind == "open":
        yield from _open(s, node, channel, count)
        return
    if deed.side == RIGHT:
        yield _when("!rc && fwd && stock > 0", "held = 1")
    yield f"{s}c = 1"


def _c_axis(deed: Deed, s: str) -> Iterator[str]:
    match deed.kind:
        case "c-on":
            yield _when(f"{s}t", _hit("holding:10-c-on"))
            yield f"{s}x = 1"
        case "c-off":
            yield f"{s}x = 0"
        case "brake-on":
            yield _when(f"{s}t", _hit("holding:13"))
            yield f"{s}b = 1"
        case "brake-off":
            yield f"{s}b = 0"
        case "c-move":
            yield _when(f"{s}b", _hit("holding:13"))
        case _:
            raise AssertionError(deed.kind)


def _rest(deed: Deed, node: Node, channel: int, count: int) -> Iterator[str]:
    match deed.kind:
        case "catcher-out":
            yield "cat = 1"
        case "catcher-in":
            yield "cat = 0"
        case "bar-feed":
            yield _when("lc", _hit("holding:8-clamp"))
            yield from _tools_in(LEFT, ("bar stop",), "holding:8-zone", node, channel, count)
            yield _when("stock == 0", "stock = 1")
        case "pull":
            yield _when("!lc && stock == 0", "stock = 1")
        case "slide" | "slide-under-way":
            yield _when("held == 1 && lc", _hit("holding:7"))
            yield _when("held == 1 && !lc", "stock = 2")
            yield f"fwd = {int(deed.forward)}" if deed.kind == "slide" else f"fwd = fwd || {int(deed.forward)}"
        case "slide-rests":
            yield f"fwd = {int(deed.forward)}"
        case "cut":
            assert deed.cut is not None
            yield from _cut("l" if deed.side == LEFT else "r", deed.cut)
        case "cut-off":
            yield _when("stock > 0 && held != 1 && !cat", _hit("holding:5"))
            yield _when("stock > 0", "stock = stock - 1", _when("held == 1", "held = 2"))
        case _:
            raise AssertionError(deed.kind)


def _open(s: str, node: Node, channel: int, count: int) -> Iterator[str]:
    side = LEFT if s == "l" else RIGHT
    in_zone = list(_tools_in(side, ("bar stop", "bar puller"), "holding:3", node, channel, count))
    yield _when(f"{s}c", _when(f"{s}t", _hit("holding:2")), *in_zone)
    if s == "r":
        yield _when("rc && held == 2 && !cat", _hit("holding:6"))
        yield _when("rc", "orc = 1")
        yield _when("rc && !lc && joined0", _hit("holding:14"))
        yield "held = 0; rc = 0"
    else:
        yield _when("lc && orc && joined0", _hit("holding:14"))
        yield "lc = 0"


def _tools_in(
    side: int,
    harmless: tuple[str, ...],
    name: str,
    *who: Any,
) -> Iterator[str]:
    node, channel, count = who
    place = SIDES.index(side)
    if node.during[place] >= 0 and (node.tool_during is None or str(node.tool_during) not in harmless):
        yield _hit(name)
    for other in range(count):
        if other != channel:
            safe = " || ".join(f"kind[{other}] == {_KINDS[h]}" for h in harmless)
            yield _when(f"in{place}[{other}] && !({safe})", _hit(name))


def _cut(s: str, cut: Cut) -> Iterator[str]:
    yield _when(f"!{s}c", _hit("holding:1"))
    if s == "r":
        yield _when("held == 0", _hit("holding:11"))
    if not cut.rotating:
        yield _when(f"!{s}t", _hit("holding:9-stopped"))
        yield _when(f"{s}x", _hit("holding:9-c-on"))
        return
    if not cut.central:
        yield _when(f"!{s}x", _hit("holding:9-c-off"))
        yield _when(f"{s}t", _hit("holding:9-turning"))
    if not cut.driven:
        yield _hit("holding:9-drive-stopped")
