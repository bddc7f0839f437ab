"""Programs read from their text alone, with a word-address parser that gemel has no part in.

Words come from `pygcode` (a G-code parser of the package registry); what a code means comes from the machine file read
as plain YAML. Nothing of gemel is imported here. Lengths and feeds are given in mm, X as a diameter.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from pygcode.words import text2words
from ruamel.yaml import YAML

if TYPE_CHECKING:
    from collections.abc import Iterator

ROOT = Path(__file__).parents[2]
CUTS = frozenset({"feed", "arc_cw", "arc_ccw", "thread", "drill", "tap"})
_MODES = ("plane", "feed", "offset", "speed", "unit", "compensation", "distance")


class Point(NamedTuple):
    """Where a channel stands; None where the text has not said."""

    x: float | None
    y: float | None
    z: float | None
    c: float | None


@dataclass(frozen=True, slots=True)
class Block:
    """One block: words as parsed, meanings as the machine file gives them, and where it moves.

    Attributes:
        words: letters and numbers, the block number left out.
        means: paths in the machine file's codes, `motion.rapid`.
        wait: number of a wait mark.
        tool: the T word as it stands.
        mode: kind of the move in force, empty where the block does not move.
        depth: the axis and level that a cycle's stroke reaches.
        feed: F in force, mm.
        modes: the modal words in force behind the block, by group.
        stage: how many wait marks lie before it.
    """

    line: int
    text: str
    comment: str
    number: int | None
    words: tuple[tuple[str, float], ...]
    means: tuple[str, ...]
    wait: int | None
    tool: str
    mode: str
    start: Point
    end: Point
    depth: tuple[str, float] | None
    feed: float | None
    modes: dict[str, str]
    stage: int

    def value(self, letter: str) -> float | None:
        """The number of the first word with this letter."""
        return next((value for own, value in self.words if own == letter), None)

    @property
    def low_x(self) -> float | None:
        """Lowest X of a straight move or stroke."""
        known = [x for x in (self.start.x, self.end.x) if x is not None]
        if self.depth and self.depth[0] == "x":
            known.append(self.depth[1])
        return min(known) if known else None


@dataclass(slots=True)
class _State:
    at: Point
    modes: dict[str, str] = field(default_factory=dict)
    motion: str = ""
    feed: float | None = None
    stage: int = 0
    cycle: tuple[str, float] | None = None


@lru_cache
def facts(machine: str) -> dict[str, Any]:
    """The machine file as plain YAML."""
    text = (ROOT / f"templates/{machine}/machine.yaml").read_text(encoding="utf-8")
    loaded: dict[str, Any] = YAML(typ="safe", pure=True).load(text)
    return loaded


@lru_cache
def meanings(machine: str) -> dict[str, str]:
    """Path in `codes` of every G and M word, by letter and shortest number."""
    return {_key(word): path for path, word in _leaves(facts(machine)["codes"], "") if re.match(r"[GM]\d", word)}


def _leaves(value: object, path: str) -> Iterator[tuple[str, str]]:
    if isinstance(value, dict):
        for name, inner in value.items():
            if name not in {"groups", "after_motion", "set", "lathe_cycles"}:
                yield from _leaves(inner, f"{path}.{name}".lstrip("."))
    elif isinstance(value, str):
        yield path, value


def _key(word: str) -> str:
    return f"{word[0]}{float(word[1:]):g}"


class Reader:
    """Reads the text of one channel."""

    def __init__(self, machine: str, channel: str) -> None:
        self.facts = facts(machine)
        self.means = meanings(machine)
        self.channel = self.facts["channels"][channel]
        self.mm = 25.4 if self.facts["unit"] == "inch" else 1.0
        self.comment = self.facts["lines"]["comment"]
        home = self.channel["home"]
        x, y, z = (None if home.get(axis) is None else home[axis] * self.mm for axis in "xyz")
        self.home = Point(x, y, z, None)

    def read(self, text: str) -> list[Block]:
        """Every line with words; lines of the wrapper and of comments alone are left out."""
        state = _State(self.home)
        blocks = []
        for number, line in enumerate(re.split(r"\r\n|\n|\r", text), 1):
            code, comment = self.split(line)
            if code.strip().strip("%") and not re.fullmatch(r"[O%:]\d+", code.strip()):
                blocks.append(self._block(number, line, (code, comment), state))
        return blocks

    def split(self, line: str) -> tuple[str, str]:
        """Code and comment of a line."""
        start, end = self.comment["start"], self.comment.get("end", "")
        code, mark, rest = line.partition(start)
        if not mark:
            return line, ""
        inner, _, behind = rest.partition(end) if end else (rest, "", "")
        return code + behind, inner

    def _block(self, line: int, text: str, parts: tuple[str, str], state: _State) -> Block:
        parsed = self.parsed(parts[0].strip())
        words = [(letter, float(value)) for letter, value in parsed]
        number = next((int(value) for letter, value in words if letter == "N"), None)
        words = [word for word in words if word[0] != "N"]
        tool = next((f"T{value}" for letter, value in parsed if letter == "T"), "")
        wait = self._wait(words)
        means = tuple(
            self.means.get(f"{letter}{value:g}", f"?{letter}{value:g}")
            for letter, value in words
            if letter in "GM" and not (letter == "M" and value == wait)
        )
        for path in means:
            group = path.partition(".")[0]
            if group in _MODES and path != "speed.clamp":
                state.modes[group] = path.partition(".")[2]
            elif group in {"motion", "cycles"}:
                state.motion = re.sub(r".*tap.*", "tap", path.partition(".")[2])
        start = state.at
        moves, depth = self._move(dict(words), means, state)
        feed = dict(words).get("F")
        state.feed = feed * self.mm if feed is not None else state.feed
        block = Block(
            line, text, parts[1], number, tuple(words), means, wait, tool,
            state.motion if moves else "", start, state.at, depth, state.feed, dict(state.modes), state.stage,
        )  # fmt: skip
        state.stage += wait is not None
        return block

    def parsed(self, code: str) -> list[tuple[str, str]]:
        """Letter and number of every word, by a parser from the package registry."""
        return [(word.letter, str(word.value)) for word in text2words(code)]

    def _wait(self, words: list[tuple[str, float]]) -> int | None:
        first, last = self.facts["waits"]["control"]
        return next((int(value) for letter, value in words if letter == "M" and first <= value <= last), None)

    def _move(self, words: dict[str, float], means: tuple[str, ...], state: _State) -> tuple[bool, Any]:
        """Moves the state on; whether the block moves, and a stroke's depth."""
        if {"dwell", "machine_coordinates", "speed.clamp"} & set(means):
            return False, None
        if "home" in means:
            axes = {a for a in "xyz" if a.upper() in words or self.facts["codes"].get("increments", {}).get(a) in words}
            state.at = state.at._replace(**{axis: getattr(self.home, axis) for axis in axes})
            return False, None
        named = {axis: self._length(axis, words[axis.upper()]) for axis in "xyzc" if axis.upper() in words}
        if state.modes.get("distance") == "incremental":
            raise AssertionError(f"an incremental move away from home: {words}")
        if not named or state.motion in {"", "cancel"}:
            return False, None
        if state.motion not in {"drill", "tap"}:
            state.cycle = None
            state.at = state.at._replace(**named)
            return True, None
        return True, self._stroke(named, state)

    def _stroke(self, named: dict[str, float], state: _State) -> tuple[str, float]:
        """A cycle's depth is X under the plane yz, or where its first block has X and no Z; else Z."""
        if state.cycle is None:
            axis = "x" if state.modes.get("plane") == "yz" or ("x" in named and "z" not in named) else "z"
            state.cycle = (axis, named[axis])
        axis = state.cycle[0]
        state.cycle = (axis, named.pop(axis, state.cycle[1]))
        state.at = state.at._replace(**named)
        return state.cycle

    def _length(self, axis: str, value: float) -> float:
        return value if axis == "c" else value * self.mm


class Section(NamedTuple):
    """What one tool does from its call to the next one, or to the end of the stage."""

    stage: int
    tool: str
    blocks: list[Block]


def sections(blocks: list[Block]) -> list[Section]:
    """The blocks of each tool call, stage by stage."""
    found: list[Section] = []
    for block in blocks:
        if block.tool:
            found.append(Section(block.stage, block.tool, [block]))
        elif found and found[-1].stage == block.stage and block.wait is None:
            found[-1].blocks.append(block)
    return found
