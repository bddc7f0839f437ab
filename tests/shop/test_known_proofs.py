"""Proofs that need not be made again: of the same bytes and files by the same gemel, and never of anything else."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

import gemel.proving
from gemel.cli import main as boundary
from gemel.findings import Finding, Label, Severity, Span
from gemel.history import digest
from gemel.history.derived import Derived
from gemel.shop.known_proofs import known_proof, proof_key, remembered_as
from gemel.shop.layout import TextFile
from support.cuts import facts

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

WARNING = Finding(
    "waits", "range", Severity.WARNING, "too low", (Label(Span("a.nc", 3, 1, 5), "M700", "here", "upper"),), "raise it"
)
PROGRAMS = {"upper": ("a.upper.nc", b"M30\n"), "lower": ("a.lower.nc", b"M30\n")}


def _file(text: str) -> TextFile:
    return TextFile("templates/m/machine.yaml", text, digest(text.encode()))


MACHINE = _file("machine: m\n")


@pytest.fixture
def proofs(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The names of the upper programs of all proofs that are made."""
    made: list[str] = []
    prove = gemel.proving.prove

    def counted(programs: Any, *more: Any) -> Any:
        made.append(next(iter(programs.values()))[0])
        return prove(programs, *more)

    monkeypatch.setattr(gemel.proving, "prove", counted)
    return made


def test_unchanged_pair_is_not_proved_again(real_shop: Path, proofs: list[str]) -> None:
    """What was proved when it was written is not proved when it is looked at once more."""
    assert real_shop
    assert boundary.run(["write", "port-block/20"]) == 0
    assert not proofs
    assert boundary.run(["write", "port-block/35"]) == 0
    assert len(proofs) == 1
    assert boundary.run(["write", "port-block/20", "port-block/35"]) == 0
    assert len(proofs) == 1


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        ("families/port-block.yaml", "revision: C", "revision: D"),
        ("templates/twin-turnmill/machine.yaml", "top_speed: 5000", "top_speed: 4999"),
    ],
)
def test_changed_text_or_machine_file_is_proved(
    real_shop: Path, proofs: list[str], file: str, old: str, new: str
) -> None:
    """A word in the program, or a fact of the machine file that changes no word of it, makes the proof again."""
    path = real_shop / file
    path.write_text(path.read_text().replace(old, new, 1))
    assert boundary.run(["write", "port-block/20"]) == 0
    assert len(proofs) == 1


def test_spoilt_memory_is_no_proof(real_shop: Path, proofs: list[str]) -> None:
    """A file of remembered proofs that somebody has touched is not believed."""
    (file,) = real_shop.glob(".git/gemel/derived.json")
    file.write_bytes(file.read_bytes().replace(b"proved", b"proven"))
    assert boundary.run(["write", "port-block/20"]) == 0
    assert len(proofs) == 1


def test_dry_run_remembers_nothing(real_shop: Path) -> None:
    """A dry run changes no file, in git's folder neither."""
    (file,) = real_shop.glob(".git/gemel/derived.json")
    before = file.read_bytes()
    assert boundary.run(["write", "port-block/35", "--dry-run"]) == 0
    assert file.read_bytes() == before


def test_warnings_come_back_as_they_were(tmp_path: Path) -> None:
    """A remembered proof gives its warnings word for word, with their places."""
    derived = Derived(tmp_path)
    derived.put("k", remembered_as([WARNING]))
    derived.put("none", remembered_as([]))
    derived.save()
    assert known_proof(str(tmp_path), "k") == (WARNING,)
    assert known_proof(str(tmp_path), "none") == ()
    assert known_proof(str(tmp_path), "other") is None
    assert known_proof("", "k") is None


def test_proof_with_an_error_is_not_remembered() -> None:
    """Only what passed is kept, so that nothing remembered can let a fault through."""
    assert remembered_as([WARNING, replace(WARNING, severity=Severity.ERROR)]) is None


_SPOILERS: list[Callable[[dict[str, Any]], object]] = [
    lambda entry: entry.update(severity="error"),
    lambda entry: entry.update(severity="none"),
    lambda entry: entry.update(cause=7),
    lambda entry: entry.update(labels=[["a.nc"]]),
    lambda entry: entry.update(labels=[["a.nc", "3", 1, 5, "", "", ""]]),
    lambda entry: entry.update(labels=7),
    lambda entry: entry.pop("remedy"),
]


@pytest.mark.parametrize("spoil", _SPOILERS)
def test_value_of_another_form_counts_as_missing(tmp_path: Path, spoil: Callable[[dict[str, Any]], object]) -> None:
    """Whatever stands under a key, it is a list of warnings or it is made again."""
    value = remembered_as([WARNING])
    assert value is not None
    spoil(value[0])
    body = json.dumps({"k": value, "n": 7, "t": "text", "l": [7]})
    (tmp_path / "derived.json").write_text(json.dumps({"sha256": digest(body.encode()), "values": body}))
    assert [known_proof(str(tmp_path), key) for key in "kntl"] == [None] * 4


def test_key_follows_everything_that_a_proof_looks_at() -> None:
    """Another byte, name, machine file, tool or material is another key; the same again is the same."""
    key = proof_key(PROGRAMS, MACHINE, facts())
    assert key == proof_key(dict(PROGRAMS), _file(MACHINE.text), facts())
    others = [
        proof_key({**PROGRAMS, "upper": ("a.upper.nc", b"M30 \n")}, MACHINE, facts()),
        proof_key({**PROGRAMS, "upper": ("b.upper.nc", b"M30\n")}, MACHINE, facts()),
        proof_key(PROGRAMS, _file("machine: n\n"), facts()),
        proof_key(PROGRAMS, MACHINE, replace(facts(), stock_mm=facts().stock_mm + 1)),
        proof_key(PROGRAMS, MACHINE, replace(facts(), material="another")),
    ]
    assert len({key, *others}) == 6
