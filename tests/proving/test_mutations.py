"""Mutation of truth: every fault put into a demo pair is found, or one line says why that one is harmless."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import pytest

from gemel.findings import Severity
from gemel.proving.zones import OUTSIDE
from support.proofs import demo_machine, models_of, proof

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.proving import Verdict

_OUTPUT = Path(__file__).parents[2] / "output" / "twin-turnmill"
_WAIT = re.compile(r"(N\d+ )?M7(0[1-9]|[1-9]\d)(?!\d)")
_KEPT_APART = re.compile(r"\b(M70|M73|M74)\b")
_STATE = re.compile(r"\b(M(68|69|168|169|131|132|133|45|46|145|146|05|205|89|90|189|190|73|74|70|105)|G28|G53)\b")

_HARMLESS = (
    (r"^G28", "the channel is outside all zones: the retraction before it went to the clearance already"),
    (r"^M0?5$|^M205$", "the spindle stands already, or nothing behind asks for it to stand before it starts again"),
    (r"^M(89|189)$", "no rule asks for the brake: the C axis alone holds the spindle well enough to drill and mill"),
    (r"^M105$", "no rule asks for a tool drive to stop: it is the drive of a tool that is clear"),
    (r"^M46$|^M146$", "the C axis is off already, or the spindle is not started any more in this pass"),
    (r"^M1?45 again$", "the C axis is on since the operation before, which left it so"),
    (r"^M74$", "no rule asks for the catcher to go in: out, it waits for the next part"),
    (r"^M169$", "the right clamp is open already: it opened on the part before, or at the start"),
    (r"^M70$", "a length of stock is there at the start; without the feed the second pass has none left"),
    (r"G53 A-", "the slide is forward by the other of its two moves, at rapid and at feed"),
    (r"G53 A0", "nobody is at work at the other spindle while the slide stays forward"),
)
"""Dropped blocks that are no fault by the rules, and why; the block without its comment and number."""

_HARMLESS_SWAPS = ((r"^M46$|^M146$", "the next operation mills on the same C axis and switches it on anyway"),)
"""Codes whose opposite is no fault by the rules, and why."""

_HARMLESS_NEIGHBOURS = (
    (r"^G28", "a home move of a channel that is outside all zones"),
    (r"^T\d", "a tool call of a channel that is outside all zones"),
    (r"^G00 Z", "the turret draws back along Z at the clearance, outside all zones"),
    (r"^M74$|^M205$|G53 A0", "the other channel neither needs nor commands it behind that wait"),
)
"""Blocks that a wait may change places with, and why."""


class Mutant(NamedTuple):
    """One change of one program: what it is, the programs with it, and the block that moved or went, if any."""

    words: str
    texts: dict[str, str]
    block: str


def _pairs() -> list[Path]:
    """One pair of each family: the members of a family differ in values, not in structure."""
    first: dict[str, Path] = {}
    for folder in sorted(_OUTPUT.glob("*-*")):
        first.setdefault(folder.name.rpartition("-")[0], folder)
    return list(first.values())


def _texts(folder: Path) -> dict[str, str]:
    return {c: next(folder.glob(f"*.{c}.nc")).read_text() for c in ("upper", "lower")}


def _code(row: str) -> str:
    return re.sub(r"^N\d+ ", "", re.sub(r"\(.*?\)", "", row).strip())


def _names(verdict: Verdict) -> set[str]:
    return {f.name for f in verdict.findings if f.severity is not Severity.NOTE}


def _rows(texts: dict[str, str]) -> Iterator[tuple[str, list[str], int, int | None, int | None]]:
    """Each block with its channel's rows, its index, and the indices of the blocks before and behind it."""
    for channel, text in texts.items():
        rows = text.splitlines()
        blocks = [i for i, row in enumerate(rows) if _code(row)]
        for place, index in enumerate(blocks):
            before = blocks[place - 1] if place else None
            behind = blocks[place + 1] if place + 1 < len(blocks) else None
            yield channel, rows, index, before, behind


def _with(texts: dict[str, str], channel: str, rows: list[str]) -> dict[str, str]:
    return {**texts, channel: "\n".join([*rows, ""])}


def _is_wait(row: str) -> bool:
    return bool(_WAIT.match(row)) and not _KEPT_APART.search(row)


def _wait_mutants(texts: dict[str, str]) -> Iterator[Mutant]:
    """Every wait dropped, doubled and renumbered in one channel."""
    for channel, rows, index, _, _ in _rows(texts):
        row = rows[index]
        if _is_wait(row):
            changes = {
                "dropped": [*rows[:index], *rows[index + 1 :]],
                "doubled": [*rows[:index], row, *rows[index:]],
                "renumbered": [*rows[:index], re.sub(r"M7\d\d", "M798", row), *rows[index + 1 :]],
            }
            for words, changed in changes.items():
                yield Mutant(f"{channel} {index + 1} {row} {words}", _with(texts, channel, changed), "")


