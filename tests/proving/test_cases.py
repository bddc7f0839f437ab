"""Hand-typed pairs, one file a code: a pair that fires it, and one that does not."""

from __future__ import annotations

import re
from functools import partial
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from gemel.findings import Severity
from gemel.proving import TABLE
from gemel.proving.explore import explore
from support.cuts import facts
from support.proofs import demo_machine, proof

if TYPE_CHECKING:
    from gemel.cutting.facts import CuttingFacts
    from gemel.machines.schema import Machine
    from gemel.proving import Verdict

CASES = sorted((Path(__file__).parents[1] / "cases").glob("*.txt"))
_EXPECTED = re.compile(r"\(expect ([a-z]+:[A-Za-z0-9-]+)\)")

_BOUND = re.compile(r"at most ([0-9]+) states")


def _machine(first_line: str) -> Machine:
    demo = demo_machine()
    if "no catcher" in first_line:
        return demo.model_copy(update={"catcher": False})
    if "two turrets" in first_line:
        upper = demo.channels["lower"].model_copy(update={"number": 1, "suffix": ".upper.nc"})
        return demo.model_copy(update={"channels": {**demo.channels, "upper": upper}})
    return demo


def _cutting(first_line: str) -> CuttingFacts | None:
    return facts(60.0) if "steel" in first_line else None


def _sections(text: str) -> list[dict[str, str]]:
    """The programs of the pair that fires and of the one that does not, by channel."""
    found = []
    for section in text.split("##### ")[1:]:
        programs = re.split(r"^=== (\w+)\n", section, flags=re.MULTILINE)[1:]
        found.append(dict(zip(programs[::2], programs[1::2], strict=True)))
    return found


def _expected(programs: dict[str, str]) -> set[tuple[str, str, int]]:
    """Code, channel and line of each block that stands below a comment with its code."""
    found = set()
    for channel, text in programs.items():
        waiting: list[str] = []
        for number, line in enumerate(text.splitlines(), 1):
            codes = _EXPECTED.findall(line)
            if codes:
                waiting += codes
                continue
            found |= {(code, channel, number) for code in waiting}
            waiting = []
    return found


def _found(verdict: Verdict, code: str) -> set[tuple[str, str, int]]:
    """The places of all errors and warnings, and of the notes with this code."""
    return {
        (f.name, label.channel, label.span.line)
        for f in verdict.findings
        if f.severity is not Severity.NOTE or f.name == code
        for label in f.labels
    }


@pytest.mark.parametrize("path", CASES, ids=lambda p: p.stem)
def test_case_finds_what_its_comments_say_and_nothing_else(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Errors and warnings are exactly the expected ones, at the blocks below the comments that expect them."""
    text = path.read_text()
    head = text.splitlines()[0]
    code = head.removeprefix("# ").split(";")[0]
    bound = _BOUND.search(head)
    if bound:
        monkeypatch.setattr(import_module("gemel.proving.prove"), "explore", partial(explore, limit=int(bound[1])))
    fires, fine = _sections(text)
    assert any(name == code for name, _, _ in _expected(fires))
    assert not any(name == code for name, _, _ in _expected(fine))
    for programs in (fires, fine):
        assert _found(proof(_machine(head), _cutting(head), **programs), code) == _expected(programs)


def test_every_code_has_a_case() -> None:
    """No code of the table is without a file in tests/cases."""
    assert {path.stem for path in CASES} == {entry.name.replace(":", "-") for entry in TABLE}


def test_every_code_is_explained() -> None:
    """Every entry says what, why, an example and a remedy, and no name stands twice."""
    assert len({entry.name for entry in TABLE}) == len(TABLE)
    for entry in TABLE:
        assert all((entry.what, entry.why, entry.example, entry.remedy)), entry.name
