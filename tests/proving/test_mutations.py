"""Mutation of truth: every fault put into a demo pair is found, or one line says why that one is harmless.

Every wait of the first pair of each family, for every machine that it can be written for; of all else, and of all other
pairs, a sample. `python -m benchmarks.prove whole` looks at all of them.
"""

from __future__ import annotations

from functools import cache
from itertools import islice

import pytest

from support.demo_pairs import demo_members, demo_pair
from support.mutants import Mutant, Subject, mutants

_MACHINES = ("twin-turnmill", "inch-duplex")
_EVERY = 5
_OF_OTHERS = 12
_ALL = [(machine, *pair) for machine in _MACHINES for pair in demo_members(machine)]
_FIRST = list({(machine, family): (machine, family, member) for machine, family, member in reversed(_ALL)}.values())
_OTHERS = [pair for pair in _ALL if pair not in _FIRST]


@cache
def _subject(machine: str, family: str, member: str) -> Subject:
    return Subject(*demo_pair(machine, family, member))


def _check(subject: Subject, of: list[Mutant]) -> None:
    """No mutant is neither found nor harmless by a reason."""
    assert of
    missed = [mutant.words for mutant in of if subject.fate(mutant) == (set(), "")]
    assert not missed


FIRST = pytest.mark.parametrize("pair", _FIRST, ids="-".join)


def test_all_demo_pairs_are_there() -> None:
    """Thirteen pairs of four families for the first machine, all but the one with a posted body for the second."""
    assert len(_ALL) == 25
    assert len(_FIRST) == 8


@pytest.mark.parametrize("pair", _ALL, ids="-".join)
def test_demo_pair_is_free_of_errors(pair: tuple[str, str, str]) -> None:
    """A demo pair shows nothing but what a pair that repeats with a part from the pass before must show."""
    assert _subject(*pair).found <= {"holding:1-first-part", "holding:11-first-part", "holding:12-piece"}


@FIRST
def test_changed_wait_is_found_or_harmless(pair: tuple[str, str, str]) -> None:
    """A wait that is dropped, doubled, renumbered or moved by one block in one channel."""
    subject = _subject(*pair)
    waits = [m for m in mutants(subject) if m.change.startswith("wait")]
    _check(subject, waits)
    unmoved = [m for m in waits if m.change != "wait moved"]
    assert all(subject.fate(m)[0] for m in islice(unmoved, 0, None, _EVERY)), "no reason excuses these"


@FIRST
def test_changed_state_is_found_or_harmless(pair: tuple[str, str, str]) -> None:
    """A clamp, synchronisation, C-axis, brake, catcher, home, slide or stop block that is dropped, moved or turned."""
    subject = _subject(*pair)
    states = [m for m in mutants(subject) if not m.change.startswith("wait")]
    _check(subject, list(islice(states, 0, None, _EVERY)))


@pytest.mark.parametrize("pair", _OTHERS, ids="-".join)
def test_other_members_are_no_different(pair: tuple[str, str, str]) -> None:
    """A sample of all mutants of every other pair; which ones differs from pair to pair."""
    subject = _subject(*pair)
    _check(subject, list(islice(mutants(subject), _OTHERS.index(pair) % _OF_OTHERS, None, _OF_OTHERS)))


@FIRST
def test_home_moves_are_made_outside_all_zones(pair: tuple[str, str, str]) -> None:
    """The reason given for home moves holds: each begins and ends outside all zones."""
    subject = _subject(*pair)
    homes = [m for m in mutants(subject) if m.change == "dropped" and "home" in subject.what(m.channel, m.line)]
    assert homes
    assert all(subject.is_outside(m.channel, m.line) for m in homes)