def _moved_waits(texts: dict[str, str]) -> Iterator[Mutant]:
    """Every wait moved by one block, in one channel."""
    for channel, rows, index, *neighbours in _rows(texts):
        if _is_wait(rows[index]):
            for other in (n for n in neighbours if n is not None):
                changed = list(rows)
                changed[index], changed[other] = changed[other], changed[index]
                words = f"{channel} {index + 1} {rows[index]} changes places with {rows[other]}"
                yield Mutant(words, _with(texts, channel, changed), _code(rows[other]))


def _dropped_states(texts: dict[str, str]) -> Iterator[Mutant]:
    """Every clamp, synchronisation, C-axis, brake, catcher, home, slide and stop block dropped."""
    for channel, rows, index, _, _ in _rows(texts):
        row = rows[index]
        code = _code(row)
        if _STATE.search(code):
            changed = [*rows[:index], *rows[index + 1 :]]
            again = f"{code} again" if _is_on(rows[:index], code) else code
            yield Mutant(f"{channel} {index + 1} {row} dropped", _with(texts, channel, changed), again)


def _is_on(rows: list[str], code: str) -> bool:
    """Whether `code` engages a C axis that the rows before have engaged and not released."""
    released = {"M45": "M46", "M145": "M146"}.get(code)
    said = [own for own in map(_code, rows) if own in {code, released}]
    return released is not None and said[-1:] == [code]


_OPPOSITE = {
    "M68": "M69",
    "M69": "M68",
    "M168": "M169",
    "M169": "M168",
    "M45": "M46",
    "M46": "M45",
    "M145": "M146",
    "M146": "M145",
    "M131": "M132",
    "M133": "M132",
    "M132": "M131",
}


def _swapped_states(texts: dict[str, str]) -> Iterator[Mutant]:
    """Every clamp, synchronisation and C-axis code replaced by its opposite."""
    for channel, rows, index, _, _ in _rows(texts):
        code = _code(rows[index])
        if code in _OPPOSITE:
            changed = [*rows[:index], _OPPOSITE[code], *rows[index + 1 :]]
            yield Mutant(f"{channel} {index + 1} {rows[index]} swapped", _with(texts, channel, changed), code)


def _missed(folder: Path, mutants: Iterator[Mutant]) -> list[Mutant]:
    """The mutants that show no code that the pair itself does not show."""
    own = _names(proof(demo_machine(), **_texts(folder)))
    return [m for m in mutants if not _names(proof(demo_machine(), **m.texts)) - own]


def _reason(block: str, table: tuple[tuple[str, str], ...]) -> str:
    return next((reason for pattern, reason in table if re.search(pattern, block)), "")


PAIRS = pytest.mark.parametrize("folder", _pairs(), ids=lambda p: p.name)


def test_there_is_a_demo_pair_of_several_families() -> None:
    """The tests below have something to work on."""
    assert len(_pairs()) >= 4


@PAIRS
def test_demo_pair_is_free_of_errors(folder: Path) -> None:
    """A demo pair passes, is understood in full, and was checked to its end."""
    verdict = proof(demo_machine(), **_texts(folder))
    assert verdict.passes
    assert verdict.checked == "all"
    assert set(verdict.understood.values()) == {1.0}


@PAIRS
def test_changed_wait_is_found(folder: Path) -> None:
    """A wait that is dropped, doubled or renumbered in one channel is found."""
    assert not [m.words for m in _missed(folder, _wait_mutants(_texts(folder)))]


@PAIRS
def test_moved_wait_is_found_or_harmless(folder: Path) -> None:
    """A wait that is moved by one block is found, or the block it passed has a reason why that is harmless."""
    missed = _missed(folder, _moved_waits(_texts(folder)))
    assert not [m.words for m in missed if not _reason(m.block, _HARMLESS_NEIGHBOURS)]


@PAIRS
def test_dropped_state_is_found_or_harmless(folder: Path) -> None:
    """A clamp, synchronisation, C-axis, home, slide or stop block that is dropped is found, or harmless by a reason."""
    missed = _missed(folder, _dropped_states(_texts(folder)))
    assert not [m.words for m in missed if not _reason(m.block, _HARMLESS)]


@PAIRS
def test_swapped_state_is_found_or_harmless(folder: Path) -> None:
    """A clamp, synchronisation or C-axis code replaced by its opposite is found, or harmless by a reason."""
    missed = _missed(folder, _swapped_states(_texts(folder)))
    assert not [m.words for m in missed if not _reason(m.block, _HARMLESS_SWAPS)]


@PAIRS
def test_home_moves_are_made_outside_all_zones(folder: Path) -> None:
    """The reason given for home moves holds: each begins and ends outside all zones."""
    for model in models_of(demo_machine(), _texts(folder)):
        for step, way in zip(model.steps, model.passages, strict=True):
            if _code(step.block.text).startswith("G28"):
                assert way.during == OUTSIDE
