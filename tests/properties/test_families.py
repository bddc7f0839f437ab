"""More than 300 families that nobody drew, over both machines: what must hold of every program, read from its text."""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING

from hypothesis import HealthCheck, given, settings

from gemel.documents import compose, validate
from gemel.families.load import Catalogues, load_catalogues, load_family
from gemel.families.resolve import jobs_of, resolve
from gemel.machines.schema import Machine
from gemel.operations import toolpath
from gemel.pairs import pair
from gemel.proving import prove
from gemel.writing import write_pair
from support.demo import ROOT
from support.families import Made, families
from support.outside import Block, Reader, facts

if TYPE_CHECKING:
    from collections.abc import Mapping

WORD = re.compile(r"([A-Z])(-?(?:[0-9]+\.?[0-9]*|\.[0-9]+))")
OFTEN = settings(max_examples=180, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))


@cache
def _machine(name: str) -> tuple[Machine, dict[str, str]]:
    folder = ROOT / "templates" / name
    file = f"templates/{name}/machine.yaml"
    machine = validate(Machine, compose((ROOT / file).read_text(encoding="utf-8"), file))
    return machine, {path.name: path.read_text(encoding="utf-8") for path in folder.glob("*.j2")}


@cache
def _catalogues() -> Catalogues:
    tools, materials = (
        ((ROOT / file).read_text(encoding="utf-8"), file)
        for file in ("templates/tools.yaml", "templates/materials.yaml")
    )
    return load_catalogues(tools, materials)


def written(made: Made) -> dict[str, str]:
    """The programs of a family's only member, by channel."""
    machine, templates = _machine(made.machine)
    family = load_family(made.text, "families/thought-up.yaml", machine, _catalogues())
    part = resolve(family, "1")
    plan = pair(part, machine, {name: toolpath(job) for name, job in jobs_of(family, part).items()})
    return {name: channel.text for name, channel in write_pair(part, plan, machine, templates).channels.items()}


class _Plain(Reader):
    """The outside reader with words by a plain expression: quick enough for hundreds of programs."""

    def parsed(self, code: str) -> list[tuple[str, str]]:
        words = WORD.findall(code)
        assert "".join(letter + number for letter, number in words) == code.replace(" ", ""), code
        return words


def _read(made: Made, texts: Mapping[str, str]) -> dict[str, list[Block]]:
    return {channel: _Plain(made.machine, channel).read(text) for channel, text in texts.items()}


def _check_waits(programs: Mapping[str, list[Block]]) -> None:
    marks = [[b.wait for b in blocks if b.wait is not None] for blocks in programs.values()]
    assert marks[0] == sorted(set(marks[0]))
    assert all(mark == marks[0] for mark in marks)


def _check_numbers(made: Made, texts: Mapping[str, str]) -> None:
    rules = facts(made.machine)["numbers"]
    for channel, text in texts.items():
        reader = _Plain(made.machine, channel)
        for row in re.split(r"\r?\n", text):
            code, _ = reader.split(row)
            if not code.strip("%") or code[0] in "O:":
                continue
            assert len(row) <= facts(made.machine)["lines"]["longest"]
            for letter, number in reader.parsed(code):
                whole, _, decimals = number.partition(".")
                assert len(decimals) <= rules["decimals_read"]
                assert len(whole) <= 8
                assert float(number) or number[0] != "-", code
                assert "." in number or not float(number) or letter not in "XYZUVWABCHIJKR", code


def _check_paths(made: Made, programs: Mapping[str, list[Block]]) -> None:
    """Inside travel everywhere, at the clearance where tools change and channels wait, cuts near the part."""
    machine = facts(made.machine)
    mm = 25.4 if machine["unit"] == "inch" else 1.0
    clearance = machine["zones"]["clearance"] * mm
    for channel, blocks in programs.items():
        travel = machine["channels"][channel]["travel"]
        for b in blocks:
            for axis in "xyz":
                value = getattr(b.end, axis)
                if value is not None and axis in travel:
                    assert travel[axis][0] * mm - 1e-9 <= value <= travel[axis][1] * mm + 1e-9, b.text
            if b.wait is not None or b.tool:
                assert b.start.x is not None
                assert b.start.x >= clearance - 1e-9, b.text
            if b.mode in {"feed", "thread", "drill", "tap"} and b.low_x is not None and b.low_x < clearance:
                assert b.end.z is not None
                assert -made.length_mm - 12 <= b.end.z <= 15, b.text
                assert b.end.x is not None
                assert b.end.x <= made.stock_mm + 20, b.text


def _check_all(made: Made) -> None:
    texts = written(made)
    programs = _read(made, texts)
    _check_waits(programs)
    _check_numbers(made, texts)
    _check_paths(made, programs)


@OFTEN
@given(families())
def test_programs_of_any_family_can_be_read_and_stay_in_their_place(made: Made) -> None:
    """Waits agree in both channels, numbers can be read, toolpaths stay inside clearance and travel."""
    _check_all(made)


@OFTEN
@given(families())
def test_programs_of_other_families_can_be_read_and_stay_in_their_place(made: Made) -> None:
    """The same of as many others, drawn anew for each test name; with these there are more than 300."""
    _check_all(made)


@settings(max_examples=20, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(families())
def test_programs_of_any_family_pass_the_proof(made: Made) -> None:
    """What gemel writes, gemel proves: no error in the texts."""
    machine, _ = _machine(made.machine)
    texts = written(made)
    verdict = prove({channel: (f"{channel}.nc", text.encode()) for channel, text in texts.items()}, machine)
    assert [finding for finding in verdict.findings if finding.is_error] == []


@settings(max_examples=10, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(families())
def test_the_same_family_gives_the_same_bytes(made: Made) -> None:
    """No clock, no order of a dictionary, nothing left over from the pair before."""
    assert written(made) == written(made)
