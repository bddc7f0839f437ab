"""Blocks that are put together from memory know as much as those that a template has just written."""

from __future__ import annotations

import pytest

from gemel.families.resolve import jobs_of, resolve
from gemel.numbers import Number, formula, leaves
from gemel.operations import toolpath
from gemel.pairs import pair
from gemel.writing import Writer, WrittenPair
from support.demo import ROOT
from support.demo_family import demo_family, turnmill

FAMILIES = ("hex-coupling", "port-block", "sensor-collar")
TEMPLATES = {
    name: (ROOT / f"templates/twin-turnmill/{name}").read_text(encoding="utf-8")
    for name in ("program.nc.j2", "steps.nc.j2")
}


def _writer() -> Writer:
    return Writer(turnmill(), TEMPLATES)


def _written(writer: Writer, name: str, member: str) -> WrittenPair:
    family = demo_family(name)
    part = resolve(family, member)
    paths = {job.id: toolpath(job) for job in jobs_of(family, part).values()}
    return writer.write(part, pair(part, turnmill(), paths))


def _known(value: object) -> object:
    """What can be asked of a value: a number's formula and the places of its leaves, the place of a text."""
    if isinstance(value, Number):
        return float(value), formula(value), tuple(leaves(value))
    return value, getattr(value, "place", None)


@pytest.mark.parametrize("name", FAMILIES)
def test_a_block_from_memory_has_the_origins_of_its_own_step(name: str) -> None:
    """Every piece of every line: text, columns, template line, operation and step, value, formula, places."""
    members = demo_family(name).members()
    warm = _writer()
    for member in (*members, *members):
        from_memory = _written(warm, name, member)
        fresh = _written(_writer(), name, member)
        assert from_memory.stamp == fresh.stamp
        for channel, program in fresh.channels.items():
            assert from_memory.channels[channel].text == program.text
            one, other = program.map, from_memory.channels[channel].map
            assert one is not None
            assert other is not None
            for line in range(1, len(program.text.split("\n"))):
                pieces = [[p._replace(value=_known(p.value)) for p in known.pieces(line)] for known in (one, other)]
                assert pieces[0] == pieces[1]
